"""Workshop notation to exact SI and back: the one place where text becomes a quantity.

`parse`, `parse_drill` and `parse_thread` read what people write and raise `QuantityError` for
anything else, and `read_given` reads a whole thing so; `describe` gives the wire form with its
fixed unit, `to_wire_unit` does so for findings and workings; `word` puts a sentence into words.
"""

from service.quantities.designations import TakenThread, parse_thread, take_thread
from service.quantities.display import describe, nearest_64th, nearest_drill_text, show
from service.quantities.drills import parse_drill
from service.quantities.errors import QuantityError
from service.quantities.given_reading import read_given
from service.quantities.kinds import STANDARD_ATMOSPHERE, Kind
from service.quantities.parsing import parse
from service.quantities.quantity import Quantity
from service.quantities.wire import Shown, to_wire_unit
from service.quantities.wording import Measure, show_figure, word

__all__ = [
    "STANDARD_ATMOSPHERE", "Kind", "Measure", "Quantity", "QuantityError", "Shown", "TakenThread",
    "describe",
    "nearest_64th", "nearest_drill_text", "parse", "parse_drill", "parse_thread", "read_given",
    "show", "show_figure", "take_thread", "to_wire_unit", "word",
]  # fmt: skip
