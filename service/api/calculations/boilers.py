"""Boilers: fire and supply, pipes, shell, cold-water test, blowdown."""

from typing import Any

from marshmallow import ValidationError, fields, post_load, validates_schema

from service.api.calculation import Calculation
from service.api.calculations.passages import passage_of
from service.api.derive import field_in, schema_in
from service.api.fields import Number, Text, Words
from service.api.quantity_fields import (
    BandOut,
    GaugeOut,
    QuantityIn,
    QuantityOut,
    above_nothing,
    quantity,
    si,
)
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import CalculationOut, refusing, standing_at
from service.engineering.kit import Kit
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
from service.engineering.steam.shell import (
    CopperCylinder,
    HydraulicTest,
    ShellCheck,
    check_shell,
    find_hydraulic_test,
)
from service.quantities import Kind, read_given


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
        fuel,
        data["jet"].si,
        pressure=data["pressure"].absolute,
        temperature=data["temperature"].si,
        kind=kind,
        store=store,
    )


class GlassIn(Asked):
    """Levels above the lowest point of the shell: the lowest safe one, and full."""

    low = QuantityIn(Kind.LENGTH, example="50 mm", required=True)
    high = QuantityIn(Kind.LENGTH, example="75 mm", required=True)


class BoilerSupplyIn(Asked):
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
    metal_mass = QuantityIn(Kind.MASS, example="2.5 kg", required=True)
    heating_surface = quantity(Kind.AREA, "500 cm2")
    lagging = quantity(Kind.LENGTH, "6 mm")
    emissivity = field_in(PipeRun, "emissivity")

    @validates_schema
    def check_limit(self, data: dict[str, Any], **_: Any) -> None:
        """The inspector's stated pressure is a limit."""
        limit = data["pressure_limit"]
        if limit is not None and data["pressure"].value > limit.value:
            raise ValidationError(
                f"The inspector stated {limit.text}: no higher pressure is reckoned with.",
                "pressure",
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


def reckon_supply(asked: dict[str, Any], _: Kit) -> BoilerSupply:
    """The steam of the boiler of a request."""
    return boiler_supply(
        read_boiler(asked),
        pressure=asked["pressure"].absolute,
        feed_temperature=asked["feed_temperature"].si,
        air_temperature=asked["air_temperature"].si,
    )


def read_boiler(asked: dict[str, Any]) -> Boiler:
    """The boiler of a request."""
    low, high = asked["glass"]["low"].si, asked["glass"]["high"].si
    with standing_at("glass"):
        find_water_between(asked["shell"], low=low, high=high)
    emissivity = {"emissivity": asked["emissivity"]} if "emissivity" in asked else {}
    return Boiler(
        firing=asked["fire"],
        shell=asked["shell"],
        low_level=low,
        high_level=high,
        metal_mass=asked["metal_mass"].si,
        heating_surface=si(asked["heating_surface"]),
        lagging=si(asked["lagging"]) or 0.0,
        **emissivity,
    )


BOILER_SUPPLY = Calculation(
    name="boiler-supply",
    about="Reckon the steam a boiler gives, how long it lasts, and how long it takes to raise.",
    takes=BoilerSupplyIn,
    gives=BoilerSupplyOut,
    reckon=reckon_supply,
    example={
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
    },
)


class PipeLossIn(schema_in(PipeRun, without=("conductivity",), makes=False)):
    """A run of copper steam pipe between two fittings; `flow` is the steam that passes.

    Lagging is reckoned as string or felt, 0.06 W/m/K.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")


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


def reckon_pipe_loss(asked: dict[str, Any], _: Kit) -> PipeLoss:
    """What the run of pipe of a request costs."""
    return pipe_loss(
        read_given(PipeRun, asked),
        pressure=asked["pressure"].absolute,
        air_temperature=asked["air_temperature"].si,
        flow=si(asked["flow"]),
    )


PIPE_LOSS = Calculation(
    name="pipe-loss",
    about="Reckon heat and water lost by a run of pipe, and whether lagging would help.",
    takes=PipeLossIn,
    gives=PipeLossOut,
    reckon=reckon_pipe_loss,
    example={
        "pressure": "4 bar",
        "air_temperature": "20 degC",
        "outside_diameter": "1/4 in",
        "bore": "3/16 in",
        "length": "400 mm",
        "fittings": 2,
        "lagging": "3 mm",
        "flow": "20 g/min",
    },
)


class CopperShellIn(schema_in(CopperCylinder, makes=False)):
    """A copper shell, tube or pipe, annealed by brazing, at the inspector's stated pressure.

    `joint` is seamless or brazed_strap.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)


class CopperShellOut(CalculationOut):
    """Hoop stress of a plain cylinder; neither pressure is a permission."""

    pressure = GaugeOut(required=True)
    temperature = QuantityOut(Kind.TEMPERATURE, required=True)
    joint_factor = fields.Float(required=True)
    hoop_stress = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    allowable_stress = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    pressure_by_stress = GaugeOut(required=True)
    pressure_by_strength = GaugeOut(required=True)


def reckon_shell(asked: dict[str, Any], _: Kit) -> ShellCheck:
    """The hoop stress of the cylinder of a request."""
    return check_shell(read_given(CopperCylinder, asked), pressure=asked["pressure"].absolute)


SHELL = Calculation(
    name="shell",
    about="Look at the hoop stress of a plain copper cylinder; indicative, and no permission.",
    takes=CopperShellIn,
    gives=CopperShellOut,
    reckon=reckon_shell,
    example={
        "pressure": "60 psi",
        "outside_diameter": "4 in",
        "thickness": "3/32 in",
        "joint": "brazed_strap",
    },
)


class HydraulicTestIn(Asked):
    """A regime of `/hydraulic-tests` and the inspector's stated working pressure.

    Where the regime asks for it, `stress_ratio` is the allowable stress cold over hot.
    """

    regime = Text(longest=40, required=True, metadata={"example": "uk_small"})
    working_pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    stress_ratio = Number(load_default=None, metadata={"example": 1.2})


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


class HydraulicTestOut(CalculationOut):
    """Cold-water test pressures; repeat null: as the rules say for the boiler."""

    regime = fields.Nested(RegimeOut, required=True)
    working_pressure = GaugeOut(required=True)
    first_pressure = GaugeOut(required=True)
    repeat_pressure = GaugeOut(required=True, allow_none=True)


def reckon_hydraulic_test(asked: dict[str, Any], _: Kit) -> HydraulicTest:
    """The test pressures of the regime of a request."""
    return find_hydraulic_test(
        asked["regime"],
        working_pressure=asked["working_pressure"].absolute,
        stress_ratio=asked["stress_ratio"],
    )


HYDRAULIC_TEST = Calculation(
    name="hydraulic-test",
    about="Give the cold-water test pressures that a named regime commonly asks.",
    takes=HydraulicTestIn,
    gives=HydraulicTestOut,
    reckon=reckon_hydraulic_test,
    example={"regime": "uk_small", "working_pressure": "60 psi"},
)


class BlowdownIn(Asked):
    """Cock and drain in the order water meets them, to the open air, and the water to be lost."""

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    water = QuantityIn(Kind.MASS, example="300 g", required=True)
    elements = passage_of(required=True)


class BlowdownOut(CalculationOut):
    """Boiling water let out; low is in equilibrium, high does not flash on its way."""

    flow = BandOut(Kind.MASS_FLOW, required=True)
    emptying_time = BandOut(Kind.DURATION, required=True)
    exit_pressure = GaugeOut(required=True)
    exit_velocity = QuantityOut(Kind.VELOCITY, required=True)
    thrust = QuantityOut(Kind.FORCE, required=True)
    flashed = fields.Float(required=True)


def reckon_blowdown(asked: dict[str, Any], _: Kit) -> Blowdown:
    """The blowing down of the boiler of a request."""
    return blow_down(
        asked["elements"], pressure=asked["pressure"].absolute, water=asked["water"].si
    )


BLOWDOWN = Calculation(
    name="blowdown",
    about="Reckon how fast boiling water leaves through cock and drain, and how hard it pushes.",
    takes=BlowdownIn,
    gives=BlowdownOut,
    reckon=reckon_blowdown,
    example={
        "pressure": "4 bar",
        "water": "300 g",
        "elements": [
            {"kind": "stop_valve", "diameter": "2.5 mm", "lift": "1 mm"},
            {"kind": "pipe", "diameter": "3 mm", "length": "300 mm"},
        ],
    },
)
