"""The bare figure of what a line passes, for tests that ask for nothing else."""

from collections.abc import Iterable

from service.engineering.steam.passages import Element, Line, flow_through


def mass_flow(
    elements: Iterable[Element] | Line, pressure: float, outlet_pressure: float, **pulsation: float
) -> float:
    """Steam a line passes between two absolute pressures [kg/s]."""
    passed = flow_through(elements, pressure=pressure, outlet_pressure=outlet_pressure, **pulsation)
    return passed.flow
