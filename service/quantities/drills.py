"""Drill sizes where a drill is meant: number, letter, fraction or metric."""

import re
from fractions import Fraction

from service.engineering.errors import UnknownDrill
from service.engineering.threads.catalogue import Drill, find_drill
from service.quantities.characters import make_plain
from service.quantities.errors import QuantityError, naming
from service.quantities.kinds import Kind
from service.quantities.parsing import LONGEST_TEXT, parse
from service.quantities.quantity import Quantity
from service.quantities.units import INCH

WANTED = "write No. 2, letter J, 7/32 in or 5.6 mm"
NUMBERED = re.compile(r"(?:#|no\.?|number) ?([0-9]{1,3})", re.IGNORECASE)
LETTERED = re.compile(r"(?:letter )?([A-Z])", re.IGNORECASE)
DRILL_WORD = re.compile(r" drill$", re.IGNORECASE)
BARE_NUMBER = re.compile(r"[0-9]{1,3}")


def parse_drill(text: object, *, field: str | None = None) -> Quantity:
    """Read a drill size as a length: `No. 2`, `#2`, `letter J`, `J`, `7/32 in`, `5.6 mm`."""
    with naming(field):
        plain = DRILL_WORD.sub("", make_plain(text, longest=LONGEST_TEXT, wanted=WANTED))
        if drill := _find_named(plain):
            return Quantity(Kind.LENGTH, _exact_diameter(drill), str(text).strip())
        if BARE_NUMBER.fullmatch(plain):
            raise QuantityError(
                f"'{plain}' may be a number drill or a length: write No. {plain} or {plain} mm."
            )
        if plain[0].isalpha():
            raise QuantityError(f"'{plain}' is not a drill as it is understood here: {WANTED}.")
        length = parse(plain, Kind.LENGTH)
    return Quantity(Kind.LENGTH, length.value, str(text).strip())


def _find_named(plain: str) -> Drill | None:
    if found := NUMBERED.fullmatch(plain):
        return _look_up(f"No. {int(found[1])}", "number drills run from No. 1 to No. 80")
    if found := LETTERED.fullmatch(plain):
        return _look_up(f"letter {found[1].upper()}", "letter drills run from A to Z")
    return None


def _look_up(name: str, extent: str) -> Drill:
    try:
        return find_drill(name)
    except UnknownDrill:
        raise QuantityError(f"There is no drill {name}: {extent}.") from None


def _exact_diameter(drill: Drill) -> Fraction:
    """Number and letter drills are defined to a ten-thousandth of an inch."""
    return Fraction(round(Fraction(drill.diameter) / INCH * 10000), 10000) * INCH
