"""The shell's stress, and the cold-water test; neither is a permission."""

from service.api.calculation import Calculation
from service.api.derive import part_of, schema_in, schema_out
from service.api.fields import Number, Text
from service.api.quantity_fields import QuantityIn, figures
from service.api.schemas.base import Asked
from service.api.schemas.calculations import CalculationOut
from service.engineering.steam.shell import (
    CopperCylinder,
    HydraulicTest,
    ShellCheck,
    check_shell,
    find_hydraulic_test,
)
from service.quantities import Kind, read_given


class CopperShellIn(schema_in(CopperCylinder, makes=False)):
    """A copper shell, tube or pipe, annealed by brazing, at the inspector's stated pressure.

    `joint` is seamless or brazed_strap.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)


class CopperShellOut(
    schema_out(
        ShellCheck,
        "pressure temperature joint_factor hoop_stress allowable_stress pressure_by_stress"
        " pressure_by_strength",
    ),
    CalculationOut,
):
    """Hoop stress of a plain cylinder; neither pressure is a permission."""


SHELL = Calculation(
    name="shell",
    about="Look at the hoop stress of a plain copper cylinder; indicative, and no permission.",
    takes=CopperShellIn,
    gives=CopperShellOut,
    reckon=lambda asked, _: check_shell(
        read_given(CopperCylinder, asked), **figures(asked, "pressure")
    ),
)


class HydraulicTestIn(Asked):
    """A regime of `/hydraulic-tests` and the inspector's stated working pressure.

    Where the regime asks for it, `stress_ratio` is the allowable stress cold over hot.
    """

    regime = Text(longest=40, required=True, metadata={"example": "uk_small"})
    working_pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    stress_ratio = Number(load_default=None, metadata={"example": 1.2})


class RegimeOut(
    schema_out(
        part_of(HydraulicTest, "regime"),
        "key name first repeat hot_factor asks_stress_ratio edition source",
    )
):
    """Factors that one set of rules asks on the working gauge pressure; repeat null: as it says."""


class HydraulicTestOut(
    schema_out(
        HydraulicTest, "regime working_pressure first_pressure repeat_pressure", regime=RegimeOut
    ),
    CalculationOut,
):
    """Cold-water test pressures; repeat null: as the rules say for the boiler."""


HYDRAULIC_TEST = Calculation(
    name="hydraulic-test",
    about="Give the cold-water test pressures that a named regime commonly asks.",
    takes=HydraulicTestIn,
    gives=HydraulicTestOut,
    reckon=lambda asked, _: find_hydraulic_test(
        asked["regime"], **figures(asked, "working_pressure"), stress_ratio=asked["stress_ratio"]
    ),
)
