"""One thread cut over the other: when the helix leads, and how much must be left."""

from dataclasses import replace

import pytest

from service.engineering.threads.catalogue import limits_of
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.remedies import Remedy
from tests.engineering.threads.asked_remedies import at, check, of_kind, remedies, sizes

MM, INCH, MICROMETRE = 1e-3, 25.4e-3, 1e-6
QUARTER, UNIFIED = find_thread("1/4 x 40 ME"), find_thread("1/4-40 UNS")
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
"""Depth of a Whitworth thread: BS 84."""
SIXTY_DEPTH = 0.541266 * PITCH
"""5H/8 of a 60 degree thread: ISO 68-1."""
MEDIUM = (0.002 * 0.25 ** (1 / 3) + 0.003 * 0.25**0.5 + 0.005 * 0.025**0.5) * INCH
"""Medium tolerance on effective diameter of 1/4 in x 40: BS 84, in inches."""


def recut(found: tuple[Remedy, ...], part: str) -> Remedy:
    """The re-cut of the male with a die, or of the female with a tap."""
    ending = {"male": "die", "female": "tap"}[part]
    (remedy,) = [
        each for each in of_kind("recut", found) if any(s.endswith(ending) for s in sizes(each))
    ]
    return remedy


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize(
    ("pitch", "major", "is_chased"),
    [
        (0.99e-3, 0.0, True),
        (1.01e-3, 0.0, False),
        (0.0, 0.999 * DEPTH, True),
        (0.0, 1.001 * DEPTH, False),
    ],
)
def test_old_helix_leads_the_tool_within_a_thousandth_of_pitch_and_a_depth_of_thread(
    pitch, major, is_chased, sign
) -> None:
    """Where it does, neither part is turned down nor opened out."""
    male = replace(
        QUARTER,
        designation="another",
        pitch=PITCH * (1 + sign * pitch),
        major_diameter=6.35 * MM + sign * (major or 0.1 * MM),
    )

    found = remedies(male, QUARTER)

    assert len(of_kind("recut", found)) == (2 if is_chased else 0)
    cut_anew = len(of_kind("turn_down", found) + of_kind("open_out", found))
    assert cut_anew == (2 if sign > 0 and not is_chased else 0)


def test_chasing_goes_by_the_shallower_depth_and_never_from_taper_to_parallel() -> None:
    near = at(UNIFIED, 6.35 * MM + 1.01 * SIXTY_DEPTH)
    assert not of_kind("recut", remedies(near, QUARTER))
    assert not of_kind("recut", remedies(QUARTER, at(UNIFIED, 6.35 * MM - 1.01 * SIXTY_DEPTH)))
    assert not of_kind("recut", remedies(find_thread("1/8 BSPT"), find_thread("1/8 BSP")))


@pytest.mark.parametrize(("off", "count"), [(-1, 1), (0, 0), (1, 0)])
def test_hole_of_one_thread_is_re_cut_only_where_it_lies_under_the_core(off, count) -> None:
    drilled = QUARTER.core_diameter + off * MICROMETRE

    assert len(of_kind("recut", remedies(QUARTER, QUARTER, female_end={"drilled": drilled}))) == (
        count
    )


@pytest.mark.parametrize(
    ("share", "code", "level"),
    [
        (0.601, "depth-sound", "ok"),
        (0.599, "depth-thin", "caution"),
        (0.501, "depth-thin", "caution"),
        (0.499, "depth-too-thin", "fail"),
    ],
)
def test_re_cut_thread_keeps_six_tenths_of_its_depth_and_never_under_half(
    share, code, level
) -> None:
    """Of the new thread's own full depth, over the hole that is there."""
    die = {"drilled": 6.35 * MM - 2 * share * DEPTH}
    tap = {"drilled": 6.35 * MM - 2 * share * SIXTY_DEPTH}

    for part, hole in (("male", die), ("female", tap)):
        finding = check(recut(remedies(UNIFIED, QUARTER, female_end=hole), part), "depth-")
        assert (finding.code, finding.level) == (code, level)
        assert finding.value == pytest.approx(share, abs=1e-5)


def test_re_cut_male_engages_no_more_than_its_old_crest_gives() -> None:
    scant = at(QUARTER, 6.35 * MM - 0.4 * DEPTH)

    finding = check(recut(remedies(scant, QUARTER), "male"), "depth-")

    assert finding.value == pytest.approx(0.8, abs=1e-5)


@pytest.mark.parametrize("off", [-1, 1])
def test_hole_under_the_new_core_is_opened_out_to_the_tapping_drill(off: int) -> None:
    hole = UNIFIED.core_diameter + off * MICROMETRE

    remedy = recut(remedies(UNIFIED, QUARTER, female_end={"drilled": hole}), "female")

    share = check(remedy, "depth-").value
    opened = 6.35 * MM - 2 * share * SIXTY_DEPTH
    assert (opened > hole + 10 * MICROMETRE) is (off < 0)
    assert any(step.tool == "twist drill" for step in remedy.steps) is (off < 0)


@pytest.mark.parametrize(("off", "code"), [(-0.5, "old-groove-gone"), (0.5, "old-groove-shallow")])
@pytest.mark.parametrize("part", ["male", "female"])
def test_hollow_counts_where_a_good_thread_of_that_class_could_not_lie_so_low(
    part, off, code
) -> None:
    """Half the medium tolerance on a side, BS 84: the old flank lies so far behind the new."""
    lack = MEDIUM + off * MICROMETRE
    small, large = at(QUARTER, 6.35 * MM - lack), at(QUARTER, 6.35 * MM + lack)
    pair = (small, QUARTER) if part == "male" else (QUARTER, large)

    finding = check(recut(remedies(*pair), part), "old-groove")

    assert finding.code == code
    if off > 0:
        assert finding.value == pytest.approx(lack / 2, rel=1e-3)


@pytest.mark.parametrize(("gap", "level"), [(0.249, "ok"), (0.251, "fail")])
@pytest.mark.parametrize("part", ["male", "female"])
def test_sealant_must_fill_the_hollow_on_both_sides(part, gap, level) -> None:
    """A quarter of a millimetre on diameter is the most that a thread sealant fills."""
    coarse = find_thread("1/2 BSW")
    small, large = (at(coarse, coarse.major_diameter + s * gap * MM) for s in (-1, 1))
    pair = (small, coarse) if part == "male" else (coarse, large)

    remedy = recut(remedies(*pair), part)

    assert remedy.sealing.finding.level == level
    assert remedy.sealing.finding in remedy.metal_checks
    assert level == "ok" or remedy.refused


@pytest.mark.parametrize("part", ["male", "female"])
def test_what_comes_off_is_told_from_the_side_that_is_cut(part: str) -> None:
    """A tight pair: the die takes half the excess off the male's side, the tap off the female's."""
    pair = (at(QUARTER, 6.45 * MM), QUARTER)

    finding = check(recut(remedies(*pair), part), "helix-survives")

    assert finding.value == pytest.approx(0.05 * MM, rel=1e-3)
    assert finding.level == "ok"


def test_limits_that_the_hollow_goes_by_are_those_of_the_published_tolerance() -> None:
    least, most = limits_of(QUARTER).male_effective

    assert most - least == pytest.approx(MEDIUM, rel=1e-6)
