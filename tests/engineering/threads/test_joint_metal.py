"""Metal of a screwed joint: a hair below and a hair above every wall, stress and range."""

from dataclasses import replace
from math import inf, pi

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.findings import Finding
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.fit import judge_wall, measure_joint, wanted_wall
from service.engineering.threads.joint import FittingCheck, check_fitting
from service.engineering.threads.joint.fitting_check import FemaleEnd, MaleEnd

MM, INCH, ATMOSPHERE = 1e-3, 25.4e-3, 101_325.0
HAIR = 1e-6
QUARTER = find_thread("1/4 x 40 ME")
PITCH = INCH / 40
DEPTH = 0.640327 * PITCH
"""Depth of a Whitworth thread at 40 threads per inch: BS 84."""
ROOT = 6.35 * MM - 2 * DEPTH
SOFT = ("brass", "gunmetal", "bronze", "copper", "aluminium")
HARD = ("mild steel", "stainless steel", "cast iron")
STRENGTH = {"brass": 340e6 * 0.80, "copper": 200e6 * 0.75, "stainless steel": 500e6 * 0.75}
"""Least tensile strength by the share kept in steam [Pa]: the table of metals."""


def check(male: dict | None = None, female: dict | None = None, **circumstances) -> FittingCheck:
    """One thread in itself, 8 mm engaged, with changes to either end."""
    plain = {"thread": QUARTER}
    return check_fitting(
        MaleEnd(**(plain | {"length": 8 * MM} | (male or {}))),
        FemaleEnd(**(plain | {"depth": 8 * MM} | (female or {}))),
        **circumstances,
    )


def found(answer: FittingCheck, code: str) -> Finding | None:
    return next((finding for finding in answer.findings if finding.code == code), None)


def codes(answer: FittingCheck) -> set[str]:
    return {finding.code for finding in answer.findings}


def bore_leaving(wall: float) -> dict:
    return {"bore": ROOT - 2 * wall}


def boss_leaving(wall: float, thread: Thread = QUARTER) -> dict:
    return {"thread": thread, "boss": thread.major_diameter + 2 * wall}


@pytest.mark.parametrize(
    ("wall", "code", "verdicts"),
    [
        (0.8 * MM + HAIR, "sound", {"goes"}),
        (0.8 * MM - HAIR, "thin", {"goes_with_care"}),
        (DEPTH + HAIR, "thin", {"goes_with_care"}),
        (DEPTH - HAIR, "too-thin", {"make_good", "does_not_go"}),
    ],
)
def test_wall_is_wanted_0_8_mm_and_never_less_than_the_thread_is_deep(wall, code, verdicts) -> None:
    over_bore = check(bore_leaving(wall))
    boss = check(None, boss_leaving(wall))

    assert f"wall-over-bore-{code}" in codes(over_bore)
    assert over_bore.verdict in verdicts
    assert over_bore.wall_over_bore == pytest.approx(wall, abs=1e-9)
    assert f"boss-wall-{code}" in codes(boss)
    assert boss.verdict in verdicts
    assert boss.boss_wall == pytest.approx(wall, abs=1e-9)


@pytest.mark.parametrize(
    ("wall", "code"),
    [
        (-1e-9, "w-none"),
        (0.0, "w-none"),
        (1e-9, "w-too-thin"),
        (0.3999 * MM, "w-too-thin"),
        (0.4 * MM, "w-thin"),
        (0.7999 * MM, "w-thin"),
        (0.8 * MM, "w-sound"),
    ],
)
def test_wall_that_is_reached_serves(wall: float, code: str) -> None:
    finding = judge_wall(wall, wanted=0.8 * MM, least=0.4 * MM, place="here", code="w")

    assert (finding.code, finding.value) == (code, wall)
    levels = {"w-none": "fail", "w-too-thin": "fail", "w-thin": "caution", "w-sound": "ok"}
    assert finding.level == levels[code]
    assert finding.limit == (0.4 * MM if finding.level == "fail" else 0.8 * MM)


@pytest.mark.parametrize("metal", SOFT + HARD)
def test_soft_metals_want_0_8_mm_up_to_three_eighths_and_all_others_1_mm(metal: str) -> None:
    small = 0.8 * MM if metal in SOFT else 1.0 * MM

    assert wanted_wall(metal, 3 / 8 * INCH) == small
    assert wanted_wall(metal, 3 / 8 * INCH + 2 * HAIR) == 1.0 * MM


@pytest.mark.parametrize("diameter", [0.0, -MM])
def test_wall_of_no_thread_is_refused(diameter: float) -> None:
    with pytest.raises(OutOfRange):
        wanted_wall("brass", diameter)


@pytest.mark.parametrize(("metal", "wanted"), [("brass", 0.8), ("mild steel", 1.0)])
@pytest.mark.parametrize(("off", "level"), [(HAIR, "sound"), (-HAIR, "thin")])
def test_each_wall_is_judged_by_its_own_metal(metal, wanted, off, level) -> None:
    other = {"brass": "mild steel", "mild steel": "brass"}[metal]
    wall = wanted * MM + off

    male = check(bore_leaving(wall) | {"material": metal}, {"material": other})
    female = check({"material": other}, boss_leaving(wall) | {"material": metal})

    assert f"wall-over-bore-{level}" in codes(male)
    assert f"boss-wall-{level}" in codes(female)


@pytest.mark.parametrize(("wall", "level"), [(2.0 * MM + HAIR, "sound"), (2.0 * MM - HAIR, "thin")])
def test_boss_of_a_taper_male_wants_twice_the_wall(wall: float, level: str) -> None:
    """1/8 BSP is above 3/8 in: 1.0 mm for a parallel male, twice that for one that spreads it."""
    female = boss_leaving(wall, find_thread("1/8 BSP"))

    taper = check({"thread": find_thread("1/8 BSPT")}, female)
    parallel = check({"thread": find_thread("1/8 BSP")}, female)

    assert f"boss-wall-{level}" in codes(taper)
    assert "boss-wall-sound" in codes(parallel)


@pytest.mark.parametrize(("off", "code"), [(HAIR, "thin"), (-HAIR, "too-thin")])
def test_boss_is_refused_by_the_depth_of_the_females_thread(off: float, code: str) -> None:
    """5H/8 of a 60 degree thread, 0.541266 P, ISO 68-1; its male's groove is deeper."""
    thread = find_thread("1/4-40 UNS")

    answer = check({"thread": thread}, boss_leaving(0.541266 * PITCH + off, thread))

    assert f"boss-wall-{code}" in codes(answer)


@pytest.mark.parametrize(("off", "code"), [(HAIR, "thin"), (-HAIR, "too-thin")])
def test_wall_over_a_bore_is_refused_by_the_depth_of_the_males_groove(off, code) -> None:
    """17H/24 of a 60 degree thread, 0.613435 P, ISO 68-1."""
    thread, groove = find_thread("1/4-40 UNS"), 0.613435 * PITCH
    bore = 6.35 * MM - 2 * groove - 2 * (groove + off)

    answer = check({"thread": thread, "bore": bore}, {"thread": thread})

    assert f"wall-over-bore-{code}" in codes(answer)


def lame(inside: float, wall: float) -> float:
    """Stress over pressure at the inside of a thick tube, by its radii."""
    outside = inside + wall
    return (outside**2 + inside**2) / (outside**2 - inside**2)


@pytest.mark.parametrize("metal", ["brass", "copper"])
@pytest.mark.parametrize(("factor", "code"), [(1 - 1e-6, "sound"), (1 + 1e-6, "too-high")])
def test_hoop_stress_is_held_to_an_eighth_of_the_strength_in_steam(metal, factor, code) -> None:
    """Lame's thick tube by hand, over the bore and around the thread."""
    allowed, wall = STRENGTH[metal] / 8, 0.412 * MM
    thread = find_thread("3/8 x 40 ME")
    bore = 9.525 * MM - 2 * DEPTH - 2 * wall
    over_bore = factor * allowed / lame(bore / 2, wall)
    around = factor * allowed / lame(9.525 * MM / 2, wall)

    male = check(
        {"thread": thread, "bore": bore, "material": metal},
        {"thread": thread, "material": "stainless steel"},
        pressure=over_bore + ATMOSPHERE,
    )
    female = check(
        {"thread": thread, "material": "stainless steel"},
        boss_leaving(wall, thread) | {"material": metal},
        pressure=around + ATMOSPHERE,
    )

    for answer in (male, female):
        finding = found(answer, f"hoop-{code}")
        assert finding is not None
        assert finding.level == ("ok" if factor < 1 else "fail")
        assert finding.value == pytest.approx(allowed, rel=1e-5)
        assert finding.limit == pytest.approx(allowed)
        assert finding.unit == "Pa stress"


def test_hoop_stress_falls_with_the_wall_and_rises_with_the_bore_and_the_gauge_pressure() -> None:
    def stress(wall: float, gauge: float) -> float:
        answer = check(bore_leaving(wall), pressure=gauge + ATMOSPHERE)
        finding = found(answer, "hoop-sound")
        assert finding is not None
        return finding.value

    for wall in (1.0 * MM, 0.5 * MM):
        assert stress(wall, 6e5) == pytest.approx(6e5 * lame(ROOT / 2 - wall, wall), rel=1e-6)
    assert stress(1.0 * MM, 12e5) == pytest.approx(2 * stress(1.0 * MM, 6e5))


@pytest.mark.parametrize("pressure", [None, ATMOSPHERE, 0.5 * ATMOSPHERE])
def test_without_pressure_above_the_air_no_stress_is_told(pressure: float | None) -> None:
    answer = check(bore_leaving(MM), boss_leaving(MM), pressure=pressure)

    assert not codes(answer) & {"hoop-sound", "hoop-too-high", "engagement-pressure"}
    assert answer.engagement.end_load == 0


def test_end_load_is_the_pressure_above_the_air_on_the_thread() -> None:
    answer = check(pressure=6e5 + ATMOSPHERE)

    assert answer.engagement.end_load == pytest.approx(6e5 * pi / 4 * (6.35 * MM) ** 2)


def test_solid_male_has_a_wall_but_no_hoop() -> None:
    answer = check({"bore": 0.0}, pressure=6e5)

    assert answer.wall_over_bore == pytest.approx(ROOT / 2, abs=1e-9)
    assert "hoop-sound" not in codes(answer)


def test_dimension_that_is_not_known_is_said_to_be_unchecked() -> None:
    answer = check(pressure=6e5)

    assert (answer.wall_over_bore, answer.boss_wall) == (None, None)
    assert {"wall-over-bore-unknown", "boss-wall-unknown"} <= codes(answer)
    assert "hoop-sound" not in codes(answer)


def test_wall_that_breaks_out_has_no_stress_but_fails() -> None:
    """A joint that is only thought of may have no wall at all."""
    metal = measure_joint(
        MaleEnd(QUARTER, 8 * MM, bore=ROOT + 0.1 * MM),
        FemaleEnd(QUARTER, 8 * MM, boss=6.3 * MM),
        pressure=6e5,
    )

    told = {finding.code: finding.level for finding in metal.findings}
    assert told["wall-over-bore-none"] == told["boss-wall-none"] == "fail"
    assert "hoop-sound" not in told
    assert metal.wall_over_bore == pytest.approx(-0.05 * MM, abs=1e-9)


def test_wall_of_a_taper_male_is_measured_at_its_small_end() -> None:
    """1 in 16 over the gauge length of 4.0 mm, ISO 7-1: 0.25 mm on diameter."""
    taper, parallel = find_thread("1/8 BSPT"), find_thread("1/8 BSP")

    walls = [
        check({"thread": thread, "bore": 5 * MM}, {"thread": parallel}).wall_over_bore
        for thread in (taper, parallel)
    ]

    assert walls[1] - walls[0] == pytest.approx(0.125 * MM, abs=1e-9)


def test_strengths_are_those_of_each_ends_own_metal() -> None:
    """Shear by von Mises, 0.577 of the strength in steam."""
    answer = check({"material": "copper", "bore": 3 * MM}, {"material": "stainless steel"})

    loads = {working.symbol: working.value for working in answer.workings}
    held = answer.engagement
    shear = {metal: 0.577 * strength for metal, strength in STRENGTH.items()}
    assert loads['F_"male thread"'] == pytest.approx(held.shear_area_male * shear["copper"])
    assert loads['F_"female thread"'] == pytest.approx(
        held.shear_area_female * shear["stainless steel"]
    )
    assert loads['w_"bore"'] == pytest.approx((ROOT - 3 * MM) / 2, abs=1e-9)


def test_bore_and_hole_are_taken_off_what_carries() -> None:
    """The hole's own overlap, and the male's neck less its bore: geometry."""
    solid, bored = check(), check({"bore": 3 * MM})
    drilled = [check(None, {"drilled": size * MM}).engagement.overlap for size in (5.6, 5.7)]

    assert solid.engagement.tensile_area - bored.engagement.tensile_area == pytest.approx(
        pi / 4 * (3 * MM) ** 2
    )
    assert drilled[0] - drilled[1] == pytest.approx(0.05 * MM)


def test_taper_hole_is_not_judged_as_a_parallel_tapping_hole() -> None:
    taper, parallel = find_thread("1/8 BSPT"), find_thread("1/8 BSP")

    def drill_codes(thread: Thread) -> set[str]:
        told = codes(check({"thread": thread}, {"thread": thread, "drilled": 8.2 * MM}))
        return {code for code in told if code.startswith("drill-")}

    assert drill_codes(parallel) == {"drill-below-core"}
    assert drill_codes(taper) == set()


@pytest.mark.parametrize(
    ("male", "female", "field"),
    [
        ({"length": 0.2 + HAIR}, {}, "length"),
        ({"length": 0.0}, {}, "length"),
        ({}, {"depth": 0.2 + HAIR}, "depth"),
        ({"bore": ROOT + HAIR}, {}, "bore"),
        ({"bore": -HAIR}, {}, "bore"),
        ({}, {"boss": 6.35 * MM}, "boss"),
        ({}, {"drilled": 6.35 * MM}, "drilled"),
        ({"thread": find_thread("1/8 BSPT"), "bore": 8.3163 * MM}, {}, "bore"),
    ],
)
def test_dimension_a_hair_out_of_range_is_refused(male, female, field) -> None:
    with pytest.raises(OutOfRange) as refusal:
        check(male, female)
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("male", "female"),
    [
        ({"length": 0.2}, {"depth": 0.2}),
        ({"bore": ROOT - HAIR}, {}),
        ({}, {"boss": 6.35 * MM + HAIR}),
        ({}, {"drilled": 6.35 * MM - HAIR}),
        ({"thread": find_thread("1/8 BSPT"), "bore": 8.3162 * MM}, {}),
    ],
)
def test_dimension_a_hair_inside_its_range_is_answered(male, female) -> None:
    """8.5663 mm bottom of R 1/8 less 0.25 mm of taper is 8.3163 mm."""
    assert check(male, female).verdict in ("goes", "goes_with_care", "make_good", "does_not_go")


@pytest.mark.parametrize(
    ("length", "depth", "engaged"),
    [(8, 5, 5.0), (5, 8, 5.0), (None, 7, 7.0), (7, None, 7.0), (None, None, 6.35)],
)
def test_engagement_is_the_shorter_length_or_one_diameter(length, depth, engaged) -> None:
    answer = check({"length": length and length * MM}, {"depth": depth and depth * MM})

    assert answer.overlay.turns == pytest.approx(engaged * MM / PITCH)
    assert answer.engagement.turns == pytest.approx(engaged * MM / PITCH)


def test_unknown_lengths_count_as_one_diameter_of_the_smaller_thread() -> None:
    large = find_thread("3/8 x 40 ME")

    for male, female in ((QUARTER, large), (large, QUARTER)):
        answer = check({"thread": male, "length": None}, {"thread": female, "depth": None})
        assert answer.overlay.turns == pytest.approx(6.35 * MM / PITCH)


@pytest.mark.parametrize(
    ("length", "by_hand", "screwed"), [(10, 4.0, 4.0 + 2.75 * 25.4 / 28), (5, 4.0, 5.0), (3, 3, 3)]
)
def test_taper_goes_so_many_turns_past_its_gauge_length(length, by_hand, screwed) -> None:
    """Gauge length of R 1/8 4.0 mm, 28 threads per inch: ISO 7-1."""
    taper, pitch = find_thread("1/8 BSPT"), INCH / 28
    for sizes in ((length, 20), (20, length)):
        answer = check(
            {"thread": taper, "length": sizes[0] * MM}, {"thread": taper, "depth": sizes[1] * MM}
        )

        assert answer.overlay.turns == pytest.approx(by_hand * MM / pitch)
        assert answer.engagement.turns == pytest.approx(screwed * MM / pitch)


@pytest.mark.parametrize("pressure", [0.0, -1.0, -inf])
def test_pressure_of_nothing_is_refused_even_where_all_is_sound(pressure: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        check(pressure=pressure)
    assert refusal.value.field == "pressure"


def test_taper_wedges_sooner_in_a_smaller_female_by_sixteen_times_the_lack() -> None:
    """1 in 16 on diameter: ISO 7-1."""
    male = find_thread("1/8 BSPT")
    female = find_thread("1/8 BSP")
    scant = replace(female, major_diameter=female.major_diameter - 0.02 * MM)

    depths = [check({"thread": male}, {"thread": each}).overlay.wedge_depth
              for each in (female, scant)]  # fmt: skip

    assert depths[0] - depths[1] == pytest.approx(16 * 0.02 * MM, abs=1e-7)
