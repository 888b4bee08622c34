"""Steam through bores, valves and bends: resistance, choking, and what pressure is left."""

from service.engineering.steam.passages.elements import (
    Bend,
    Bore,
    Contraction,
    Corner,
    Element,
    Line,
    Loss,
    Pipe,
    Segment,
    StopValve,
    Tee,
    Valve,
    trace_line,
)
from service.engineering.steam.passages.expanding_steam import (
    ExpandingSteam,
    find_expanding_steam,
    pass_up,
    require_pulsation,
)
from service.engineering.steam.passages.losses import corner_loss, tee_branch_loss
from service.engineering.steam.passages.passage import (
    LOSS_SPREAD,
    PassageFlow,
    find_pulsation,
    flow_through,
    pressure_after,
)
from service.engineering.steam.passages.passage_findings import (
    ISOTHERMAL_SOURCE,
    LARGEST_DROP,
    QUICKEST,
)
from service.engineering.steam.passages.resistance import Resistance, climb, join_segments

__all__ = [
    "ISOTHERMAL_SOURCE",
    "LARGEST_DROP",
    "LOSS_SPREAD",
    "QUICKEST",
    "Bend",
    "Bore",
    "Contraction",
    "Corner",
    "Element",
    "ExpandingSteam",
    "Line",
    "Loss",
    "PassageFlow",
    "Pipe",
    "Resistance",
    "Segment",
    "StopValve",
    "Tee",
    "Valve",
    "climb",
    "corner_loss",
    "find_expanding_steam",
    "find_pulsation",
    "flow_through",
    "join_segments",
    "pass_up",
    "pressure_after",
    "require_pulsation",
    "tee_branch_loss",
    "trace_line",
]
