"""Is there enough metal: walls, hoop stress, depth of thread in the hole, engagement."""

from dataclasses import dataclass

from service.engineering.constants import ATMOSPHERE, INCH
from service.engineering.errors import require
from service.engineering.findings import Finding, Level, Working, worst_first
from service.engineering.materials import Material, find_material, take_material
from service.engineering.saying import Said, fine, length, name, number, say, stress
from service.engineering.thick_tube import LAME, hoop_stress
from service.engineering.threads.catalogue import judge_drill
from service.engineering.threads.fit.joint_ends import (
    FemaleEnd,
    MaleEnd,
    check_ends,
    engaged_length,
    screwed_length,
)
from service.engineering.threads.strength import PRESSURE_FACTOR, Engagement, engagement

SOFT_WALL, HARD_WALL = 0.0008, 0.0010
"""Least wall wanted in brass and its like up to 3/8 in, and in steel or above that [m]: judgement,
from memory."""

WALL_SOURCE = "common practice; from memory"


@dataclass(frozen=True, slots=True)
class JointMetal:
    """The metal of one screwed joint; walls in metres, None where a dimension is not known."""

    wall_over_bore: float | None
    boss_wall: float | None
    engagement: Engagement
    around: tuple[Finding, ...]  # what was found of the walls and the hole

    @property
    def findings(self) -> tuple[Finding, ...]:
        return worst_first((*self.around, *self.engagement.findings))

    @property
    def workings(self) -> tuple[Working, ...]:
        walls = (
            ('w_"bore"', '("bottom of the thread" - "bore") / 2', self.wall_over_bore),
            ('w_"boss"', '("boss" - "major diameter") / 2', self.boss_wall),
        )
        known = [
            Working(w, how, wall, "m", "geometry") for w, how, wall in walls if wall is not None
        ]
        return (*known, *self.engagement.workings)


def inspect_joint(male: MaleEnd, female: FemaleEnd, *, pressure: float | None = None) -> JointMetal:
    """Check the metal of a joint screwed home.

    male: the male end.
    female: the female end.
    pressure: working pressure, absolute [Pa], above 0; None: not known, no stress is checked.
    Returns: walls [m], engagement and findings, worst first.
    Raises OutOfRange: a pressure or dimension outside its range.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: Walls: common practice, from memory. Hoop: thick tube (Lame). Engagement: `strength`.
    """
    require(pressure is None or pressure > 0, "pressure", "An absolute pressure is above 0.")
    check_ends(male, female)
    return measure_joint(male, female, pressure=pressure)


def measure_joint(male: MaleEnd, female: FemaleEnd, *, pressure: float | None = None) -> JointMetal:
    """Check the metal of a joint that is only thought of: it may have no wall at all.

    male: the male end.
    female: the female end.
    pressure: working pressure, absolute [Pa], above 0; None: not known, no stress is checked.
    Returns: walls [m], below 0 where a bore or thread breaks out; engagement and findings, worst
        first.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: As `inspect_joint`.
    """
    above = 0.0 if pressure is None else max(0.0, pressure - ATMOSPHERE)
    male_metal, female_metal = find_material(male.material), find_material(female.material)
    over_bore, boss = male.wall, female.wall
    return JointMetal(
        wall_over_bore=over_bore,
        boss_wall=boss,
        engagement=engagement(
            male.thread,
            female.thread,
            length=screwed_length(male, female),
            bore=male.bore or 0.0,
            drilled=female.drilled,
            male_material=male_metal,
            female_material=female_metal,
            pressure=above,
        ),
        around=(
            *_judge_male(male, over_bore, metal=male_metal, pressure=above),
            *_judge_boss(male, female, wall=boss, metal=female_metal, pressure=above),
            *_judge_hole(female),
            *_tell_default_length(male, female),
        ),
    )


def wanted_wall(material: Material | str, diameter: float) -> float:
    """Wall that a workshop likes to leave beside a thread.

    material: the metal, or its name.
    diameter: major diameter of the thread [m], above 0.
    Returns: 0.8 mm in brass and its like up to 3/8 in, 1.0 mm in harder metals or above that [m].
    Raises OutOfRange: a diameter that is not above 0.
    Raises UnknownMaterial: a metal that is not in the table.
    Source: Common practice; from memory.
    """
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    soft = take_material(material).tapping == "soft"
    return SOFT_WALL if soft and diameter <= 3 / 8 * INCH + 1e-6 else HARD_WALL


def judge_wall(
    wall: float, *, wanted: float, least: float, place: Said | str, code: str
) -> Finding:
    """Judge a wall against what is wanted and against the depth of the thread in it.

    wall: the wall left [m]; 0 or less is none at all.
    wanted: wall that a workshop likes to leave [m].
    least: depth of the thread: a thinner wall than this is refused [m].
    place: where it is, as in "over the bore".
    code: stem of the finding's code.
    Returns: ok, caution or fail, with the wall [m].
    Source: Common practice; from memory: never thinner than the thread is deep.
    """
    metal = say(fine(wall, "wall"), " of metal ", place)
    if wall <= 0:
        excess = fine(-wall, "excess")
        text = say("No metal is left ", place, ": it breaks out by ", excess, " a side.")
        return Finding("fail", f"{code}-none", text, wall, least, "m", WALL_SOURCE)
    if wall < least:
        text = say("Only ", metal, ": less than the thread is deep, ", fine(least, "depth"), ".")
        return Finding("fail", f"{code}-too-thin", text, wall, least, "m", WALL_SOURCE)
    if wall < wanted:
        text = say(metal, ": thin; ", fine(wanted, "wanted"), " is wanted.")
        return Finding("caution", f"{code}-thin", text, wall, wanted, "m", WALL_SOURCE)
    return Finding("ok", f"{code}-sound", say(metal, "."), wall, wanted, "m", WALL_SOURCE)


def _judge_male(
    male: MaleEnd, wall: float | None, *, metal: Material, pressure: float
) -> tuple[Finding, ...]:
    if wall is None:
        text = say("No bore is given for the ", male.thread.named, " male: its wall is unchecked.")
        return (Finding("ok", "wall-over-bore-unknown", text),)
    wanted, place = wanted_wall(metal, male.thread.major_diameter), "over the bore"
    depth = male.thread.external_depth
    judged = judge_wall(wall, wanted=wanted, least=depth, place=place, code="wall-over-bore")
    if not (pressure and male.bore and wall > 0):
        return (judged,)
    return judged, _judge_hoop(pressure, male.bore, wall=wall, metal=metal, place=place)


def _judge_boss(
    male: MaleEnd, female: FemaleEnd, *, wall: float | None, metal: Material, pressure: float
) -> tuple[Finding, ...]:
    if wall is None:
        text = say("No boss is given around ", female.thread.named, ": its wall is unchecked.")
        return (Finding("ok", "boss-wall-unknown", text),)
    diameter, depth = female.thread.major_diameter, female.thread.internal_depth
    wanted, place, around = wanted_wall(metal, diameter), "around the thread", "around the thread"
    if male.thread.is_taper:
        wanted, around = 2 * wanted, "around a taper thread, which spreads it"
    judged = judge_wall(wall, wanted=wanted, least=depth, place=around, code="boss-wall")
    if not (pressure and wall > 0):
        return (judged,)
    return judged, _judge_hoop(pressure, diameter, wall=wall, metal=metal, place=place)


def _judge_hole(female: FemaleEnd) -> tuple[Finding, ...]:
    if female.drilled is None or female.thread.is_taper:
        return ()
    return judge_drill(female.thread, female.drilled)


def _tell_default_length(male: MaleEnd, female: FemaleEnd) -> tuple[Finding, ...]:
    if male.length or female.depth:
        return ()
    taken = length(engaged_length(male, female), "taken")
    text = say("No length of thread is given at either end: ", taken, " is reckoned with.")
    return (Finding("ok", "engagement-length-unknown", text),)


def _judge_hoop(
    pressure: float, diameter: float, *, wall: float, metal: Material, place: str
) -> Finding:
    hoop = hoop_stress(pressure, diameter / 2, wall=wall)
    allowed = metal.steam_strength / PRESSURE_FACTOR
    level: Level = "ok" if hoop <= allowed else "fail"
    text = say(
        f"Hoop stress {place} ", stress(hoop, "hoop"), "; ", name(metal.name), " is allowed ",
        stress(allowed, "allowed"), ", its strength in steam over ", number(PRESSURE_FACTOR), ".",
    )  # fmt: skip
    code = "hoop-sound" if level == "ok" else "hoop-too-high"
    return Finding(level, code, text, hoop, allowed, "Pa stress", LAME)
