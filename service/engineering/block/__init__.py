"""The distribution block: one bar, a bore along it, and outlets tapped down to the bore.

`plan_block` finds the smallest bar of stock that holds enough thread above a bore wide enough for
the steam, and says how to set it out, drill and tap it.
"""

from service.engineering.block.plan import BlockPlan, plan_block
from service.engineering.block.request import (
    ENDS,
    FACES,
    LEAST_WALL,
    MOST_CASES,
    MOST_OUTLETS,
    BlockRequest,
    Place,
    Port,
    RunningCase,
    settle_request,
)
from service.engineering.block.setting_out import Hole
from service.engineering.block.stock import Section, find_section, stock_sections
from service.engineering.block.ways import POINT_SLOPE

__all__ = [
    "ENDS", "FACES", "LEAST_WALL", "MOST_CASES", "MOST_OUTLETS", "POINT_SLOPE", "BlockPlan",
    "BlockRequest", "Hole", "Place", "Port", "RunningCase", "Section", "find_section", "plan_block",
    "settle_request", "stock_sections",
]  # fmt: skip
