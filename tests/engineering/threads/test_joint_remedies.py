"""Remedies at their limits: what is offered, what is let pass with care, what is refused."""

from dataclasses import replace

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.remedies.ranking import rank_remedies
from tests.engineering.threads.asked_remedies import at, check, of_kind, remedies, sizes

MM, INCH, MICROMETRE = 1e-3, 25.4e-3, 1e-6
CELSIUS = 273.15
QUARTER, UNIFIED = find_thread("1/4 x 40 ME"), find_thread("1/4-40 UNS")
THIRTY_TWO = find_thread("1/4 x 32 ME")
SMALL, LARGE = find_thread("3/16 x 40 ME"), find_thread("3/8 x 32 ME")
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
DEPTH_OF_32 = 0.640327 * INCH / 32
"""Depths of Whitworth threads: BS 84."""
ROOT = 6.35 * MM - 2 * DEPTH
TAPPING = 7 / 32 * INCH
"""Drill for 1/4 in x 40 in brass: common practice."""


GROOVES = [
    (0.9e-6, "old-groove-gone", "ok"),
    (1.2e-6, "old-groove-shallow", "caution"),
    (0.249, "old-groove-shallow", "caution"),
    (0.251, "old-groove-left", "fail"),
]


@pytest.mark.parametrize(("groove", "code", "level"), GROOVES)
def test_old_groove_under_a_male_turned_down_is_let_pass_up_to_a_quarter(
    groove, code, level
) -> None:
    """Of the new depth; a groove of a thousandth of a millimetre is none."""
    depth = groove if groove < 1e-3 else groove * DEPTH_OF_32
    new = at(THIRTY_TWO, ROOT + 2 * depth)

    (remedy,) = of_kind("turn_down", remedies(QUARTER, new))

    finding = check(remedy, "old-groove")
    assert (finding.code, finding.level) == (code, level)
    assert remedy.refused is (level == "fail")
    assert finding.limit == pytest.approx(DEPTH_OF_32 / 4, rel=1e-5)


@pytest.mark.parametrize(("groove", "code", "level"), GROOVES)
def test_old_groove_in_a_hole_opened_out_is_let_pass_up_to_a_quarter(groove, code, level) -> None:
    depth = groove if groove < 1e-3 else groove * DEPTH
    old = at(THIRTY_TWO, TAPPING + 2 * depth)

    (remedy,) = of_kind("open_out", remedies(QUARTER, old))

    finding = check(remedy, "old-groove")
    assert (finding.code, finding.level) == (code, level)
    assert finding.limit == pytest.approx(DEPTH / 4, rel=1e-5)


@pytest.mark.parametrize(("off", "turned_down", "opened_out"), [(-1, 1, 1), (0, 1, 1), (1, 0, 0)])
def test_male_is_turned_down_to_no_larger_thread_and_hole_opened_out_to_no_smaller(
    off, turned_down, opened_out
) -> None:
    """Both where the two are of one size: the female's thread is `off` larger."""
    found = remedies(QUARTER, at(THIRTY_TWO, 6.35 * MM + off * MICROMETRE))

    assert len(of_kind("turn_down", found)) == turned_down
    assert len(of_kind("open_out", found)) == opened_out


@pytest.mark.parametrize(("off", "count"), [(-1, 1), (0, 0), (1, 0)])
def test_bush_goes_into_the_hole_as_it_is_where_any_wall_is_left(off: int, count: int) -> None:
    """It alone of the bushes can be taken out again."""
    inside = at(SMALL, QUARTER.root_diameter + off * MICROMETRE)

    bushes = [each for each in of_kind("bush", remedies(inside, QUARTER)) if each.reversible]

    assert len(bushes) == count


def test_bush_has_no_taper_outside() -> None:
    found = remedies(SMALL, find_thread("1/4 BSPT"))

    assert not [each for each in of_kind("bush", found) if each.reversible]


@pytest.mark.parametrize(("off", "refused"), [(-1, True), (1, False)])
def test_bush_thinner_than_its_outside_thread_is_deep_is_refused(off, refused) -> None:
    """3/8 in x 32: 0.508 mm, BS 84."""
    root = 9.525 * MM - 2 * DEPTH_OF_32
    inside = at(QUARTER, root - 2 * (DEPTH_OF_32 + off * MICROMETRE))

    (bush,) = [each for each in of_kind("bush", remedies(inside, LARGE)) if each.reversible]

    assert bush.refused is refused
    assert bush.wall_left == pytest.approx(DEPTH_OF_32, abs=2 * MICROMETRE)


@pytest.mark.parametrize(("metal", "wall"), [("brass", 0.8), ("mild steel", 1.0)])
@pytest.mark.parametrize("off", [-1, 1])
def test_hole_is_opened_out_for_the_smallest_fine_thread_with_a_good_wall(metal, wall, off) -> None:
    """3/8 in x 40 is the first above 8 mm; a wall a hair short of the one wanted passes it by."""
    root = 9.525 * MM - 2 * DEPTH
    inside = at(QUARTER, root - 2 * wall * MM + off * MICROMETRE)
    old = at(QUARTER, 7.2 * MM, name="the old hole")
    end = {"material": metal}

    (bush,) = [
        each
        for each in of_kind("bush", remedies(inside, old, female_end=end))
        if not each.reversible
    ]

    assert ("3/8 x 40 ME" in sizes(bush)) is (off < 0)
    assert bush.wall_left is not None
    assert bush.wall_left >= wall * MM - 0.5 * MICROMETRE


@pytest.mark.parametrize("off", [-1, 1])
def test_bush_of_a_coarse_inside_thread_keeps_a_wall_as_thick_as_that_is_deep(off: int) -> None:
    """A pitch of 1.5 mm is 0.960 mm deep, more than the 0.8 mm wanted in brass."""
    depth = 0.640327 * 1.5 * MM
    inside = at(replace(QUARTER, pitch=1.5 * MM), 9.525 * MM - 2 * DEPTH - 2 * depth + off * 2e-6)

    (bush,) = [
        each
        for each in of_kind("bush", remedies(inside, at(QUARTER, 6.6 * MM)))
        if not each.reversible
    ]

    assert ("3/8 x 40 ME" in sizes(bush)) is (off < 0)


@pytest.mark.parametrize("off", [-1, 1])
def test_outside_thread_of_a_bush_leaves_no_more_than_a_quarter_of_the_old_groove(off) -> None:
    """Old major less the new core, on diameter: twice a quarter of the new depth at most."""
    core = 9.525 * MM - 2 * DEPTH
    old = at(THIRTY_TWO, core + 0.5 * DEPTH + off * MICROMETRE)

    (bush,) = [
        each for each in of_kind("bush", remedies(QUARTER, old)) if "another" not in sizes(each)
    ]

    assert ("3/8 x 40 ME" in sizes(bush)) is (off < 0)


@pytest.mark.parametrize(
    ("kind", "male", "reversible", "hottest"),
    [
        ("recut", UNIFIED, False, 150),
        ("turn_down", LARGE, False, 400),
        ("open_out", LARGE, False, 400),
        ("plug", LARGE, False, 400),
        ("adapter", LARGE, True, 400),
        ("replace", LARGE, True, 400),
    ],
)
def test_each_remedy_is_sealed_where_it_is_tight_and_says_whether_it_can_be_undone(
    kind, male, reversible, hottest
) -> None:
    """Washers and copper stand 400 degC, ordinary thread sealant 150: the table of sealants."""
    female = QUARTER if kind != "turn_down" else SMALL

    for remedy in of_kind(kind, remedies(male, female)):
        assert remedy.reversible is reversible
        assert remedy.sealing.temperature_limit == pytest.approx(CELSIUS + hottest)


def test_bush_in_an_old_hole_is_sealed_to_come_out_and_in_a_new_one_to_stay() -> None:
    plain, opened = sorted(of_kind("bush", remedies(SMALL, QUARTER)), key=lambda r: r.minutes)

    assert (plain.reversible, plain.sealing.reversible) == (True, True)
    assert (opened.reversible, opened.sealing.reversible) == (False, False)


def test_taper_is_sealed_on_its_flanks() -> None:
    """Tape stands 200 degC: the table of sealants."""
    taper = find_thread("1/8 BSPT")
    for kind in ("turn_down", "replace"):
        (remedy,) = of_kind(kind, remedies(at(LARGE, 16 * MM), taper))
        assert remedy.sealing.temperature_limit == pytest.approx(CELSIUS + 200)


@pytest.mark.parametrize(
    ("new", "old", "plug"), [(SMALL, QUARTER, 6.9), (QUARTER, SMALL, 8.0), (LARGE, SMALL, 11.6)]
)
def test_plug_takes_the_old_thread_out_and_leaves_the_new_one_its_wall(new, old, plug) -> None:
    """Half a millimetre over the old thread, or two walls over the new; the next drill made.

    6.35 + 0.5 = 6.85 -> 6.9; 6.35 + 1.6 = 7.95 -> 8.0; 9.525 + 1.6 = 11.125 -> 11.2 or less.
    """
    (remedy,) = of_kind("plug", remedies(new, old))

    wall = remedy.wall_left
    assert wall is not None
    if plug == 11.6:  # between the least that will do and the next tenth of a millimetre
        assert 0.8 * MM <= wall <= 0.8 * MM + 0.1 * MM
    else:
        assert wall == pytest.approx((plug * MM - new.major_diameter) / 2, abs=1e-9)


@pytest.mark.parametrize(
    ("wall", "code", "refused"),
    [
        (0.8001, "plug-wall-sound", False),
        (0.7999, "plug-wall-thin", False),
        (0.4001, "plug-wall-thin", False),
        (0.3999, "plug-wall-too-thin", True),
    ],
)
def test_boss_around_a_plug_wants_a_wall_and_is_refused_under_half_of_it(
    wall, code, refused
) -> None:
    """A plug of 6.9 mm, up to 3/8 in: 0.8 mm in brass."""
    boss = 6.9 * MM + 2 * wall * MM

    (remedy,) = of_kind("plug", remedies(SMALL, QUARTER, female_end={"boss": boss}))

    assert check(remedy, "plug-wall").code == code
    assert remedy.refused is refused


@pytest.mark.parametrize(("off", "count"), [(-1, 1), (0, 0), (1, 0)])
def test_new_fitting_is_offered_while_the_bore_leaves_it_a_wall(off: int, count: int) -> None:
    bore = SMALL.root_diameter + off * MICROMETRE

    assert len(of_kind("replace", remedies(QUARTER, SMALL, male_end={"bore": bore}))) == count


def test_male_turned_down_keeps_the_wall_of_its_undercut() -> None:
    """A tenth of a millimetre under the bottom of the new thread, on diameter."""
    (remedy,) = of_kind("turn_down", remedies(LARGE, QUARTER, male_end={"bore": 3 * MM}))

    assert remedy.wall_left == pytest.approx((ROOT - 0.1 * MM - 3 * MM) / 2, abs=1e-8)


@pytest.mark.parametrize(("female", "bore"), [(THIRTY_TWO, 3.6), (find_thread("3/8 x 40 ME"), 3.8)])
def test_adapter_is_bored_as_wide_as_leaves_both_ends_a_good_wall(female, bore) -> None:
    """The lesser bottom, less the undercut's 0.1 mm and two walls of 0.8 mm; the next drill down.

    5.3335 - 1.7 = 3.6335 -> 3.6 mm; 5.5368 - 1.7 = 3.8368 -> 3.8 mm.
    """
    (remedy,) = of_kind("adapter", remedies(QUARTER, female))

    stub = female.root_diameter - 0.1 * MM
    socket = (0.375 if female is THIRTY_TWO else 0.5) * INCH
    walls = ((stub - bore * MM) / 2, (socket - 6.35 * MM) / 2)
    assert remedy.wall_left == pytest.approx(min(walls), abs=1e-8)
    assert f"{bore:g} mm" in sizes(remedy)


def test_adapter_is_not_offered_where_the_males_bore_leaves_it_no_wall() -> None:
    stub = SMALL.root_diameter
    for off, count in ((-MICROMETRE, 1), (MICROMETRE, 0)):
        found = remedies(QUARTER, SMALL, male_end={"bore": stub + off})
        assert len(of_kind("adapter", found)) == count


def test_hole_as_wide_as_its_thread_is_refused_before_any_remedy_is_planned() -> None:
    for off, error in ((0.0, True), (-MICROMETRE, False)):
        end = {"drilled": 6.35 * MM + off}
        if error:
            with pytest.raises(OutOfRange) as refusal:
                remedies(LARGE, QUARTER, female_end=end)
            assert refusal.value.field == "drilled"
        else:
            assert remedies(LARGE, QUARTER, female_end=end)


@pytest.mark.parametrize(
    ("kind", "part", "altered", "asked"),
    [
        ("turn_down", "male", True, True),
        ("turn_down", "female", False, False),
        ("open_out", "male", False, False),
        ("open_out", "female", True, True),
        ("plug", "female", True, True),
        ("replace", "male", False, True),
        ("replace", "female", False, False),
        ("adapter", "male", False, False),
    ],
)
def test_customer_is_asked_before_his_part_is_cut_or_set_aside(kind, part, altered, asked) -> None:
    ends = {f"{part}_end": {"owner": "customer"}}

    (remedy,) = of_kind(kind, remedies(LARGE, QUARTER, **ends))

    assert (remedy.alters_customers_property, remedy.decision_wanted) == (altered, asked)


def test_safety_comes_before_undoing_and_undoing_before_minutes() -> None:
    """Eight remedies, one of each sort: three yes-or-no questions, the first weighs most."""
    plain = of_kind("replace", remedies(QUARTER, LARGE))[0]
    care = replace(plain.metal_checks[0], level="caution")
    sorts = [
        replace(
            plain,
            title=str(place),
            metal_checks=(care,) if place & 4 else plain.metal_checks,
            reversible=not place & 2,
            minutes=20.0 if place & 1 else 10.0,
        )
        for place in range(8)
    ]

    ranked = rank_remedies(reversed(sorts))

    assert [remedy.title for remedy in ranked] == [str(place) for place in range(8)]


def test_thinnest_wall_counts_every_joint_that_is_left() -> None:
    (remedy,) = of_kind("open_out", remedies(LARGE, QUARTER, female_end={"boss": 11 * MM},
                                             male_end={"bore": 5 * MM}))  # fmt: skip

    assert remedy.wall_left == pytest.approx((11 * MM - 9.525 * MM) / 2)
