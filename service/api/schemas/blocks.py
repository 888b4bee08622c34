"""The distribution block on the wire: ports, steam and bar in; a plan to make it out."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, cast

from marshmallow import ValidationError, fields, post_load, validate

from service.api.fields import (
    BandOut,
    DrillIn,
    Number,
    QuantityIn,
    QuantityOut,
    Text,
    ThreadIn,
    Words,
)
from service.api.preferences import measure
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import CalculationOut
from service.api.schemas.fittings import StepOut
from service.api.schemas.steam_fields import quantity, refusing, si
from service.engineering.block import (
    ENDS,
    FACES,
    LEAST_WALL,
    MOST_CASES,
    MOST_OUTLETS,
    BlockRequest,
    Port,
    RunningCase,
    Section,
    find_section,
    settle_request,
)
from service.engineering.errors import EngineeringError
from service.engineering.materials import find_material
from service.engineering.threads.catalogue import Drill, nearest_drill
from service.quantities import Kind, Quantity, show
from service.quantities.wording import word

MOST_BARS = 200
MOST_DRILLS = 200

SAME_DRILL = 1e-6
"""How far a size may lie from that of a drill and still be it [m]."""

PORT_MEMBERS = {"thread", "spacing", "seat", "engagement", "pointing"}


class BlockPortIn(In):
    """One tapped hole; `spacing` is the room along the block that body and handwheel want.

    `place` is a face (top, front, bottom, back) or, for inlet and end ports, left end or right end.
    `pointing` counts clockwise from the right end, seen from outside.
    """

    thread = ThreadIn(required=True)
    place = fields.String(
        load_default=None,
        allow_none=True,
        validate=validate.OneOf([*FACES, *ENDS]),
        metadata={"example": "top"},
    )
    name = Text(longest=60, least=0, load_default="", metadata={"example": "port engine"})
    spacing = quantity(Kind.LENGTH, "5/8 in")
    seat = quantity(Kind.LENGTH, "3/8 in")
    engagement = quantity(Kind.LENGTH, "1/4 in")
    pointing = quantity(Kind.ANGLE, "90 deg")
    male_material = Text(longest=60, load_default="brass", metadata={"example": "bronze"})

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Port:
        """The port."""
        with refusing(material="male_material"):
            find_material(data["male_material"])
        return Port(
            thread=data["thread"],
            place=data["place"],
            name=data["name"],
            spacing=si(data["spacing"]),
            seat=si(data["seat"]),
            engagement=si(data["engagement"]),
            pointing=si(data["pointing"]),
            male_material=data["male_material"],
        )


class BlockFlowIn(In):
    """Steam of every outlet in one running case, and of every end port; 0 g/min where shut."""

    case = Text(longest=60, required=True, metadata={"example": "all"})
    steam = fields.List(
        QuantityIn(Kind.MASS_FLOW, example="20 g/min"),
        required=True,
        validate=validate.Length(1, MOST_OUTLETS),
    )
    ends = fields.List(
        QuantityIn(Kind.MASS_FLOW, example="0 g/min"),
        load_default=[],
        validate=validate.Length(0, len(ENDS)),
    )

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> RunningCase:
        """The running case."""
        return RunningCase(
            data["case"],
            tuple(flow.si for flow in data["steam"]),
            tuple(flow.si for flow in data["ends"]),
        )


class BarIn(In):
    """A bar that the table of stock does not have; a square or a round needs its width only."""

    shape = fields.String(
        required=True,
        validate=validate.OneOf(["square", "rectangle", "round"]),
        metadata={"example": "rectangle"},
    )
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
                unit="in" if show(width.value, Kind.LENGTH).endswith(" in") else "mm",
            )


class BarField(fields.Raw):
    """A bar by its name in the table of stock, or by shape and size."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(metadata=_BAR, **kwargs)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> Section:
        if isinstance(value, Mapping):
            return cast(Section, _BAR_SCHEMA.load(value))
        if not isinstance(value, str):
            raise ValidationError('Name a bar, e.g. "5/8 in square", or give shape and width.')
        try:
            return find_section(value)
        except EngineeringError as error:
            raise ValidationError(word(error.message, measure())) from None


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


class BlockIn(In):
    """A distribution block: outlets in the order of their flows, inlet, end ports; gauge pressure.

    `drop_budget` is what the block may cost on the way to any port. `sections` are the bars on
    hand, `drills` the drills for bore and ways; left out, what is commonly kept. `pulsation` is the
    mean square of the flow over the square of its mean. Title, number and reference are for the
    drawing.
    """

    outlets = fields.List(
        fields.Nested(BlockPortIn), required=True, validate=validate.Length(1, MOST_OUTLETS)
    )
    inlet = fields.Nested(BlockPortIn, required=True)
    ends = fields.List(
        fields.Nested(BlockPortIn), load_default=[], validate=validate.Length(0, len(ENDS))
    )
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    flows = fields.List(
        fields.Nested(BlockFlowIn), required=True, validate=validate.Length(1, MOST_CASES)
    )
    drop_budget = QuantityIn(Kind.PRESSURE_DIFFERENCE, example="2 psi", required=True)
    material = Text(longest=60, load_default="brass", metadata={"example": "brass"})
    sections = fields.List(
        BarField(),
        load_default=None,
        allow_none=True,
        validate=validate.Length(1, MOST_BARS),
    )
    drills = fields.List(
        RackDrillIn(),
        load_default=None,
        allow_none=True,
        validate=validate.Length(1, MOST_DRILLS),
    )
    least_wall = quantity(Kind.LENGTH, "1/16 in")
    pulsation = Number(load_default=1.2, metadata={"example": 1.2})
    title = Text(load_default="Distribution block", metadata={"example": "Launch plant, block"})
    number = Text(longest=40, least=0, load_default="", metadata={"example": "CB-17"})
    reference = Text(longest=60, least=0, load_default="", metadata={"example": "2026-014"})


BLOCK_EXAMPLE: dict[str, Any] = {
    "outlets": [
        {"thread": "1/4 x 40 ME", "name": "port engine", "spacing": "5/8 in"},
        {"thread": "1/4 x 40 ME", "name": "starboard engine", "spacing": "5/8 in"},
        {"thread": "1/4 x 40 ME", "name": "blower", "spacing": "5/8 in"},
    ],
    "inlet": {"thread": "5/16 x 32 ME", "name": "stop valve"},
    "ends": [{"thread": "1/4 x 40 ME", "name": "whistle"}],
    "pressure": "60 psi",
    "flows": [
        {"case": "both engines", "steam": ["20 g/min", "20 g/min", "0 g/min"]},
        {"case": "all", "steam": ["20 g/min", "20 g/min", "5 g/min"], "ends": ["10 g/min"]},
    ],
    "drop_budget": "2 psi",
    "material": "brass",
    "sections": None,
}


def read_block_request(data: dict[str, Any]) -> BlockRequest:
    """The block of a request."""
    drills: list[Drill] | None = data["drills"]
    return BlockRequest(
        outlets=tuple(data["outlets"]),
        inlet=data["inlet"],
        pressure=data["pressure"].absolute,
        drop_budget=data["drop_budget"].si,
        cases=tuple(data["flows"]),
        ends=tuple(data["ends"]),
        material=data["material"],
        least_wall=LEAST_WALL if data["least_wall"] is None else data["least_wall"].si,
        pulsation=data["pulsation"],
        drills=None if drills is None else tuple(drills),
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
        alone = replace(
            request,
            inlet=anywhere,
            outlets=(anywhere,),
            ends=(),
            cases=(RunningCase("alone", (1e-3,)),),
        )
        try:
            settle_request(alone)
        except EngineeringError:
            return path
    return "outlets"


class BarOut(Out):
    """A bar as it lies in the block."""

    name = Words(required=True)
    shape = Words(required=True)
    width = QuantityOut(Kind.LENGTH, required=True)
    height = QuantityOut(Kind.LENGTH, required=True)
    area = QuantityOut(Kind.AREA, required=True)
    source = Words(required=True)


class WallOut(Out):
    """Metal left between two things."""

    between = Words(required=True)
    thickness = QuantityOut(Kind.LENGTH, required=True)


class BlockDropOut(Out):
    """What one port, by the letter of its hole, loses in one case."""

    hole = Words(required=True)
    case = Words(required=True)
    flow = QuantityOut(Kind.MASS_FLOW, required=True)
    drop = BandOut(Kind.PRESSURE_DIFFERENCE, required=True)
    velocity = QuantityOut(Kind.VELOCITY, required=True)


class BlockHoleOut(Out):
    """One row of the setting-out table; x, y, z from the left end, front face and bottom."""

    letter = Words(required=True)
    purpose = Words(required=True)
    name = Words(required=True)
    place = Words(required=True)
    x = QuantityOut(Kind.LENGTH, required=True)
    y = QuantityOut(Kind.LENGTH, required=True)
    z = QuantityOut(Kind.LENGTH, required=True)
    thread = Words(required=True, allow_none=True, attribute="thread.designation")
    drill = Words(required=True, attribute="drill.name")
    drilled_depth = QuantityOut(Kind.LENGTH, required=True)
    full_thread = QuantityOut(Kind.LENGTH, required=True)
    turns = fields.Float(required=True)
    feed_drill = Words(required=True, allow_none=True, dump_default=None, attribute="feed.name")
    feed_depth = QuantityOut(Kind.LENGTH, required=True)
    breakthrough = QuantityOut(Kind.ANGLE, required=True, allow_none=True)
    flat = QuantityOut(Kind.LENGTH, required=True)
    pointing = QuantityOut(Kind.ANGLE, required=True, allow_none=True)


class AlternativeOut(Out):
    """Another bar that would do, and why it came second."""

    section = fields.Nested(BarOut, required=True)
    bore = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    engagement = QuantityOut(Kind.LENGTH, required=True)
    wall_least = QuantityOut(Kind.LENGTH, required=True)
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    mass = QuantityOut(Kind.MASS, required=True)
    why = Words(required=True)


class RefusedBarOut(Out):
    """A bar that does not do, with the figure that refuses it."""

    section = fields.Nested(BarOut, required=True)
    code = Words(required=True)
    text = Words(required=True)


class BlockOut(CalculationOut):
    """The smallest block that has thread and bore enough, and how it is made."""

    section = fields.Nested(BarOut, required=True)
    bore = QuantityOut(Kind.LENGTH, required=True)
    length = QuantityOut(Kind.LENGTH, required=True)
    bore_start = QuantityOut(Kind.LENGTH, required=True)
    bore_end = QuantityOut(Kind.LENGTH, required=True)
    engagement = QuantityOut(Kind.LENGTH, required=True)
    turns = fields.Float(required=True)
    wall_least = QuantityOut(Kind.LENGTH, required=True)
    walls = fields.List(fields.Nested(WallOut), required=True)
    breakthrough = QuantityOut(Kind.ANGLE, required=True)
    drop = BandOut(Kind.PRESSURE_DIFFERENCE, required=True)
    drops = fields.List(fields.Nested(BlockDropOut), required=True)
    mass = QuantityOut(Kind.MASS, required=True)
    minutes = fields.Float(required=True)
    setting_out = fields.List(fields.Nested(BlockHoleOut), required=True)
    operations = fields.List(fields.Nested(StepOut), required=True)
    alternatives = fields.List(fields.Nested(AlternativeOut), required=True)
    refused = fields.List(fields.Nested(RefusedBarOut), required=True)
