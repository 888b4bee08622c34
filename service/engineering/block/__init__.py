"""The distribution block: one bar, a bore along it, and outlets tapped down to the bore.

`plan_block` finds the smallest bar of stock that holds enough thread above a bore wide enough for
the steam, and says how to set it out, drill and tap it.
"""

from service.engineering.block.plan import BlockPlan, plan_block
from service.engineering.block.request import BlockRequest, Place, Port, RunningCase
from service.engineering.block.stock import Section, find_section, stock_sections

__all__ = [
    "BlockPlan",
    "BlockRequest",
    "Place",
    "Port",
    "RunningCase",
    "Section",
    "find_section",
    "plan_block",
    "stock_sections",
]
