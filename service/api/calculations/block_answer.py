"""The plan of a distribution block as it goes over the wire."""

from service.api.calculations.joint_answer import StepOut
from service.api.derive import part_of, schema_out
from service.api.fields import Words
from service.api.schemas.calculations import CalculationOut
from service.engineering.block import BlockPlan, Hole, Section


class BarOut(schema_out(Section, "name shape width height area source")):
    """A bar as it lies in the block."""


class WallOut(schema_out(part_of(BlockPlan, "walls"), "between thickness")):
    """Metal left between two things."""


class BlockDropOut(
    schema_out(
        part_of(BlockPlan, "drops"), "hole case flow drop velocity", hole=Words(required=True)
    )
):
    """What one port, by the letter of its hole, loses in one case."""


class BlockHoleOut(
    schema_out(
        Hole,
        "letter purpose name place x y z thread=thread.designation drill=drill.name drilled_depth"
        " full_thread turns feed_drill=feed.name feed_depth breakthrough flat pointing",
    )
):
    """One row of the setting-out table; x, y, z from the left end, front face and bottom."""


class AlternativeOut(
    schema_out(
        part_of(BlockPlan, "alternatives"),
        "section bore length engagement wall_least drop mass why",
        section=BarOut,
    )
):
    """Another bar that would do, and why it came second."""


class RefusedBarOut(schema_out(part_of(BlockPlan, "refused"), "section code text", section=BarOut)):
    """A bar that does not do, with the figure that refuses it."""


class BlockOut(
    schema_out(
        BlockPlan,
        "section bore length bore_start bore_end engagement turns wall_least walls breakthrough"
        " drop drops mass minutes setting_out operations alternatives refused",
        section=BarOut,
        walls=WallOut,
        drops=BlockDropOut,
        setting_out=BlockHoleOut,
        operations=StepOut,
        alternatives=AlternativeOut,
        refused=RefusedBarOut,
    ),
    CalculationOut,
):
    """The smallest block that has thread and bore enough, and how it is made."""
