"""Threads: what one is, and which one this may be."""

from typing import Any

from marshmallow import fields

from service.api.calculation import Calculation
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Text, ThreadIn, Words
from service.api.quantity_fields import DrillIn, quantity, si
from service.api.schemas.base import Asked
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.engineering.kit import Kit
from service.engineering.threads.catalogue import (
    TappingDrill,
    ThreadDescription,
    ThreadLimits,
    describe_thread,
)
from service.engineering.threads.identify import (
    Advice,
    Candidate,
    Mark,
    Measurement,
    identify_thread,
    judge_candidates,
    write_workings,
)
from service.quantities import Kind, read_given


class ThreadCalculationIn(Asked):
    """A thread, and a drill to judge for it if wanted.

    The classes choose the limits of size; along a taper the diameters at a distance may be asked,
    from its small end, or from its gauge plane (the mouth of a female) towards the small end.
    """

    thread = ThreadIn(required=True)
    drill = DrillIn(load_default=None)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    male_class = Text(longest=10, load_default=None, metadata={"example": "close"})
    female_class = Text(longest=10, load_default=None, metadata={"example": "medium"})
    distance = quantity(Kind.LENGTH, "5 mm")
    distance_from = Term("TaperDatum", load_default="small end")


class TappingDrillOut(
    schema_out(
        TappingDrill,
        "drill=drill.name diameter=drill.diameter depth_percent basis below_core reason",
        fine="diameter",
        reason=Words(),
    )
):
    """A tapping drill and the depth of thread it leaves."""


class DrilledOut(
    schema_out(
        part_of(ThreadDescription, "drilled"),
        "diameter depth_percent basis other_bases",
        fine="diameter",
        other_bases=fields.Dict(keys=Words(), values=fields.Float()),
    )
):
    """What the drill that was asked about leaves."""


_DIAMETERS = "major_diameter effective_diameter core_diameter"


class TaperPlaceOut(
    schema_out(
        part_of(ThreadDescription, "at_distance"),
        f"{_DIAMETERS} from_small_end",
        fine=f"{_DIAMETERS} from_small_end",
    )
):
    """A taper thread in one plane; the distance is negative beyond its small end."""


class TaperLengthsOut(
    schema_out(
        part_of(ThreadDescription, "taper_lengths"),
        "hand_tight_length hand_tight_turns effective_length wrench_length wrench_turns source",
        fine="hand_tight_length effective_length wrench_length",
    )
):
    """How far a taper goes in by hand (L1) and by spanner, and its useful thread (L2)."""


class ExtentOut(schema_out(part_of(ThreadLimits, "male_major"), "least most", fine="least most")):
    """Least and largest."""


class ThreadLimitsOut(
    schema_out(
        ThreadLimits,
        "male_class female_class male_major male_effective male_root_most female_major_least"
        " female_effective female_core source",
        fine="male_root_most female_major_least",
        male_major=ExtentOut,
        male_effective=ExtentOut,
        female_effective=ExtentOut,
        female_core=ExtentOut,
    )
):
    """Limits of size by class; of a taper in its gauge plane."""


class ThreadCalculationOut(
    schema_out(
        ThreadDescription,
        "designation=thread.designation family=thread.family"
        " included_angle=thread.form.included_angle pitch=thread.pitch"
        " threads_per_inch=thread.threads_per_inch taper=thread.taper"
        " major_diameter=thread.major_diameter effective_diameter=thread.effective_diameter"
        " core_diameter=thread.core_diameter root_diameter=thread.root_diameter"
        " depth=thread.internal_depth hand=thread.hand limits at_small_end at_distance"
        " taper_lengths tapping_drills drilled",
        fine=f"pitch {_DIAMETERS} root_diameter depth",
        limits=ThreadLimitsOut,
        at_small_end=fields.Nested(TaperPlaceOut, allow_none=True),
        at_distance=fields.Nested(TaperPlaceOut, allow_none=True),
        taper_lengths=fields.Nested(TaperLengthsOut, allow_none=True),
        tapping_drills=TappingDrillOut,
        drilled=fields.Nested(DrilledOut, allow_none=True),
    ),
    CalculationOut,
):
    """A thread's geometry; a taper thread's diameters are those of the gauge plane."""


def describe(asked: dict[str, Any], kit: Kit) -> ThreadDescription:
    """The thread of a request, with the drills on hand."""
    return describe_thread(
        asked["thread"],
        material=asked["material"],
        drilled=si(asked["drill"]),
        drills=kit.drills,
        male_class=asked["male_class"],
        female_class=asked["female_class"],
        distance=si(asked["distance"]),
        distance_from=asked["distance_from"],
    )


THREAD = Calculation(
    name="thread",
    about="Give a thread's diameters and tapping drills, and judge a drill for it.",
    takes=ThreadCalculationIn,
    gives=ThreadCalculationOut,
    reckon=describe,
)


class IdentifyIn(schema_in(Measurement, without=("pitch_error",), makes=False)):
    """What was measured at the bench.

    The pitch is known by the leaf of a pitch gauge, which is `threads_per_inch` of an inch `gauge`
    or `pitch` of a metric one; by a `pitch` measured without a gauge; or by a `count` of threads
    `over` a length. A taper is known by a second diameter measured `apart` from the first. What is
    advised stays within the `length` of the thread.
    """

    gender = field_in(Measurement, "gender", load_default="male")
    hand = field_in(Measurement, "hand", load_default="right")


class MarkOut(schema_out(Mark, "kind mark text found expected")):
    """How one reading agrees with a thread, whatever else there is to choose from."""


class AdviceOut(
    schema_out(
        Advice,
        "kind text thread=thread.designation rival=rival.designation tool leaf over apart shows"
        " rival_shows again",
    )
):
    """What to do next, and what it would show of the thread and of its rival."""


class CandidateOut(
    schema_out(
        Candidate,
        "name=named designation=thread.designation names family=thread.family likelihood why"
        " tell_apart wrong_guess",
        why=MarkOut,
        tell_apart=AdviceOut,
    )
):
    """A thread that would measure so; of none of these, designation and family are null.

    One thread may stand in several tables: `names` are all its designations.
    """


class IdentifyOut(CalculationOut):
    """Candidates, likeliest first; "none of these" is always one of them."""

    candidates = fields.List(fields.Nested(CandidateOut), required=True)


def identify(asked: dict[str, Any], kit: Kit) -> dict[str, Any]:
    """The threads that would measure as a request says."""
    measurement = read_given(Measurement, asked)
    candidates = identify_thread(
        measurement, catalogue=kit.catalogue, tools=kit.taps_and_dies or ()
    )
    return {
        "candidates": candidates,
        "findings": judge_candidates(candidates, measurement, catalogue=kit.catalogue),
        "workings": write_workings(candidates),
    }


IDENTIFY = Calculation(
    name="thread-identify",
    about="Name the threads that would measure so, likeliest first, and what to try next.",
    takes=IdentifyIn,
    gives=IdentifyOut,
    reckon=identify,
)
