"""The distribution block: ports, steam and bar in; a plan to make it out; its drawings."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, cast

from marshmallow import ValidationError, fields, post_load

from service.api.calculation import Calculation, title_drawing, with_more
from service.api.calculations.joints import StepOut
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Text, Words
from service.api.preferences import measure
from service.api.quantity_fields import DrillIn, QuantityIn, figures, quantity, refusing
from service.api.schemas.base import Asked, Many
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.documents.block_drawing import draw_block
from service.documents.drawing.sheet import Sheet
from service.engineering.block import (
    ENDS,
    LEAST_WALL,
    MOST_CASES,
    MOST_OUTLETS,
    BlockPlan,
    BlockRequest,
    Hole,
    Port,
    RunningCase,
    Section,
    find_section,
    plan_block,
    settle_request,
)
from service.engineering.errors import EngineeringError
from service.engineering.kit import Kit
from service.engineering.materials import find_material
from service.engineering.steam.network import EngineOnBranch
from service.engineering.threads.catalogue import nearest_drill
from service.quantities import Kind, Quantity, read_given
from service.quantities.units import INCH


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


SIXTY_FOURTH = INCH / 64

MOST_BARS = 200
MOST_DRILLS = 200

SAME_DRILL = 1e-6  # how far a size may lie from that of a drill and still be it [m]
PORT_MEMBERS = {"thread", "spacing", "seat", "engagement", "pointing"}


NAME = Text(longest=60, least=0, metadata={"example": "port engine"})
"""A hole that nothing is named for may say so."""


class BlockPortIn(schema_in(Port, instead={"name": NAME}, makes=False)):
    """One tapped hole; `spacing` is the room along the block that body and handwheel want.

    `place` is a face (top, front, bottom, back) or, for inlet and end ports, left end or right end.
    `pointing` counts clockwise from the right end, seen from outside.
    """

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Port:
        """The port, of a metal that is known."""
        port = read_given(Port, data)
        with refusing(material="male_material"):
            find_material(port.male_material)
        return port


class BlockFlowIn(Asked):
    """Steam of every outlet in one running case, and of every end port; 0 g/min where shut."""

    case = Text(longest=60, required=True, metadata={"example": "all"})
    steam = Many(QuantityIn(Kind.MASS_FLOW, example="20 g/min"), 1, MOST_OUTLETS, required=True)
    ends = Many(QuantityIn(Kind.MASS_FLOW, example="0 g/min"), 0, len(ENDS), load_default=())

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> RunningCase:
        """The running case."""
        return RunningCase(
            data["case"],
            tuple(flow.si for flow in data["steam"]),
            tuple(flow.si for flow in data["ends"]),
        )


class BarIn(Asked):
    """A bar that the table of stock does not have; a square or a round needs its width only."""

    shape = Term("BarShape", required=True, metadata={"example": "rectangle"})
    width = QuantityIn(Kind.LENGTH, example="5/8 in", required=True)
    height = quantity(Kind.LENGTH, "3/4 in")

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Section:
        """The bar; set out in inches if it is sized in them."""
        width, shape = data["width"], data["shape"]
        height = data["height"] or width
        text = width.text if height is width else f"{width.text} x {height.text}"
        with refusing():
            return Section(
                name=text if shape == "rectangle" else f"{text} {shape}",
                shape=shape,
                width=width.si,
                height=height.si,
                unit="in" if is_in_inches(width) else "mm",
            )


def is_in_inches(length: Quantity) -> bool:
    """Whether a length is a whole number of sixty-fourths, whatever unit it was typed in."""
    return (length.value / SIXTY_FOURTH).denominator == 1


class BarField(fields.Raw):
    """A bar by its name in the table of stock, or by shape and size."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(metadata=_BAR, **kwargs)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Section:
        if isinstance(value, Mapping):
            return cast(Section, _BAR_SCHEMA.load(value))
        if not isinstance(value, str):
            raise ValidationError('Name a bar, e.g. "5/8 in square", or give shape and width.')
        with refusing():
            return find_section(value)


_BAR_SCHEMA = BarIn()
_BAR: dict[str, Any] = {
    "oneOf": [
        {"type": "string", "description": "a bar of the table of stock, such as 5/8 in square"},
        {
            "type": "object",
            "properties": {name: {"type": "string"} for name in ("shape", "width", "height")},
            "required": ["shape", "width"],
        },
    ],
    "example": "5/8 in square",
}


class RackDrillIn(DrillIn):
    """A drill on hand: one of the sizes that drills come in."""

    def _deserialize(self, value: Any, *args: Any, **kwargs: Any) -> Any:
        size: Quantity = super()._deserialize(value, *args, **kwargs)
        if size.value <= 0:
            raise ValidationError("This must be above 0.")
        drill = nearest_drill(size.si)
        if abs(drill.diameter - size.si) > SAME_DRILL:
            raise ValidationError(f"No drill has this size; the nearest is {drill.name}.")
        return drill


class BlockIn(Asked):
    """A distribution block: outlets in the order of their flows, inlet, end ports; gauge pressure.

    `drop_budget` is what the block may cost on the way to any port. `sections` are the bars on
    hand, `drills` the drills for bore and ways; left out, what is commonly kept. `pulsation` is the
    mean square of the flow over the square of its mean. Title, number and reference are for the
    drawing.
    """

    outlets = Many(BlockPortIn, 1, MOST_OUTLETS, required=True)
    inlet = fields.Nested(BlockPortIn, required=True)
    ends = Many(BlockPortIn, 0, len(ENDS), load_default=())
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    flows = Many(BlockFlowIn, 1, MOST_CASES, required=True)
    drop_budget = QuantityIn(Kind.PRESSURE_DIFFERENCE, example="2 psi", required=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    sections = Many(BarField(), 1, MOST_BARS, load_default=None)
    drills = Many(RackDrillIn(), 1, MOST_DRILLS, load_default=None)
    least_wall = quantity(Kind.LENGTH, "1/16 in")
    pulsation = field_in(EngineOnBranch, "pulsation", load_default=1.2)
    title = Text(load_default="Distribution block", metadata={"example": "Launch plant, block"})
    number = Text(longest=40, least=0, load_default="", metadata={"example": "CB-17"})
    reference = Text(longest=60, least=0, load_default="", metadata={"example": "2026-014"})


def read_block_request(data: dict[str, Any]) -> BlockRequest:
    """The block of a request."""
    same = ("outlets", "inlet", "ends", "material", "pulsation", "drills")
    return BlockRequest(
        **{name: data[name] for name in same},
        **figures(data, "pressure drop_budget"),
        cases=data["flows"],
        least_wall=LEAST_WALL if data["least_wall"] is None else data["least_wall"].si,
    )


@contextmanager
def standing_at_port(request: BlockRequest) -> Iterator[None]:
    """Name the place in the request of the port that engineering refuses inside."""
    try:
        yield
    except EngineeringError as error:
        if error.field in PORT_MEMBERS:
            error.field = f"{_find_refused_port(request)}.{error.field}"
        raise


def _find_refused_port(request: BlockRequest) -> str:
    """The first port that makes no block on its own either."""
    ports = {"inlet": request.inlet} | {
        f"{kind}.{place}": port
        for kind, some in (("outlets", request.outlets), ("ends", request.ends))
        for place, port in enumerate(some)
    }
    for path, port in ports.items():
        anywhere = replace(port, place=None)
        cases = (RunningCase("alone", (1e-3,)),)
        try:
            settle_request(
                replace(request, inlet=anywhere, outlets=(anywhere,), ends=(), cases=cases)
            )
        except EngineeringError:
            return path
    return "outlets"


def plan(asked: dict[str, Any], kit: Kit) -> BlockPlan:
    """The block that a request asks for."""
    request = read_block_request(asked)
    with standing_at_port(request):
        return plan_block(request, sections=asked["sections"], kit=kit)


def show_block(asked: dict[str, Any], kit: Kit) -> dict[str, Any]:
    """A plan with each drop under the letter of its hole."""
    found = plan(asked, kit)
    letters = [hole.letter for hole in found.setting_out]
    drops = [with_more(drop, hole=letters[drop.port]) for drop in found.drops]
    return with_more(found, drops=drops)


def _draw(asked: dict[str, Any], kit: Kit) -> Sheet:
    return draw_block(plan(asked, kit), title=title_drawing(asked), measure=measure())


BLOCK = Calculation(
    name="distribution-block",
    about="Find the smallest bar with thread and bore enough, and say how the block is made.",
    takes=BlockIn,
    gives=BlockOut,
    reckon=show_block,
    drawings=_draw,
    leave_out_of_sheet=(
        "setting_out",
        "operations",
        "alternatives",
        "refused",
        "walls",
        "drops",
        "section.source",
    ),
)
