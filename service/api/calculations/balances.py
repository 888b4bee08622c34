"""The balance of a running plant: boiler, engines with loads, passages, cases; what to change."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.api.calculation import Calculation, Picture, with_more
from service.api.calculations.engines import MOST_ENGINES
from service.api.calculations.passages import passage_of
from service.api.derive import schema_in
from service.api.fields import Number, Text, Words, YesOrNo
from service.api.problems import WrongRequest
from service.api.quantity_fields import (
    BandIn,
    BandOut,
    GaugeBandOut,
    GaugeOut,
    QuantityIn,
    QuantityOut,
    absolute,
    quantity,
    si,
)
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import CalculationOut, refusing
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.kit import Kit
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    LOAD_KINDS,
    NOZZLE_COEFFICIENT,
    Balance,
    BoilerSupply,
    EngineOnBranch,
    Leaf,
    Load,
    RunningCase,
    advise,
    balance,
    trace_engine,
    trace_pressure_lines,
    trace_supply_and_demand,
)
from service.quantities import Kind, read_given

MOST_CASES = 24
MOST_HOLES = 20

PICTURES = ("supply-and-demand", "pressure-line")

LOADS = {kind.replace(" ", "_"): kind for kind in LOAD_KINDS}


class SupplyIn(Asked):
    """What the boiler can give; `pressure_limit` is the inspector's at the most.

    `net_heat` is the heat into the water, losses taken off: one quantity, or low, likely and high.
    `fed` false: no feed pump runs, and steam costs its latent heat only.
    """

    net_heat = BandIn(Kind.POWER, example="500 W", required=True)
    pressure_limit = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    fed = YesOrNo(load_default=True, metadata={"example": True})
    feed_temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> BoilerSupply:
        """The boiler; what engineering refuses is a fault of the member named."""
        with refusing():
            return BoilerSupply(
                net_heat=data["net_heat"],
                pressure_limit=data["pressure_limit"].absolute,
                feed_temperature=data["feed_temperature"].si if data["fed"] else None,
            )


class LoadIn(Asked):
    """What an engine drives: the speed it has at a chest pressure, and how the two hang together.

    `speed` left out is the engine's own. Without `at_pressure` the engine is held at its speed by
    other means, which no propeller is.
    """

    kind = fields.String(
        required=True, validate=validate.OneOf(list(LOADS)), metadata={"example": "propeller"}
    )
    speed = quantity(Kind.SPEED, "500 rpm")
    at_pressure = quantity(Kind.PRESSURE, "4 bar")


class RunningEngineIn(schema_in(Engine, makes=False)):
    """An engine as in a steam demand, its load, and its passages from the block.

    The load's speed counts; without a load the engine is held at its own speed.
    """

    speed = quantity(Kind.SPEED, "600 rpm")
    load = fields.Nested(  # type: ignore[assignment]  # a field, never the method
        LoadIn, load_default=None
    )
    passages = passage_of(load_default=[])
    back_pressure = quantity(Kind.PRESSURE, "0.1 bar", default="0.1 bar")
    friction = quantity(Kind.PRESSURE_DIFFERENCE, "0.3 bar", default="0.3 bar")
    pulsation = Number(load_default=None, metadata={"example": 1.2})

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> EngineOnBranch:
        """The engine on its branch; what engineering refuses is a fault of the member named."""
        load = _make_load(data)
        with refusing():
            engine = read_given(Engine, data | {"speed": data["speed"] or data["load"]["speed"]})
        with refusing(at_pressure="load.at_pressure"):
            outlet = EngineOnBranch(
                engine=engine,
                load=load,
                passages=tuple(data["passages"]),
                back_pressure=data["back_pressure"].absolute,
                friction=data["friction"].si,
                pulsation=data["pulsation"],
            )
            trace_engine(outlet, condensation=0.0)  # so that an engine that cannot turn is named
        return outlet


def _make_load(data: dict[str, Any]) -> Load:
    load = data["load"] or {"kind": "governed", "speed": None, "at_pressure": None}
    speed = load["speed"] or data["speed"]
    if speed is None:
        raise ValidationError("Give the speed of the engine, or that of its load.", "speed")
    names = {name: f"load.{name}" for name in ("kind", "at_pressure")}
    with refusing(**names, speed="load.speed" if load["speed"] else "speed"):
        return Load(
            kind=LOADS[load["kind"]], speed=speed.si, at_pressure=absolute(load["at_pressure"])
        )


class HoleIn(Asked):
    """A whistle, drain or blower: a hole that blows to the open air while it runs."""

    name = Text(required=True, metadata={"example": "whistle"})
    area = QuantityIn(Kind.AREA, example="2 mm2", required=True)
    coefficient = Number(load_default=NOZZLE_COEFFICIENT, metadata={"example": NOZZLE_COEFFICIENT})
    passages = passage_of(load_default=[])

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Leaf:
        """The hole; what engineering refuses is a fault of the member named."""
        with refusing():
            return Leaf(
                name=data["name"],
                area=data["area"].si,
                passages=tuple(data["passages"]),
                coefficient=data["coefficient"],
            )


class CaseIn(Asked):
    """What runs or blows at once, by name; everything else is shut off."""

    name = Text(required=True, metadata={"example": "both"})
    running = fields.List(
        Text(metadata={"example": "port engine"}),
        required=True,
        validate=validate.Length(1, MOST_ENGINES + MOST_HOLES),
    )

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> RunningCase:
        """The running case."""
        return RunningCase(data["name"], tuple(data["running"]))


class SteamBalanceIn(Asked):
    """A boiler, the trunk from it to the block, and from there engines and holes, case by case."""

    boiler = fields.Nested(SupplyIn, required=True)
    engines = fields.List(
        fields.Nested(RunningEngineIn), required=True, validate=validate.Length(1, MOST_ENGINES)
    )
    trunk = passage_of(load_default=[])
    holes = fields.List(
        fields.Nested(HoleIn),
        load_default=[],
        validate=validate.Length(0, MOST_HOLES),
    )
    cases = fields.List(
        fields.Nested(CaseIn), required=True, validate=validate.Length(1, MOST_CASES)
    )

    @validates_schema(skip_on_field_errors=True)
    def check_names(self, data: dict[str, Any], **_: Any) -> None:
        """No name stands twice, and a case names only what the plant has."""
        names = [outlet.name for outlet in (*data["engines"], *data["holes"])]
        faults = {
            **dict(_find_twins(data, Counter(names))),
            **dict(_find_strangers(data["cases"], names)),
        }
        if faults:
            raise ValidationError(faults)


class ChangesIn(SteamBalanceIn):
    """The same plant, and what its passages may cost; left out, a tenth of the gauge pressure."""

    budget = quantity(Kind.PRESSURE_DIFFERENCE, "0.4 bar")


def _find_twins(data: dict[str, Any], times: Counter[str]) -> Iterator[tuple[str, list[str]]]:
    for kind in ("engines", "holes"):
        for place, outlet in enumerate(data[kind]):
            if times[outlet.name] > 1:
                text = f"The name {outlet.name!r} is given twice: name them apart."
                yield f"{kind}.{place}.name", [text]


def _find_strangers(cases: list[RunningCase], names: list[str]) -> Iterator[tuple[str, list[str]]]:
    for place, case in enumerate(cases):
        strange = [name for name in case.running if name not in names]
        if strange:
            text = f"The plant has no {strange[0]!r}; it has: {', '.join(names)}."
            yield f"cases.{place}.running", [text]
        elif len(set(case.running)) < len(case.running):
            yield f"cases.{place}.running", ["A name is given twice."]


class PictureQuery(Asked):
    """Which picture, and of which case; left out, the first."""

    kind = fields.String(
        load_default=PICTURES[0],
        validate=validate.OneOf(PICTURES),
        metadata={"example": PICTURES[0]},
    )
    case = Text(load_default=None, metadata={"example": "both"})


class RunningEngineOut(Out):
    """Where one engine settles; `stalls` likely, `may_stall` with everything soft against it."""

    name = Words(required=True)
    pressure = GaugeBandOut(required=True)
    speed = BandOut(Kind.SPEED, required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)
    wanted_speed = QuantityOut(Kind.SPEED, required=True)
    load_pressure = GaugeOut(required=True)
    stalls = fields.Boolean(required=True)
    may_stall = fields.Boolean(required=True)


class HoleOut(Out):
    """What blows from one hole."""

    name = Words(required=True)
    pressure = GaugeBandOut(required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)


class SoftInputOut(Out):
    """What one soft input alone does: spans over the wanted speed and over the likely steam."""

    name = Words(required=True)
    speed_spread = fields.Float(required=True)
    steam_spread = fields.Float(required=True)
    engine = Words(required=True, allow_none=True)


class CaseOut(Out):
    """Where the plant settles in one case; soft inputs that make the spread, the widest first."""

    name = Words(required=True)
    boiler_pressure = GaugeBandOut(required=True)
    block_pressure = GaugeBandOut(required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)
    surplus = BandOut(Kind.MASS_FLOW, required=True)
    heat_bound = fields.Boolean(required=True)
    engines = fields.List(fields.Nested(RunningEngineOut), required=True)
    holes = fields.List(fields.Nested(HoleOut), required=True, attribute="leaves")
    soft_inputs = fields.List(fields.Nested(SoftInputOut), required=True)


class SteamBalanceOut(CalculationOut):
    """Where the plant settles, case by case."""

    cases = fields.List(fields.Nested(CaseOut), required=True)


class PlaceOut(Out):
    """One part on a way; `smallest_diameter` null: no bore of this part alone is enough."""

    stretch = fields.String(required=True, metadata={"enum": ["trunk", "branch"]})
    number = fields.Integer(required=True)
    kind = Words(required=True, attribute="element.kind")
    diameter = QuantityOut(Kind.LENGTH, required=True, attribute="element.diameter")
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    share = fields.Float(required=True)
    smallest_diameter = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class PathOut(Out):
    """The way to one engine at its wanted speed; an `allowed` below 0: it is out of reach."""

    case = Words(required=True)
    engine = Words(required=True)
    flow = QuantityOut(Kind.MASS_FLOW, required=True)
    chest_pressure = GaugeOut(required=True)
    boiler_pressure = GaugeOut(required=True)
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    allowed = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    within = fields.Boolean(required=True)
    costliest = fields.Nested(PlaceOut, required=True, allow_none=True)
    places = fields.List(fields.Nested(PlaceOut), required=True)


class ChangesOut(CalculationOut):
    """What to open out, way by way."""

    paths = fields.List(fields.Nested(PathOut), required=True)


def find_balance(asked: dict[str, Any], _: Kit) -> Balance:
    """The balance of the plant that a request describes."""
    return balance(*_plant(asked), cases=asked["cases"], **_ways(asked))


def find_changes(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """What to open out in the plant that a request describes."""
    advice = advise(
        *_plant(asked), cases=asked["cases"], **_ways(asked), budget=si(asked["budget"])
    )
    return with_more(advice, workings=())


def draw_balance(asked: dict[str, Any], _: Kit, query: dict[str, Any]) -> str:
    """Supply against demand, or the pressure from boiler to engine, in one case."""
    case = _find_case(asked["cases"], query["case"])
    if query["kind"] == "pressure-line":
        lines = trace_pressure_lines(*_plant(asked), case=case, **_ways(asked))
        return draw_pressure_line(lines, title=f"Pressure from boiler to engine: {case.name}")
    curves = trace_supply_and_demand(*_plant(asked), case=case, **_ways(asked))
    return draw_supply_and_demand(curves)


def _plant(asked: dict[str, Any]) -> tuple[BoilerSupply, list[EngineOnBranch]]:
    return asked["boiler"], asked["engines"]


def _ways(asked: dict[str, Any]) -> dict[str, Any]:
    return {"trunk": asked["trunk"], "leaves": asked["holes"]}


def _find_case(cases: list[RunningCase], wanted: str | None) -> RunningCase:
    for case in cases:
        if wanted in (None, case.name):
            return case
    known = ", ".join(case.name for case in cases)
    raise WrongRequest(f"There is no case of this name; there are: {known}.", field="case")


EXAMPLE: dict[str, Any] = {
    "boiler": {"net_heat": "500 W", "pressure_limit": "4 bar", "feed_temperature": "15 degC"},
    "engines": [
        {
            "name": f"{side} engine",
            "bore": "1/2 in",
            "stroke": "1/2 in",
            "acting": "double",
            "cut_off": 0.75,
            "clearance": 0.10,
            "condensation": 0.8,
            "load": {"kind": "propeller", "speed": "500 rpm", "at_pressure": "4 bar"},
            "passages": [
                {"kind": "tee", "diameter": "3 mm", "run_diameter": "4 mm", "share": 0.5},
                {"kind": "pipe", "diameter": "3 mm", "length": "200 mm"},
            ],
        }
        for side in ("port", "starboard")
    ],
    "trunk": [
        {"kind": "stop_valve", "diameter": "4 mm", "lift": "1 mm"},
        {"kind": "bore", "diameter": "4 mm", "length": "80 mm"},
    ],
    "holes": [{"name": "whistle", "area": "1 mm2"}],
    "cases": [
        {"name": "both", "running": ["port engine", "starboard engine"]},
        {"name": "whistle blown", "running": ["port engine", "starboard engine", "whistle"]},
    ],
}

CHANGES = Calculation(
    name="steam-balance/changes",
    about="Say which passage costs each engine most at its wanted speed, and what bore would do.",
    takes=ChangesIn,
    gives=ChangesOut,
    reckon=find_changes,
    example=EXAMPLE | {"budget": "0.4 bar"},
)

BALANCE = Calculation(
    name="steam-balance",
    about="Find the pressure and speed at which each engine settles, in every running case.",
    takes=SteamBalanceIn,
    gives=SteamBalanceOut,
    reckon=find_balance,
    example=EXAMPLE,
    pictures={
        "picture": Picture(
            draw_balance,
            takes=PictureQuery,
            about="Draw supply against demand, or the pressure from boiler to engine, in one case.",
        )
    },
    also=(CHANGES,),
    leave_out_of_sheet=("cases.soft_inputs",),
)
