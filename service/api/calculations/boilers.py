"""Boilers and steam pipes: fire and supply, heat lost by pipes, blowdown."""

from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from service.api.calculation import Calculation
from service.api.calculations.passages import passage_of
from service.api.derive import field_in, schema_in, schema_out
from service.api.fields import Text
from service.api.quantity_fields import QuantityIn, above_nothing, figures, quantity, refusing, si
from service.api.schemas.base import Asked
from service.api.schemas.calculations import CalculationOut, standing_at
from service.engineering.steam.boiler import (
    Blowdown,
    Boiler,
    BoilerSupply,
    Firing,
    PipeLoss,
    PipeRun,
    Shell,
    blow_down,
    boiler_supply,
    burn_fuel,
    burn_gas,
    find_water_between,
    heat_electrically,
    pipe_loss,
)
from service.quantities import Kind, read_given


class PipeLossIn(schema_in(PipeRun, without=("conductivity",), makes=False)):
    """A run of copper steam pipe between two fittings; `flow` is the steam that passes.

    Lagging is reckoned as string or felt, 0.06 W/m/K.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")


class PipeLossOut(
    schema_out(
        PipeLoss,
        "loss_per_metre=loss_per_length bare_loss_per_metre=bare_loss_per_length heat condensate"
        " warming_condensate critical_radius least_lagging share",
    ),
    CalculationOut,
):
    """What a run of pipe costs; `least_lagging` null: no lagging to 50 mm beats the bare pipe."""


PIPE_LOSS = Calculation(
    name="pipe-loss",
    about="Reckon heat and water lost by a run of pipe, and whether lagging would help.",
    takes=PipeLossIn,
    gives=PipeLossOut,
    reckon=lambda asked, _: pipe_loss(
        read_given(PipeRun, asked), **figures(asked, "pressure air_temperature flow")
    ),
)


class FireIn(Asked):
    """A fire: an electric element's `power`, a gas `jet` with its pressure, or a `rate` of fuel.

    `kind` is how it heats the water and sets the band of efficiency: spirit_pot, gas_flue,
    gas_tubes, coal, electric; `fuel` is butane, isobutane, propane, butane_propane, spirit,
    ethanol, methanol, hexamine or coal. `carried` is the fuel on board, where it can run out.
    """

    power = quantity(Kind.POWER, "1500 W")
    kind = Text(longest=40, load_default=None, metadata={"example": "gas_tubes"})
    fuel = Text(longest=40, load_default=None, metadata={"example": "butane"})
    rate = quantity(Kind.MASS_FLOW, "2.4 g/min")
    jet = quantity(Kind.LENGTH, "0.25 mm")
    pressure = quantity(Kind.PRESSURE, "1.5 bar")
    temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")
    carried = quantity(Kind.MASS, "150 g", validate=above_nothing)

    @validates_schema
    def check_way(self, data: dict[str, Any], **_: Any) -> None:
        """A fire is known in one way, by all that belongs to it."""
        ways = [name for name in _FIRE_MEMBERS if data[name] is not None]
        if len(ways) != 1:
            raise ValidationError(
                "Give the power of an element, the jet of a gas burner, or the rate at which fuel"
                " burns: one of them.",
                ways[1] if ways else "rate",
            )
        faults = _find_fire_faults(data, ways[0])
        if faults:
            raise ValidationError(faults)

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Firing:
        """The fire; what engineering refuses is a fault of the member named."""
        with refusing():
            return _light(data)


_FIRE_MEMBERS: dict[str, tuple[str, ...]] = {
    "power": (),
    "jet": ("kind", "fuel", "pressure", "carried"),
    "rate": ("kind", "fuel", "carried"),
}
"""The ways in which a fire is known, and what goes with each."""


ELECTRIC = "electric"


def _find_fire_faults(data: dict[str, Any], way: str) -> dict[str, list[str]]:
    members = _FIRE_MEMBERS[way]
    given = [name for name in _FIRE_MEMBERS["jet"] if data[name] is not None]
    if data["kind"] == ELECTRIC:
        given.remove("kind")
        if way != "power":
            return {"kind": ["An electric element is known by its power."]}
    lacking = {
        name: [f"A fire known by its {way} needs its {name}."]
        for name in members
        if name not in given and name != "carried"
    }
    return lacking | {
        name: [f"A fire known by its {way} has no {name}."] for name in given if name not in members
    }


def _light(data: dict[str, Any]) -> Firing:
    if data["power"] is not None:
        return heat_electrically(data["power"].si)
    kind, fuel, store = data["kind"], data["fuel"], si(data["carried"])
    if data["rate"] is not None:
        return burn_fuel(fuel, data["rate"].si, kind=kind, store=store)
    return burn_gas(
        fuel, data["jet"].si, **figures(data, "pressure temperature"), kind=kind, store=store
    )


class GlassIn(Asked):
    """Levels above the lowest point of the shell: the lowest safe one, and full."""

    low = field_in(Boiler, "low_level")
    high = field_in(Boiler, "high_level")


class BoilerSupplyIn(
    schema_in(
        Boiler, without=("firing", "shell", "low_level", "high_level", "conductivity"), makes=False
    )
):
    """A boiler, its fire and its water, at a pressure to be held; pressures are gauge.

    `pressure_limit` is what the inspector stated. Lagging is reckoned as string or felt,
    0.06 W/m/K.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    pressure_limit = quantity(Kind.PRESSURE, "60 psi")
    feed_temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    fire = fields.Nested(FireIn, required=True)
    shell = fields.Nested(schema_in(Shell), required=True)
    glass = fields.Nested(GlassIn, required=True)

    @validates_schema
    def check_limit(self, data: dict[str, Any], **_: Any) -> None:
        """The inspector's stated pressure is a limit."""
        limit = data["pressure_limit"]
        if limit is not None and data["pressure"].value > limit.value:
            raise ValidationError(
                f"The inspector stated {limit.text}: no higher pressure is reckoned with.",
                "pressure",
            )


class BoilerSupplyOut(
    schema_out(
        BoilerSupply,
        "pressure shell_loss net_heat evaporation evaporation_unfed surface_evaporation"
        " usable_water water_time fuel_time raising_time",
    ),
    CalculationOut,
):
    """What a boiler gives; times are null where they have no end, or none is to be known."""


def read_boiler(asked: dict[str, Any]) -> Boiler:
    """The boiler of a request."""
    low, high = asked["glass"]["low"].si, asked["glass"]["high"].si
    with standing_at("glass"):
        find_water_between(asked["shell"], low=low, high=high)
    return read_given(
        Boiler, asked, firing=asked["fire"], shell=asked["shell"], low_level=low, high_level=high
    )


BOILER_SUPPLY = Calculation(
    name="boiler-supply",
    about="Reckon the steam a boiler gives, how long it lasts, and how long it takes to raise.",
    takes=BoilerSupplyIn,
    gives=BoilerSupplyOut,
    reckon=lambda asked, _: boiler_supply(
        read_boiler(asked), **figures(asked, "pressure feed_temperature air_temperature")
    ),
)


class BlowdownIn(Asked):
    """Cock and drain in the order water meets them, to the open air, and the water to be lost."""

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    water = QuantityIn(Kind.MASS, example="300 g", required=True)
    elements = passage_of(required=True)


class BlowdownOut(
    schema_out(Blowdown, "flow emptying_time exit_pressure exit_velocity thrust flashed"),
    CalculationOut,
):
    """Boiling water let out; low is in equilibrium, high does not flash on its way."""


BLOWDOWN = Calculation(
    name="blowdown",
    about="Reckon how fast boiling water leaves through cock and drain, and how hard it pushes.",
    takes=BlowdownIn,
    gives=BlowdownOut,
    reckon=lambda asked, _: blow_down(asked["elements"], **figures(asked, "pressure water")),
)
