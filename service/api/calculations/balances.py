"""The balance of a running plant: boiler, engines with loads, passages, cases; what to change."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from service.api.calculation import Calculation, Picture, with_more
from service.api.calculations.engines import MOST_ENGINES
from service.api.calculations.passages import passage_of
from service.api.derive import field_in, part_of, schema_in, schema_out
from service.api.fields import Text, Words, YesOrNo
from service.api.preferences import measure
from service.api.problems import WrongRequest
from service.api.quantity_fields import BandIn, figures, quantity, refusing
from service.api.schemas.base import Asked, Many
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.documents.drawing.sheet import Sheet
from service.documents.steam_pictures import draw_pressure_line, draw_supply_and_demand
from service.engineering.kit import Kit
from service.engineering.steam.engine import Engine
from service.engineering.steam.network import (
    LOAD_KINDS,
    Advice,
    Balance,
    BoilerSupply,
    CaseBalance,
    EngineBalance,
    EngineOnBranch,
    Load,
    OpenOutlet,
    RunningCase,
    RunningPlant,
    advise,
    balance,
    prepare_plant,
    trace_engine,
    trace_pressure_lines,
    trace_supply_and_demand,
)
from service.quantities import Kind, read_given

MOST_CASES = 24
MOST_OUTLETS = 20
MOST_RUNNING = 480  # engines and outlets in all cases together
MOST_PARTS = 400  # parts of passages in a plant, the trunk among them
MOST_PLACES = 2000  # parts on the ways to all engines of all cases, to be opened out one by one
"""What keeps every answer within a second, and the paper within reason."""

LOADS = {kind.replace(" ", "_"): kind for kind in LOAD_KINDS}

LEFT_OUT: dict[str, Any] = {"allow_none": True, "load_default": None}
"""How a field is read that a thing must have, where it may be said elsewhere."""


class SupplyIn(schema_in(BoilerSupply, without=("net_heat", "feed_temperature"), makes=False)):
    """What the boiler can give; `pressure_limit` is the inspector's at the most.

    `net_heat` is the heat into the water, losses taken off: one quantity, or low, likely and high.
    `fed` false: no feed pump runs, and steam costs its latent heat only.
    """

    net_heat = BandIn(Kind.POWER, example="500 W", required=True)
    fed = YesOrNo(load_default=True, metadata={"example": True, "description": "left out: true"})
    feed_temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> BoilerSupply:
        """The boiler; what engineering refuses is a fault of the member named."""
        feed = {} if data["fed"] else {"feed_temperature": None}
        with refusing():
            return read_given(BoilerSupply, data | feed)


class LoadIn(schema_in(Load, without=("kind", "speed"), makes=False)):
    """What an engine drives: the speed it has at a chest pressure, and how the two hang together.

    `speed` left out is the engine's own. Without `at_pressure` the engine is held at its speed by
    other means, which no propeller is.
    """

    kind = Term("LoadKind", required=True, metadata={"example": "propeller"})
    speed = field_in(Load, "speed", **LEFT_OUT)


class RunningEngineIn(schema_in(Engine, makes=False)):
    """An engine as in a steam demand, its load, and its passages from the block.

    The load's speed counts; without a load the engine is held at its own speed.
    """

    speed = field_in(Engine, "speed", **LEFT_OUT)
    load = fields.Nested(LoadIn, load_default=None)
    passages = passage_of(load_default=())
    back_pressure = field_in(EngineOnBranch, "back_pressure")
    friction = field_in(EngineOnBranch, "friction")
    pulsation = field_in(EngineOnBranch, "pulsation")

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> EngineOnBranch:
        """The engine on its branch; what engineering refuses is a fault of the member named."""
        load = _make_load(data)
        with refusing():
            engine = read_given(Engine, data | {"speed": data["speed"] or data["load"]["speed"]})
        with refusing(at_pressure="load.at_pressure"):
            outlet = read_given(EngineOnBranch, data, engine=engine, load=load)
            trace_engine(outlet, condensation=0.0)  # so that an engine that cannot turn is named
        return outlet


def _make_load(data: dict[str, Any]) -> Load:
    load = data["load"] or {"kind": "governed", "speed": None}
    speed = load["speed"] or data["speed"]
    if speed is None:
        raise ValidationError("Give the speed of the engine, or that of its load.", "speed")
    names = {name: f"load.{name}" for name in ("kind", "at_pressure")}
    with refusing(**names, speed="load.speed" if load["speed"] else "speed"):
        return read_given(Load, load | {"speed": speed}, kind=LOADS[load["kind"]])


class OpenOutletIn(schema_in(OpenOutlet, without=("passages",))):
    """A whistle, drain or blower: a hole that blows to the open air while it runs."""

    passages = passage_of(load_default=())


class CaseIn(Asked):
    """What runs or blows at once, by name; everything else is shut off."""

    name = Text(required=True, metadata={"example": "both"})
    running = Many(
        Text(metadata={"example": "port engine"}), 1, MOST_ENGINES + MOST_OUTLETS, required=True
    )

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> RunningCase:
        """The running case."""
        return RunningCase(**data)


class SteamBalanceIn(Asked):
    """A boiler, the trunk from it to the block, and engines and open outlets, case by case."""

    boiler = fields.Nested(SupplyIn, required=True)
    engines = Many(RunningEngineIn, 1, MOST_ENGINES, required=True)
    trunk = passage_of(load_default=())
    outlets = Many(OpenOutletIn, 0, MOST_OUTLETS, load_default=())
    cases = Many(CaseIn, 1, MOST_CASES, required=True)

    @validates_schema(skip_on_field_errors=True)
    def check_names(self, data: dict[str, Any], **_: Any) -> None:
        """No name stands twice, and a case names only what the plant has."""
        names = [outlet.name for outlet in (*data["engines"], *data["outlets"])]
        faults = {
            **dict(_find_excess(data)),
            **dict(_find_twins(data, Counter(names))),
            **dict(_find_strangers(data["cases"], names)),
        }
        if faults:
            raise ValidationError(faults)


class ChangesIn(SteamBalanceIn):
    """The same plant, and what its passages may cost; left out, a tenth of the gauge pressure."""

    budget = quantity(Kind.PRESSURE_DIFFERENCE, "0.4 bar")

    @validates_schema(skip_on_field_errors=True)
    def check_places(self, data: dict[str, Any], **_: Any) -> None:
        """Every part of every way is looked at by itself."""
        ways = {one.name: len(data["trunk"]) + len(one.passages) for one in data["engines"]}
        places = sum(ways.get(name, 0) for case in data["cases"] for name in case.running)
        if places > MOST_PLACES:
            text = f"The ways of all cases have {places} parts, of which {MOST_PLACES} can be"
            raise ValidationError(f"{text} looked at: ask about fewer cases at a time.", "cases")


def _find_excess(data: dict[str, Any]) -> Iterator[tuple[str, list[str]]]:
    running = sum(len(case.running) for case in data["cases"])
    if running > MOST_RUNNING:
        text = f"The cases name {running} engines and outlets; {MOST_RUNNING} can be reckoned:"
        yield "cases", [f"{text} ask about fewer cases at a time."]
    outlets = (*data["engines"], *data["outlets"])
    parts = len(data["trunk"]) + sum(len(outlet.passages) for outlet in outlets)
    if parts > MOST_PARTS:
        text = f"The passages have {parts} parts; {MOST_PARTS} can be reckoned:"
        yield "passages", [f"{text} sum up what lies in one bore."]


def _find_twins(data: dict[str, Any], times: Counter[str]) -> Iterator[tuple[str, list[str]]]:
    for kind in ("engines", "outlets"):
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

    kind = Term(
        "PictureKind", load_default="supply-and-demand", metadata={"example": "supply-and-demand"}
    )
    case = Text(load_default=None, metadata={"example": "both"})


class RunningEngineOut(
    schema_out(
        EngineBalance, "name pressure speed steam wanted_speed load_pressure stalls may_stall"
    )
):
    """Where one engine settles; `stalls` likely, `may_stall` with everything soft against it."""


class OpenOutletOut(schema_out(part_of(CaseBalance, "open_outlets"), "name pressure steam")):
    """What blows from one open outlet."""


class SoftInputOut(
    schema_out(part_of(CaseBalance, "soft_inputs"), "name speed_spread steam_spread engine")
):
    """What one soft input alone does: spans over the wanted speed and over the likely steam."""


class CaseOut(
    schema_out(
        CaseBalance,
        "name boiler_pressure block_pressure steam surplus heat_bound engines outlets=open_outlets"
        " soft_inputs",
        engines=RunningEngineOut,
        outlets=OpenOutletOut,
        soft_inputs=SoftInputOut,
    )
):
    """Where the plant settles in one case; soft inputs that make the spread, the widest first."""


class SteamBalanceOut(schema_out(Balance, "cases", cases=CaseOut), CalculationOut):
    """Where the plant settles, case by case."""


_PATH = part_of(Advice, "paths")


class PlaceOut(
    schema_out(
        part_of(_PATH, "places"),
        "stretch number kind diameter=element.diameter drop share smallest_diameter",
        kind=Words(required=True, attribute="element.kind"),
    )
):
    """One part on a way; `smallest_diameter` null: no bore of this part alone is enough."""


class PathOut(
    schema_out(
        _PATH,
        "case engine flow chest_pressure boiler_pressure drop allowed within costliest places",
        costliest=PlaceOut,
        places=PlaceOut,
    )
):
    """The way to one engine at its wanted speed; an `allowed` below 0: it is out of reach."""


class ChangesOut(schema_out(Advice, "paths", paths=PathOut), CalculationOut):
    """What to open out, way by way."""


def find_changes(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """What to open out in the plant that a request describes."""
    advice = advise(_plant(asked), cases=asked["cases"], **figures(asked, "budget"))
    return with_more(advice, workings=())


def draw_balance(asked: dict[str, Any], _: Kit, query: dict[str, Any]) -> Sheet:
    """Supply against demand, or the pressure from boiler to engine, in one case."""
    case = _find_case(asked["cases"], query["case"])
    if query["kind"] == "pressure-line":
        lines = trace_pressure_lines(_plant(asked), case=case)
        title = f"Pressure from boiler to engine: {case.name}"
        return draw_pressure_line(lines, title=title, measure=measure())
    curves = trace_supply_and_demand(_plant(asked), case=case)
    return draw_supply_and_demand(curves, measure=measure())


def _plant(asked: dict[str, Any]) -> RunningPlant:
    trunk, outlets = asked["trunk"], asked["outlets"]
    return prepare_plant(asked["boiler"], asked["engines"], trunk=trunk, open_outlets=outlets)


def _find_case(cases: list[RunningCase], wanted: str | None) -> RunningCase:
    for case in cases:
        if wanted in (None, case.name):
            return case
    known = ", ".join(case.name for case in cases)
    raise WrongRequest(f"There is no case of this name; there are: {known}.", field="case")


CHANGES = Calculation(
    name="steam-balance/changes",
    about="Say which passage costs each engine most at its wanted speed, and what bore would do.",
    takes=ChangesIn,
    gives=ChangesOut,
    reckon=find_changes,
)


BALANCE = Calculation(
    name="steam-balance",
    about="Find the pressure and speed at which each engine settles, in every running case.",
    takes=SteamBalanceIn,
    gives=SteamBalanceOut,
    reckon=lambda asked, _: balance(_plant(asked), cases=asked["cases"]),
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
