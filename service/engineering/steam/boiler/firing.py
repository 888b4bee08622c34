"""The fire: heat that fuel or a heater gives, and the part of it that reaches the water."""

from dataclasses import dataclass
from functools import cache
from math import pi, sqrt

from service.engineering.constants import ATMOSPHERE
from service.engineering.data_files import Row, read_number, read_table
from service.engineering.errors import Unsuitable, require, require_within
from service.engineering.findings import Band
from service.engineering.saying import flow, length, listed, mass, name, say
from service.engineering.saying import power as watts
from service.engineering.saying import pressure as gauge
from service.engineering.saying import temperature as degrees

GAS_CONSTANT = 8.314462618  # molar gas constant [J/mol/K] (CODATA)
JET_COEFFICIENT = 0.85  # discharge coefficient of a small drilled gas jet (common practice)
JET_SOURCE = "isentropic nozzle flow of an ideal gas, textbook of gas dynamics"


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel and what it holds."""

    key: str
    name: str
    heating_value: Band  # lower heating value [J/kg]
    molar_mass: float | None  # molar mass of a gas [kg/mol]; None for other fuels
    exponent: float | None  # isentropic exponent of a gas; None for other fuels
    source: str


@dataclass(frozen=True, slots=True)
class Firing:
    """A fire that burns steadily."""

    gross: Band  # heat in the fuel burnt, or electric power [W]
    efficiency: Band  # part that reaches the water, before the shell's own loss
    rate: float | None = None  # fuel burnt [kg/s]; None for an electric element
    store: float | None = None  # fuel carried [kg]; None if it does not run out
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        require(0 < self.gross.low <= self.gross.high, "heat", "Heat must be above 0.")
        possible = 0 < self.efficiency.low <= self.efficiency.high <= 1
        require(possible, "efficiency", "Efficiency must be above 0 and at most 1.")
        if self.store is not None:
            require_within("fuel", self.store, 1e-6, 1e4, mass)

    @property
    def into_water(self) -> Band:
        """Heat that reaches the water, before the shell's own loss [W]."""
        return Band(
            self.gross.low * self.efficiency.low,
            self.gross.likely * self.efficiency.likely,
            self.gross.high * self.efficiency.high,
        )

    @property
    def burning_time(self) -> float | None:
        """How long the fuel carried lasts [s]; None if it does not run out."""
        return self.store / self.rate if self.store and self.rate else None


def burn_fuel(fuel: str, rate: float, *, kind: str, store: float | None = None) -> Firing:
    """A fire that burns fuel at a known rate.

    fuel: key of the fuel.
    rate: fuel burnt [kg/s], above 0, to 0.1 kg/s.
    kind: key of the kind of firing, which sets the band of efficiency.
    store: fuel carried [kg]; None if it does not run out.
    Returns: the fire [W].
    Raises OutOfRange: if the rate or the store is outside its range.
    Raises Unsuitable: if the fuel or the kind of firing is unknown.
    Source: Lower heating value (handbook of combustion); efficiency by common practice.
    """
    require_within("rate", rate, 1e-10, 0.1, flow)
    burnt = find_fuel(fuel)
    efficiency, source = find_efficiency(kind)
    return Firing(burnt.heating_value.scaled(rate), efficiency, rate, store, (burnt.source, source))


def burn_gas(
    fuel: str,
    jet: float,
    *,
    pressure: float,
    temperature: float,
    kind: str,
    store: float | None = None,
) -> Firing:
    """A fire fed by a gas jet.

    fuel: key of the gas.
    jet: bore of the jet [m], 0.05 to 2 mm.
    pressure: absolute pressure before the jet [Pa].
    temperature: temperature of the gas before the jet [K].
    kind: key of the kind of firing, which sets the band of efficiency.
    store: gas carried [kg]; None if it does not run out.
    Returns: the fire [W].
    Raises OutOfRange: if a quantity is outside its range.
    Raises Unsuitable: if the fuel is not a gas, or the kind of firing is unknown.
    Source: Isentropic nozzle flow of an ideal gas with a discharge coefficient of 0.85 (common
        practice).
    """
    rate = find_jet_flow(find_fuel(fuel), jet, pressure=pressure, temperature=temperature)
    fire = burn_fuel(fuel, rate, kind=kind, store=store)
    return Firing(fire.gross, fire.efficiency, rate, store, (*fire.sources, JET_SOURCE))


def heat_electrically(power: float) -> Firing:
    """A fire that is an electric element in the water.

    power: electric power [W], above 0, to 100 kW.
    Returns: the fire [W].
    Raises OutOfRange: if the power is outside its range.
    Source: Efficiency by common practice.
    """
    require_within("power", power, 1.0, 1e5, watts)
    efficiency, source = find_efficiency("electric")
    return Firing(Band(power, power, power), efficiency, sources=(source,))


def find_jet_flow(fuel: Fuel, jet: float, *, pressure: float, temperature: float) -> float:
    """Gas that a jet passes to the open air, choked or not.

    Source: Isentropic nozzle flow of an ideal gas, textbook of gas dynamics; discharge
    coefficient 0.85 (common practice).
    """
    require_within("jet", jet, 5e-5, 2e-3, length)
    require_within("pressure", pressure, ATMOSPHERE, 1.5e6, gauge, above=True)
    require_within("temperature", temperature, 230, 400, degrees)
    if fuel.molar_mass is None or fuel.exponent is None:
        raise Unsuitable(say(name(fuel.name), " does not burn at a gas jet."), field="fuel")
    exponent = fuel.exponent
    choking = (2 / (exponent + 1)) ** (exponent / (exponent - 1))
    ratio = max(ATMOSPHERE / pressure, choking)
    shape = ratio ** (2 / exponent) - ratio ** ((exponent + 1) / exponent)
    specific = GAS_CONSTANT / fuel.molar_mass * temperature
    flux = pressure * sqrt(2 * exponent / (exponent - 1) * shape / specific)
    return JET_COEFFICIENT * pi / 4 * jet**2 * flux


@cache
def find_fuel(key: str) -> Fuel:
    """A fuel of the project's table.

    Source: The table of fuels, each row with its own source.
    """
    row = _find_row("fuels.csv", key, field="fuel")
    low, likely, high = (float(row[f"{end}_mj"]) for end in ("low", "heating_value", "high"))
    return Fuel(
        key=key,
        name=row["name"],
        heating_value=Band(low, likely, high).scaled(1e6),
        molar_mass=read_number(row, "molar_mass_g", scale=1e-3),
        exponent=read_number(row, "exponent"),
        source=row["source"],
    )


@cache
def find_efficiency(kind: str) -> tuple[Band, str]:
    """Band of efficiency of a kind of firing, and its source.

    Source: The table of firing efficiencies: common practice.
    """
    row = _find_row("firing_efficiencies.csv", kind, field="kind")
    return Band(*(float(row[column]) for column in ("low", "likely", "high"))), row["source"]


def _find_row(table: str, key: str, *, field: str) -> Row:
    rows = {row["key"]: row for row in read_table(table)}
    if key not in rows:
        known = listed(map(name, rows))
        raise Unsuitable(say(name(repr(key)), " is not one of: ", known, "."), field=field)
    return rows[key]
