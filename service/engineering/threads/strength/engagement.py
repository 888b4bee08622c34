"""Strength of a screwed joint: what carries, what pulls, and how much thread is needed.

Indicative: the workshop's figures for choosing a thread, not a design of a pressure part.
"""

from dataclasses import dataclass, field
from math import pi
from typing import Annotated, Literal

from service.engineering.errors import NoSolution, require
from service.engineering.findings import Finding, Level, Working, worst_first
from service.engineering.materials import Material, take_material
from service.engineering.saying import fine, force, number, say, turns
from service.engineering.threads.catalogue import Thread, limits_of
from service.engineering.threads.strength.areas import joint_shear_areas, neck_area, write_neck_area

PRESSURE_FACTOR = 8.0  # strength over end load in steam fittings: common practice
LEAST_TURNS = 5.0  # full turns wanted for steam; common practice
SPANNER_FACTOR = 1.5  # strength over spanner load wanted; common practice
SCANT_TURNS = 4.0  # the fewest full turns that are let pass with care; common practice
LEAST_OVERLAP = 0.5  # radial overlap of the threads over the male's depth; common practice
NUT_FACTOR = 0.2  # torque over load times diameter: dry thread and face; Machinery's Handbook
SPANNER_LENGTH = 14.0
SPANNER_PULL = 4000.0
"""Length of a spanner per diameter and pull on it per metre of diameter [N/m]; from memory."""

SHEAR_SOURCE = "ASME B1.1 appendix B, extended to any flank angle"
NUT_SOURCE = "Machinery's Handbook: T = 0.2 F D"
USUAL_PULL = "; the usual pull is from memory"

MALE_SHEAR = "pi L/P d (P/2 + tan(alpha) (E - d))"
FEMALE_SHEAR = "pi L/P D (P/2 + tan(alpha) (D - E))"
SHORN = 'times "shear strength in steam"'

Part = Literal["male thread", "female thread", "male neck"]
Load = Literal["pressure", "spanner"]


@dataclass(frozen=True, slots=True)
class Engagement:
    """What carries a screwed joint, and how much stronger it is than it must be."""

    turns: float
    overlap: Annotated[float, "m"]
    """Least radial overlap of the two threads; below 0 they miss one another."""
    shear_area_male: Annotated[float, "m2"]
    shear_area_female: Annotated[float, "m2"]
    tensile_area: Annotated[float, "m2"]  # metal of the male's neck, the bore taken off
    end_load: Annotated[float, "N"]
    spanner_load: Annotated[float, "N"]
    strength: Annotated[float, "N"]  # load at which the weakest part gives way in steam
    factor: float | None  # strength over end load; None without pressure
    spanner_factor: float | None  # strength over spanner load; None without torque
    governing: Part
    governing_load: Load  # the load that asks for more strength, each with its own factor
    needed_length: Annotated[float, "m"] | None
    """Full thread wanted for both loads and five turns; None where the threads miss."""
    findings: tuple[Finding, ...]
    joint: "_Joint" = field(compare=False, repr=False)

    @property
    def workings(self) -> tuple[Working, ...]:
        return _show_workings(self.joint)


def engagement(
    male_thread: Thread,
    female_thread: Thread,
    *,
    length: float,
    bore: float = 0.0,
    drilled: float | None = None,
    male_material: Material | str,
    female_material: Material | str,
    pressure: float,
    torque: float | None = None,
) -> Engagement:
    """Judge the thread of a joint: what carries, what pulls, and whether there is enough.

    male_thread: the male.
    female_thread: the female.
    length: length of full thread engaged [m]; the lead of a die does not count.
    bore: bore through the male [m], 0 if solid.
    drilled: hole the female was drilled before tapping [m]; None: the largest core of its family.
    male_material: metal of the male, or its name.
    female_material: metal of the female, or its name.
    pressure: steam pressure above the outside [Pa], 0 or more.
    torque: spanner torque [N m]; None: a spanner's usual pull.
    Returns: turns, areas [m2], loads [N], factors, length wanted [m], findings and workings.
    Raises OutOfRange: a negative length, bore, pressure or torque, or a hole not above 0.
    Raises UnknownMaterial: a material that is not in the table.
    Source: Shear areas of ASME B1.1 appendix B extended to any flank angle; stress area of ISO
        898-1; shear strength by von Mises; factors and turns wanted are common practice.
        Indicative.
    """
    require(length > 0, "length", "The length of engagement must be above 0.")
    hole = limits_of(female_thread).female_core[1] if drilled is None else drilled
    joint = _Joint(
        male_thread=male_thread,
        length=length,
        male_material=take_material(male_material),
        female_material=take_material(female_material),
        overlap=(limits_of(male_thread).male_major[0] - hole) / 2,
        shear_areas=joint_shear_areas(male_thread, female_thread, length=length, hole=hole),
        neck=neck_area(male_thread, bore=bore),
        end_load=end_load(max(male_thread.major_diameter, female_thread.major_diameter), pressure),
        spanner_load=spanner_load(male_thread.major_diameter, torque=torque),
        is_usual_pull=torque is None,
    )
    return _describe_joint(joint)


def needed_length(
    male_thread: Thread,
    female_thread: Thread,
    *,
    load: float,
    drilled: float,
    male_material: Material | str,
    female_material: Material | str,
) -> float:
    """Length of full thread that carries a load without stripping, and is five turns at least.

    male_thread: the male.
    female_thread: the female.
    load: load to carry, any factor wanted already in it [N].
    drilled: core diameter of the female, as drilled [m].
    male_material: metal of the male, or its name.
    female_material: metal of the female, or its name.
    Returns: length of full thread [m].
    Raises NoSolution: the threads do not overlap.
    Raises UnknownMaterial: a material that is not in the table.
    Source: Shear areas of ASME B1.1 appendix B; shear strength 0.577 of tensile (von Mises); five
        turns are common practice.
    """
    require(load >= 0, "load", "The load cannot be negative.")
    male, female = take_material(male_material), take_material(female_material)
    male_area, female_area = joint_shear_areas(male_thread, female_thread, length=1.0, hole=drilled)
    strength = min(male_area * male.shear_strength, female_area * female.shear_strength)
    if strength <= 0:
        raise NoSolution("The threads do not overlap: no length of them holds.", field="drilled")
    return max(load / strength, LEAST_TURNS * male_thread.pitch)


def end_load(across: Thread | float, pressure: float) -> float:
    """Push of the pressure on a fitting.

    across: diameter that the pressure can reach [m]; of a thread its major diameter, on the safe
        side.
    pressure: pressure above the outside [Pa], 0 or more.
    Returns: load along the axis [N].
    Raises OutOfRange: a diameter not above 0 or a negative pressure.
    Source: Pressure times area.
    """
    diameter = across.major_diameter if isinstance(across, Thread) else across
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    require(pressure >= 0, "pressure", "The pressure above the outside cannot be negative.")
    return pressure * pi / 4 * diameter**2


def spanner_load(diameter: float, *, torque: float | None = None) -> float:
    """Pull along the axis from nipping a thread up with a spanner.

    diameter: major diameter of the thread [m].
    torque: torque [N m]; None: a spanner 14 diameters long, pulled with 4 N per mm of diameter.
    Returns: load T / (0.2 D) [N].
    Raises OutOfRange: a diameter not above 0 or a negative torque.
    Source: T = K F D with K = 0.2 for dry metal: Machinery's Handbook. The usual pull is from
        memory.
    """
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    if torque is None:
        torque = SPANNER_LENGTH * diameter * SPANNER_PULL * diameter
    require(torque >= 0, "torque", "The torque cannot be negative.")
    return torque / (NUT_FACTOR * diameter)


@dataclass(frozen=True, slots=True)
class _Joint:
    """What is reckoned of a screwed joint, once, before it is judged; SI."""

    male_thread: Thread
    length: float
    male_material: Material
    female_material: Material
    overlap: float
    shear_areas: tuple[float, float]
    neck: float
    end_load: float
    spanner_load: float
    is_usual_pull: bool  # whether the spanner's torque is the usual one, for want of another

    @property
    def strengths(self) -> dict[Part, float]:
        male, female = self.shear_areas
        return {
            "male thread": male * self.male_material.shear_strength,
            "female thread": female * self.female_material.shear_strength,
            "male neck": self.neck * self.male_material.steam_strength,
        }

    @property
    def spanner_source(self) -> str:
        return NUT_SOURCE + USUAL_PULL if self.is_usual_pull else NUT_SOURCE


def _describe_joint(joint: _Joint) -> Engagement:
    strengths = joint.strengths
    governing = min(strengths, key=strengths.__getitem__)
    strength = strengths[governing]
    wanted: dict[Load, float] = {
        "pressure": PRESSURE_FACTOR * joint.end_load,
        "spanner": SPANNER_FACTOR * joint.spanner_load,
    }
    load = max(wanted, key=wanted.__getitem__)
    male_area, female_area = joint.shear_areas
    pitch = joint.male_thread.pitch
    turns_engaged = joint.length / pitch
    thread_strength = min(strengths["male thread"], strengths["female thread"])
    return Engagement(
        turns=turns_engaged,
        overlap=joint.overlap,
        shear_area_male=male_area,
        shear_area_female=female_area,
        tensile_area=joint.neck,
        end_load=joint.end_load,
        spanner_load=joint.spanner_load,
        strength=strength,
        factor=strength / joint.end_load if joint.end_load > 0 else None,
        spanner_factor=strength / joint.spanner_load if joint.spanner_load > 0 else None,
        governing=governing,
        governing_load=load,
        needed_length=(
            max(wanted[load] * joint.length / thread_strength, LEAST_TURNS * pitch)
            if thread_strength > 0
            else None
        ),
        findings=worst_first(_judge_joint(joint, turns_engaged, strength, governing=governing)),
        joint=joint,
    )


def _judge_joint(
    joint: _Joint, engaged: float, strength: float, *, governing: Part
) -> list[Finding]:
    findings = [_judge_overlap(joint), _judge_turns(engaged)]
    if joint.end_load > 0:
        findings.append(_judge_pressure(joint, strength, governing=governing))
    if joint.spanner_load > 0:
        findings.append(_judge_spanner(joint, strength, governing=governing))
    return findings


def _judge_overlap(joint: _Joint) -> Finding:
    depth = joint.male_thread.internal_depth
    share = joint.overlap / depth
    level: Level = "ok" if share >= LEAST_OVERLAP else "caution" if share >= 0.35 else "fail"
    words = {
        "ok": "the threads reach well into one another",
        "caution": "the threads reach only a little into one another",
        "fail": "the threads hardly touch: they will strip or pull through",
    }[level]
    overlap = fine(joint.overlap, "overlap")
    text = say("At the loosest they overlap by ", overlap, f" a side: {words}.")
    source, limit = "common practice: at least half the depth of thread", LEAST_OVERLAP * depth
    return Finding(level, "engagement-overlap", text, joint.overlap, limit, "m", source)


def _judge_turns(engaged: float) -> Finding:
    is_scant = engaged < LEAST_TURNS
    level: Level = "ok" if not is_scant else "caution" if engaged >= SCANT_TURNS else "fail"
    text = say(turns(engaged), " full turns engaged; steam wants ", number(LEAST_TURNS), ".")
    source = "common practice"
    return Finding(level, "engagement-turns", text, engaged, LEAST_TURNS, "1", source)


def _judge_pressure(joint: _Joint, strength: float, *, governing: Part) -> Finding:
    factor = strength / joint.end_load
    text = say(
        "The pressure pushes with ", force(joint.end_load, "end_load"), f"; the {governing} gives "
        "way at about ", force(strength, "strength"), ", ", number(factor, "factor"),
        " times as much (", number(PRESSURE_FACTOR, "wanted"), " wanted).",
    )  # fmt: skip
    level: Level = "ok" if factor >= PRESSURE_FACTOR else "fail"
    source = f"{SHEAR_SOURCE}; factor: common practice"
    return Finding(level, "engagement-pressure", text, factor, PRESSURE_FACTOR, "1", source)


def _judge_spanner(joint: _Joint, strength: float, *, governing: Part) -> Finding:
    factor = strength / joint.spanner_load
    level: Level = "ok" if factor >= SPANNER_FACTOR else "caution" if factor >= 1 else "fail"
    words = {"ok": "it bears that", "caution": "tighten gently", "fail": "it will give way"}[level]
    pull = "A spanner's usual pull" if joint.is_usual_pull else "The torque"
    text = say(
        f"{pull} loads it with about ", force(joint.spanner_load, "spanner_load"),
        f"; the {governing} gives way at about ", force(strength, "strength"), f": {words}.",
    )  # fmt: skip
    source = joint.spanner_source
    return Finding(level, "engagement-spanner", text, factor, SPANNER_FACTOR, "1", source)


def _show_workings(joint: _Joint) -> tuple[Working, ...]:
    male_area, female_area = joint.shear_areas
    in_male, in_female, in_neck = joint.strengths.values()
    neck_formula, neck_source = write_neck_area(joint.male_thread)
    male, female = joint.male_material.source, f"{joint.female_material.source}; von Mises"
    return (
        Working('A_"male"', MALE_SHEAR, male_area, "m2", SHEAR_SOURCE),
        Working('A_"female"', FEMALE_SHEAR, female_area, "m2", SHEAR_SOURCE),
        Working('A_"neck"', neck_formula, joint.neck, "m2", neck_source),
        Working("F", "p pi/4 D^2", joint.end_load, "N", "pressure times area"),
        Working('F_"spanner"', "T/(0.2 D)", joint.spanner_load, "N", joint.spanner_source),
        Working('F_"male thread"', f'A_"male" {SHORN}', in_male, "N", f"{male}; von Mises"),
        Working('F_"female thread"', f'A_"female" {SHORN}', in_female, "N", female),
        Working('F_"male neck"', 'A_"neck" times "strength in steam"', in_neck, "N", male),
    )
