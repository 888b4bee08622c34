"""Threads of the trade: forms, sizes, limits of size, tapping drills and the drills themselves."""

from service.engineering.threads.catalogue.description import (
    ThreadDescription,
    ThreadLimits,
    describe_thread,
)
from service.engineering.threads.catalogue.drills import (
    Drill,
    all_drills,
    find_drill,
    nearest_drill,
)
from service.engineering.threads.catalogue.families import Family, families, find_family
from service.engineering.threads.catalogue.forms import (
    UNIFIED,
    Hand,
    Thread,
    custom_thread,
    turn_left,
)
from service.engineering.threads.catalogue.limits import Range, limits_of
from service.engineering.threads.catalogue.sameness import (
    has_same_angle,
    has_same_pitch,
    is_same_thread,
)
from service.engineering.threads.catalogue.series import (
    catalogue,
    disagreements,
    extended_catalogue,
    load_series,
    threads_of,
)
from service.engineering.threads.catalogue.tapers import Datum, taper_at, taper_lengths
from service.engineering.threads.catalogue.tapping import (
    TappingDrill,
    diameter_of_percent,
    judge_drill,
    judge_stand,
    tapping_drills,
)

__all__ = [
    "UNIFIED",
    "Datum",
    "Drill",
    "Family",
    "Hand",
    "Range",
    "TappingDrill",
    "Thread",
    "ThreadDescription",
    "ThreadLimits",
    "all_drills",
    "catalogue",
    "custom_thread",
    "describe_thread",
    "diameter_of_percent",
    "disagreements",
    "extended_catalogue",
    "families",
    "find_drill",
    "find_family",
    "has_same_angle",
    "has_same_pitch",
    "is_same_thread",
    "judge_drill",
    "judge_stand",
    "limits_of",
    "load_series",
    "nearest_drill",
    "taper_at",
    "taper_lengths",
    "tapping_drills",
    "threads_of",
    "turn_left",
]
