"""Threads: what one is, and which one this may be."""

from typing import Any

from marshmallow import ValidationError, fields, validate, validates_schema

from service.api.calculation import Calculation
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Number, Text, ThreadIn, Words
from service.api.quantity_fields import DrillIn, quantity, si
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.engineering.constants import INCH
from service.engineering.kit import Kit
from service.engineering.threads.catalogue import (
    TappingDrill,
    ThreadDescription,
    ThreadLimits,
    describe_thread,
)
from service.engineering.threads.identify import (
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

    The pitch is known by `threads_per_inch` or `pitch` from a gauge, or by a `count` of threads
    `over` a length; a taper by a second diameter measured `apart` from the first.
    """

    gender = field_in(Measurement, "gender", load_default="male")
    threads_per_inch = Number(
        load_default=None, validate=validate.Range(3, 100), metadata={"example": 40}
    )

    @validates_schema
    def check_pairs(self, data: dict[str, Any], **_: Any) -> None:
        """One way to know the pitch, and both halves of whatever comes in two halves."""
        ways = [name for name in ("threads_per_inch", "pitch", "count") if data.get(name)]
        if len(ways) > 1:
            raise ValidationError("Give the pitch in one way only.", ways[1])
        for one, other in (("count", "over"), ("second_diameter", "apart")):
            if bool(data.get(one)) != bool(data.get(other)):
                missing = other if data.get(one) else one
                raise ValidationError(f"{one} and {other} go together.", missing)


class CandidateOut(Out):
    """A thread that would measure so."""

    designation = Words(required=True, attribute="thread.designation")
    family = Words(required=True, attribute="thread.family")
    likelihood = fields.Float(required=True)
    why = Words(required=True)
    tell_apart = Words(required=True)
    wrong_guess = Words(required=True)


class IdentifyOut(CalculationOut):
    """Candidates, likeliest first; none when nothing in the catalogue comes near."""

    candidates = fields.List(fields.Nested(CandidateOut), required=True)


def identify(asked: dict[str, Any], kit: Kit) -> dict[str, Any]:
    """The threads that would measure as a request says."""
    candidates = identify_thread(read_measurement(asked), catalogue=kit.catalogue)
    return {
        "candidates": candidates,
        "findings": judge_candidates(candidates),
        "workings": write_workings(candidates),
    }


def read_measurement(asked: dict[str, Any]) -> Measurement:
    """The measurement of a request; what was not given keeps the bench's usual error."""
    per_inch = asked["threads_per_inch"]
    return read_given(Measurement, asked, **({"pitch": INCH / per_inch} if per_inch else {}))


IDENTIFY = Calculation(
    name="thread-identify",
    about="Name the threads that would measure so, likeliest first.",
    takes=IdentifyIn,
    gives=IdentifyOut,
    reckon=identify,
)
