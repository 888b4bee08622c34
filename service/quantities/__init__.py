"""Workshop notation to exact SI and back: the one place where text becomes a quantity.

`parse`, `parse_drill` and `parse_thread` read what people write and raise `QuantityError` for
anything else; `describe` gives the wire form with its fixed unit; `to_wire_unit` does the same for
findings and workings.
"""

from service.quantities.designations import parse_thread
from service.quantities.display import (
    Shown,
    describe,
    nearest_64th,
    nearest_drill_text,
    show,
    show_minutes,
)
from service.quantities.drills import parse_drill
from service.quantities.errors import QuantityError
from service.quantities.kinds import STANDARD_ATMOSPHERE, Kind
from service.quantities.parsing import parse
from service.quantities.quantity import Quantity
from service.quantities.wire import to_wire_unit

__all__ = [
    "STANDARD_ATMOSPHERE",
    "Kind",
    "Quantity",
    "QuantityError",
    "Shown",
    "describe",
    "nearest_64th",
    "nearest_drill_text",
    "parse",
    "parse_drill",
    "parse_thread",
    "show",
    "show_minutes",
    "to_wire_unit",
]
