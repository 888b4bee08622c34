"""Engineering units of findings and workings, as they go over the wire."""

from typing import get_args

import pytest

from service.engineering.findings import Unit
from service.quantities import to_wire_unit

CONVERTED = [
    (0.00635, "m", 6.35, "mm"),
    (1.24e-6, "m2", 1.24, "mm2"),
    (2.5e-4, "m3", 250.0, "ml"),
    (501_325.0, "Pa", 5.01325, "bar abs"),
    (400_000.0, "Pa gauge", 4.0, "bar"),
    (10_000.0, "Pa difference", 0.1, "bar"),
    (200e6, "Pa stress", 200.0, "MPa"),
    (10.0, "1/s", 600.0, "rpm"),
    (0.00095, "kg/s", 57.0, "g/min"),
    (0.45, "kg", 450.0, "g"),
    (2_748_000.0, "J/kg", 2748.0, "kJ/kg"),
    (4186.0, "J/kg/K", 4.186, "kJ/kg/K"),
    (288.15, "K", 15.0, "degC"),
    (10.0, "K difference", 10.0, "K"),
    (90.0, "s", 1.5, "min"),
    (1.5707963267948966, "rad", 90.0, "deg"),
]


@pytest.mark.parametrize(("value", "unit", "wire_value", "wire_unit"), CONVERTED)
def test_engineering_unit_becomes_a_workshop_unit(value, unit, wire_value, wire_unit):
    assert to_wire_unit(value, unit) == (wire_value, wire_unit)


@pytest.mark.parametrize("unit", sorted(set(get_args(Unit)) - {row[1] for row in CONVERTED}))
def test_other_units_go_out_as_they_are(unit):
    assert to_wire_unit(1.23456789012345, unit) == (1.23456789012345, unit)
