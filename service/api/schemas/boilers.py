"""Boilers on the wire: fire and supply, pipes, shell, cold-water test, blowdown."""

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.api.fields import BandOut, Number, QuantityIn, QuantityOut, Text, Whole, Words
from service.api.schemas.base import In, Out, page_of
from service.api.schemas.calculations import CalculationOut, standing_at
from service.api.schemas.passages import passage_of
from service.api.schemas.steam_fields import (
    GaugeOut,
    above_nothing,
    quantity,
    refusing,
    si,
)
from service.engineering.steam.boiler import (
    OXIDISED_EMISSIVITY,
    Boiler,
    Firing,
    PipeRun,
    Shell,
    burn_fuel,
    burn_gas,
    find_water_between,
    heat_electrically,
)
from service.engineering.steam.shell import CopperCylinder
from service.quantities import Kind


def emissivity_of_metal() -> Number:
    """How dull bare metal is; checked here, for lagged metal does not show it."""
    return Number(
        load_default=OXIDISED_EMISSIVITY, validate=validate.Range(0, 1), metadata={"example": 0.7}
    )


class FireIn(In):
    """A fire: an electric element's `power`, a gas `jet` with its pressure, or a `rate` of fuel.

    `kind` is how it heats the water and sets the band of efficiency: spirit_pot, gas_flue,
    gas_tubes, coal, electric; `fuel` is butane, isobutane, propane, butane_propane, spirit,
    ethanol, methanol, hexamine or coal. `carried` is the fuel on board, where it can run out.
    """

    power = quantity(Kind.POWER, "1500 W")
    kind = Text(longest=40, load_default=None, allow_none=True, metadata={"example": "gas_tubes"})
    fuel = Text(longest=40, load_default=None, allow_none=True, metadata={"example": "butane"})
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
        fuel,
        data["jet"].si,
        pressure=data["pressure"].absolute,
        temperature=data["temperature"].si,
        kind=kind,
        store=store,
    )


class WaterSpaceIn(In):
    """A plain cylindrical shell, inside dimensions; `displaced` is the part that tubes take."""

    lie = fields.String(
        required=True,
        validate=validate.OneOf(["horizontal", "vertical"]),
        metadata={"example": "horizontal"},
    )
    diameter = QuantityIn(Kind.LENGTH, example="100 mm", required=True)
    length = QuantityIn(Kind.LENGTH, example="200 mm", required=True)
    displaced = Number(load_default=0.0, metadata={"example": 0.1})

    @post_load
    def make(self, data: dict[str, Any], **_: Any) -> Shell:
        """The shell; what engineering refuses is a fault of the member named."""
        with refusing():
            return Shell(
                lie=data["lie"],
                diameter=data["diameter"].si,
                length=data["length"].si,
                displaced=data["displaced"],
            )


class GlassIn(In):
    """Levels above the lowest point of the shell: the lowest safe one, and full."""

    low = QuantityIn(Kind.LENGTH, example="50 mm", required=True)
    high = QuantityIn(Kind.LENGTH, example="75 mm", required=True)


class BoilerSupplyIn(In):
    """A boiler, its fire and its water, at a pressure to be held; pressures are gauge.

    `pressure_limit` is what the inspector stated. Lagging is reckoned as string or felt,
    0.06 W/m/K. The emissivity of a bare shell is 0.7 oxidised, 0.05 bright.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    pressure_limit = quantity(Kind.PRESSURE, "60 psi")
    feed_temperature = quantity(Kind.TEMPERATURE, "15 degC", default="15 degC")
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    fire = fields.Nested(FireIn, required=True)
    shell = fields.Nested(WaterSpaceIn, required=True)
    glass = fields.Nested(GlassIn, required=True)
    metal_mass = QuantityIn(Kind.MASS, example="2.5 kg", required=True)
    heating_surface = quantity(Kind.AREA, "500 cm2")
    lagging = quantity(Kind.LENGTH, "6 mm")
    emissivity = emissivity_of_metal()

    @validates_schema
    def check_limit(self, data: dict[str, Any], **_: Any) -> None:
        """The inspector's stated pressure is a limit."""
        limit = data["pressure_limit"]
        if limit is not None and data["pressure"].value > limit.value:
            raise ValidationError(
                f"The inspector stated {limit.text}: no higher pressure is reckoned with.",
                "pressure",
            )


BOILER_SUPPLY_EXAMPLE: dict[str, Any] = {
    "pressure": "4 bar",
    "pressure_limit": "60 psi",
    "feed_temperature": "15 degC",
    "air_temperature": "20 degC",
    "fire": {
        "kind": "gas_tubes",
        "fuel": "butane_propane",
        "jet": "0.25 mm",
        "pressure": "1.5 bar",
        "carried": "150 g",
    },
    "shell": {"lie": "horizontal", "diameter": "100 mm", "length": "200 mm", "displaced": 0.1},
    "glass": {"low": "50 mm", "high": "75 mm"},
    "metal_mass": "2.5 kg",
    "heating_surface": "500 cm2",
    "lagging": "6 mm",
}


def read_boiler(data: dict[str, Any]) -> Boiler:
    """The boiler of a request."""
    low, high = data["glass"]["low"].si, data["glass"]["high"].si
    with standing_at("glass"):
        find_water_between(data["shell"], low=low, high=high)
    return Boiler(
        firing=data["fire"],
        shell=data["shell"],
        low_level=low,
        high_level=high,
        metal_mass=data["metal_mass"].si,
        heating_surface=si(data["heating_surface"]),
        lagging=si(data["lagging"]) or 0.0,
        emissivity=data["emissivity"],
    )


class BoilerSupplyOut(CalculationOut):
    """What a boiler gives; times are null where they have no end, or none is to be known."""

    pressure = GaugeOut(required=True)
    shell_loss = QuantityOut(Kind.POWER, required=True)
    net_heat = BandOut(Kind.POWER, required=True)
    evaporation = BandOut(Kind.MASS_FLOW, required=True)
    evaporation_unfed = BandOut(Kind.MASS_FLOW, required=True)
    surface_evaporation = BandOut(Kind.MASS_FLOW, required=True, allow_none=True)
    usable_water = QuantityOut(Kind.MASS, required=True)
    water_time = BandOut(Kind.DURATION, required=True, allow_none=True)
    fuel_time = QuantityOut(Kind.DURATION, required=True, allow_none=True)
    raising_time = BandOut(Kind.DURATION, required=True, allow_none=True)


class PipeLossIn(In):
    """A run of copper steam pipe between two fittings.

    Lagging is reckoned as string or felt, 0.06 W/m/K. The emissivity of bare pipe is 0.7
    oxidised, 0.05 bright. `flow` is the steam that passes, if it matters.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    outside_diameter = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    bore = QuantityIn(Kind.LENGTH, example="3/16 in", required=True)
    length = QuantityIn(Kind.LENGTH, example="400 mm", required=True)
    fittings = Whole(load_default=0, metadata={"example": 2})
    emissivity = emissivity_of_metal()
    lagging = quantity(Kind.LENGTH, "3 mm")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")


PIPE_LOSS_EXAMPLE: dict[str, Any] = {
    "pressure": "4 bar",
    "air_temperature": "20 degC",
    "outside_diameter": "1/4 in",
    "bore": "3/16 in",
    "length": "400 mm",
    "fittings": 2,
    "lagging": "3 mm",
    "flow": "20 g/min",
}


def read_pipe_run(data: dict[str, Any]) -> PipeRun:
    """The pipe of a request."""
    return PipeRun(
        outside_diameter=data["outside_diameter"].si,
        bore=data["bore"].si,
        length=data["length"].si,
        emissivity=data["emissivity"],
        lagging=si(data["lagging"]) or 0.0,
        fittings=data["fittings"],
    )


class PipeLossOut(CalculationOut):
    """What a run of pipe costs; `least_lagging` null: no lagging to 50 mm beats the bare pipe."""

    loss_per_metre = QuantityOut(Kind.POWER, required=True, attribute="loss_per_length")
    bare_loss_per_metre = QuantityOut(Kind.POWER, required=True, attribute="bare_loss_per_length")
    heat = QuantityOut(Kind.POWER, required=True)
    condensate = QuantityOut(Kind.MASS_FLOW, required=True)
    warming_condensate = QuantityOut(Kind.MASS, required=True)
    critical_radius = QuantityOut(Kind.LENGTH, required=True)
    least_lagging = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    share = fields.Float(required=True, allow_none=True)


class ShellIn(In):
    """A copper shell, tube or pipe, annealed by brazing, at the inspector's stated pressure.

    `joint` is seamless or brazed_strap.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    outside_diameter = QuantityIn(Kind.LENGTH, example="4 in", required=True)
    thickness = QuantityIn(Kind.LENGTH, example="3/32 in", required=True)
    joint = Text(longest=40, required=True, metadata={"example": "brazed_strap"})


SHELL_EXAMPLE: dict[str, Any] = {
    "pressure": "60 psi",
    "outside_diameter": "4 in",
    "thickness": "3/32 in",
    "joint": "brazed_strap",
}


def read_cylinder(data: dict[str, Any]) -> CopperCylinder:
    """The cylinder of a request."""
    return CopperCylinder(data["outside_diameter"].si, data["thickness"].si, data["joint"])


class ShellOut(CalculationOut):
    """Hoop stress of a plain cylinder; neither pressure is a permission."""

    pressure = GaugeOut(required=True)
    temperature = QuantityOut(Kind.TEMPERATURE, required=True)
    joint_factor = fields.Float(required=True)
    hoop_stress = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    allowable_stress = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    pressure_by_stress = GaugeOut(required=True)
    pressure_by_strength = GaugeOut(required=True)


class HydraulicTestIn(In):
    """A regime of `/hydraulic-tests` and the inspector's stated working pressure.

    Where the regime asks for it, `stress_ratio` is the allowable stress cold over hot.
    """

    regime = Text(longest=40, required=True, metadata={"example": "uk_small"})
    working_pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    stress_ratio = Number(load_default=None, allow_none=True, metadata={"example": 1.2})


HYDRAULIC_TEST_EXAMPLE: dict[str, Any] = {"regime": "uk_small", "working_pressure": "60 psi"}


class RegimeOut(Out):
    """Factors that one set of rules asks on the working gauge pressure; repeat null: as it says."""

    key = Words(required=True)
    name = Words(required=True)
    first = fields.Float(required=True)
    repeat = fields.Float(required=True, allow_none=True)
    hot_factor = fields.Float(required=True, allow_none=True)
    asks_stress_ratio = fields.Boolean(required=True)
    edition = Words(required=True)
    source = Words(required=True)


RegimePage = page_of(RegimeOut, "RegimePage")


class HydraulicTestOut(CalculationOut):
    """Cold-water test pressures; repeat null: as the rules say for the boiler."""

    regime = fields.Nested(RegimeOut, required=True)
    working_pressure = GaugeOut(required=True)
    first_pressure = GaugeOut(required=True)
    repeat_pressure = GaugeOut(required=True, allow_none=True)


class BlowdownIn(In):
    """Cock and drain in the order water meets them, to the open air, and the water to be lost."""

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    water = QuantityIn(Kind.MASS, example="300 g", required=True)
    elements = passage_of(required=True)


BLOWDOWN_EXAMPLE: dict[str, Any] = {
    "pressure": "4 bar",
    "water": "300 g",
    "elements": [
        {"kind": "stop_valve", "diameter": "2.5 mm", "lift": "1 mm"},
        {"kind": "pipe", "diameter": "3 mm", "length": "300 mm"},
    ],
}


class BlowdownOut(CalculationOut):
    """Boiling water let out; low is in equilibrium, high does not flash on its way."""

    flow = BandOut(Kind.MASS_FLOW, required=True)
    emptying_time = BandOut(Kind.DURATION, required=True)
    exit_pressure = GaugeOut(required=True)
    exit_velocity = QuantityOut(Kind.VELOCITY, required=True)
    thrust = QuantityOut(Kind.FORCE, required=True)
    flashed = fields.Float(required=True)
