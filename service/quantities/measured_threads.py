"""Threads that are in no table, entered as they were measured."""

import re
from collections.abc import Mapping
from fractions import Fraction

from service.engineering.errors import EngineeringError
from service.engineering.threads.catalogue import Thread, custom_thread, turn_left
from service.quantities.characters import make_plain
from service.quantities.errors import QuantityError, naming
from service.quantities.kinds import DEGREE, Kind
from service.quantities.numbers import read_number, show_decimal, show_mixed
from service.quantities.parsing import LONGEST_TEXT, parse
from service.quantities.quantity import Quantity
from service.quantities.units import INCH

LONGEST_DESIGNATION = 60  # characters of a thread designation at most
MEASURED = re.compile(
    r"(?P<diameter>[^xX]{1,40}?) ?[xX] ?(?P<pitch>[^xX]{1,40}?),? "
    r"(?P<angle>[0-9.][0-9./ ]{0,40} ?[dD][eE][gG][a-zA-Z]{0,4})"
    r"(?:,? ?[tT]aper (?P<taper>.{1,12}))?"
)
"""`6.3 mm x 0.6 mm 60 deg`, `0.25 in x 40 tpi 55 deg taper 1 in 16`."""

PER_INCH = re.compile(r"([0-9 ./]{1,40}?) ?(?:tpi|threads per inch)", re.IGNORECASE)
TAPER = re.compile(r"1 ?(?:in|:|/) ?([0-9]{1,3}(?:\.[0-9]{1,3})?)", re.IGNORECASE)
KEYS = ("diameter", "pitch", "threads_per_inch", "angle", "taper", "hand")
HANDS = ("right", "left")
PER_INCH_WANTED = "write a number of threads per inch between 3 and 500, e.g. 40"
TAPER_WANTED = "write the taper as 1 in 16, on diameter"


def read_measured_text(plain: str) -> Thread | None:
    """The thread of a measured description in plain text; None if the text is no such thing."""
    found = MEASURED.fullmatch(plain)
    if found is None:
        return None
    entry = {"diameter": found["diameter"], "angle": found["angle"], "taper": found["taper"]}
    if per_inch := PER_INCH.fullmatch(found["pitch"]):
        return read_measured_mapping(entry | {"threads_per_inch": per_inch[1]})
    return read_measured_mapping(entry | {"pitch": found["pitch"]})


def read_measured_mapping(entry: Mapping[str, object], *, field: str | None = None) -> Thread:
    """The thread of a mapping of measurements; a refusal names the member at fault."""
    _check_keys(entry, field)
    diameter = _read_member(entry, "diameter", kind=Kind.LENGTH, field=field)
    angle = _read_member(entry, "angle", kind=Kind.ANGLE, field=field)
    per_inch = _read_per_inch(entry.get("threads_per_inch"), _name(field, "threads_per_inch"))
    taper = _read_taper(entry.get("taper"), _name(field, "taper"))
    if per_inch is None:
        quantity = _read_member(entry, "pitch", kind=Kind.LENGTH, field=field)
        pitch, step = quantity.value, quantity.text
    else:
        pitch, step = INCH / per_inch, f"{_show_exactly(per_inch)} tpi"
    designation = f"{diameter.text} x {step} {show_decimal(angle.value / DEGREE, places=9)} deg"
    if taper:
        designation += f" taper 1 in {show_decimal(1 / taper, places=3)}"
    hand = entry.get("hand") or "right"
    if hand not in HANDS:
        raise QuantityError("The hand of a thread is right or left.", _name(field, "hand"))
    if len(designation) > LONGEST_DESIGNATION - len(" LH"):
        raise QuantityError("The measurements are too long: write fewer figures.", field)
    try:
        thread = custom_thread(
            designation,
            diameter=diameter.si,
            pitch=float(pitch),
            included_angle=angle.si,
            taper=float(taper),
            threads_per_inch=None if per_inch is None else float(per_inch),
        )
    except EngineeringError as error:
        member = {"included_angle": "angle"}.get(error.field or "", error.field or "diameter")
        raise QuantityError(error.message, _name(field, member)) from None
    return turn_left(thread) if hand == "left" else thread


def _check_keys(entry: Mapping[str, object], field: str | None) -> None:
    if any(key not in KEYS for key in entry):
        raise QuantityError(f"A measured thread has only these: {', '.join(KEYS)}.", field)
    if (entry.get("pitch") is None) == (entry.get("threads_per_inch") is None):
        raise QuantityError(
            "A measured thread needs one of pitch and threads_per_inch: "
            "write 0.6 mm for the pitch or 40 for the threads per inch.",
            field,
        )


def _read_member(
    entry: Mapping[str, object], member: str, *, kind: Kind, field: str | None
) -> Quantity:
    """A member as a quantity whose text is plain, so that the designation can be read again."""
    quantity = parse(entry.get(member), kind, field=_name(field, member))
    plain = make_plain(quantity.text, longest=LONGEST_TEXT, wanted="")
    return Quantity(kind, quantity.value, plain)


def _read_per_inch(value: object, field: str) -> Fraction | None:
    if value is None:
        return None
    number: Fraction | None = None
    if isinstance(value, int | float) and not isinstance(value, bool) and 3 <= value <= 500:
        number = Fraction(round(Fraction(value) * 10**6), 10**6)
    elif isinstance(value, str):
        with naming(field):
            plain = make_plain(value, longest=LONGEST_TEXT, wanted=PER_INCH_WANTED).lower()
        number = read_number(plain.removesuffix("tpi").strip())
    if number is None or not 3 <= number <= 500:
        raise QuantityError(f"The threads per inch are not understood: {PER_INCH_WANTED}.", field)
    return number


def _read_taper(value: object, field: str) -> Fraction:
    if value is None:
        return Fraction(0)
    with naming(field):
        plain = make_plain(value, longest=LONGEST_TEXT, wanted=TAPER_WANTED)
    found = TAPER.fullmatch(plain)
    if found is None or Fraction(found[1]) == 0:
        raise QuantityError(f"The taper is not understood: {TAPER_WANTED}.", field)
    return 1 / Fraction(found[1])


def _show_exactly(number: Fraction) -> str:
    decimal = show_decimal(number, places=9)
    return decimal if Fraction(decimal) == number else show_mixed(number)


def _name(field: str | None, member: str) -> str:
    return member if field is None else f"{field}.{member}"
