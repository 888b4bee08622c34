"""A safety valve by its seat and lift, and what such a hole passes by three rules.

The rules agree within 1 % on the flow through a hole; what the hole is, the valve's lift decides.
"""

from dataclasses import dataclass
from math import pi, sin, sqrt
from typing import Annotated

from service.engineering.constants import ATMOSPHERE, INCH, POUND, POUND_PER_SQUARE_INCH
from service.engineering.errors import require
from service.engineering.given import given, require_given
from service.engineering.saturation import saturation
from service.engineering.steam.properties import STEAM_EXPONENT, vapour_volume

FLAT = pi * (1 + 1e-9)  # A flat seat [rad]; the hair above is for degrees turned into radians
ISO_SOURCE = "ISO 4126-1 with k = 1.135"
NAPIER_SOURCE = "Napier's rule, W = A P/70 in pounds, inches and seconds"
ASME_SOURCE = "ASME form, W = 51.5 A P K in pounds an hour"


@dataclass(frozen=True, slots=True)
class SafetyValve:
    """A safety valve by what can be measured on it."""

    seat: Annotated[float, "m"] = given("4 mm", least=5e-4, most=0.05)  # bore of the seat
    lift: Annotated[float, "m"] = given("0.16 mm", above=0.0)  # lift when blowing, to half the seat
    seat_angle: Annotated[float, "rad"] = given("90 deg", default=pi, least=pi / 6, most=FLAT)
    """Included angle of the conical seat; half a turn for a flat seat."""
    discharge_coefficient: float = given(0.6, default=0.6, least=0.05, most=1.0)
    """Actual over ideal flow through the effective area; ISO 4126-1 asks for 0.9 of the measured
    one."""
    exit_area: Annotated[float, "m2"] | None = given("8 mm2", default=None, above=0.0)
    """Area of the ways out round guide and adjuster; None if they are ample."""

    def __post_init__(self) -> None:
        require_given(self)
        require(self.lift <= self.seat / 2, "lift", "Lift is at most half the seat bore.")

    @property
    def bore_area(self) -> float:
        """Area of the seat bore [m2]."""
        return pi / 4 * self.seat**2

    @property
    def curtain_per_lift(self) -> float:
        """Curtain area for each metre of lift [m]."""
        return pi * self.seat * sin(self.seat_angle / 2)

    @property
    def effective_area(self) -> float:
        """The least of bore, curtain and exits [m2]."""
        ways = [self.bore_area, self.curtain_per_lift * self.lift]
        if self.exit_area is not None:
            ways.append(self.exit_area)
        return min(ways)


@dataclass(frozen=True, slots=True)
class Capacity:
    """Dry steam passed, by three rules [kg/s]."""

    iso_4126: float  # by ISO 4126-1 with k = 1.135 [kg/s]
    napier: float  # by Napier's rule [kg/s]
    asme_51_5: float  # by the 51.5 A P form [kg/s]

    @property
    def least(self) -> float:
        """The lowest of the three [kg/s]."""
        return min(self.iso_4126, self.napier, self.asme_51_5)


def find_relieving_pressure(set_pressure: float, accumulation: float) -> float:
    """Pressure at which the valve must pass everything: the gauge reading grows, not the air's.

    set_pressure: absolute pressure at which the valve lifts [Pa].
    accumulation: rise allowed, as a part of the set gauge pressure.
    Returns: absolute pressure [Pa].
    Source: Definition of accumulation in boiler codes.
    """
    return ATMOSPHERE + (set_pressure - ATMOSPHERE) * (1 + accumulation)


def find_greatest_evaporation(heat: float, *, relieving_pressure: float) -> float:
    """Most steam a fire can make while the valve blows: water at the boil, feed shut.

    heat: largest heat into the water [W], above 0.
    relieving_pressure: absolute pressure while blowing [Pa].
    Returns: steam [kg/s].
    Raises OutOfRange: if the heat is not above 0 or the pressure is outside its range.
    Source: Heat over latent heat (IAPWS-IF97); cold feed would only lower it.
    """
    require(heat > 0, "heat", "Heat must be above 0.")
    return heat / saturation(relieving_pressure).latent_heat


def find_capacity(area: float, pressure: float, *, coefficient: float) -> Capacity:
    """Dry saturated steam a choked hole passes, by three rules.

    Source: ISO 4126-1: 0.2883 C A K root(p/v), C = 3.948 root(k (2/(k+1))^((k+1)/(k-1))), k =
    1.135, in kg/h, mm², bar, m3/kg. Napier: A P/70. ASME form: 51.5 A P K.
    """
    k = STEAM_EXPONENT
    flow_function = 3.948 * sqrt(k * (2 / (k + 1)) ** ((k + 1) / (k - 1)))
    root = sqrt(pressure / 1e5 / vapour_volume(pressure))
    imperial = area / INCH**2 * pressure / POUND_PER_SQUARE_INCH * POUND * coefficient
    return Capacity(
        iso_4126=0.2883 * flow_function * area * 1e6 * coefficient * root / 3600,
        napier=imperial / 70,
        asme_51_5=51.5 * imperial / 3600,
    )
