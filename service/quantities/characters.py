"""Workshop text to plain ASCII: fraction characters, inch marks, degree signs, dashes, spaces.

Only the characters listed here are rewritten, and only where they can mean one thing: any other is
refused. General Unicode normalisation is not used: it would turn `3½ in` into 31/2 in and `10² mm`
into 102 mm without a word.
"""

import re

from service.quantities.errors import QuantityError

FRACTIONS = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3",
    "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip

PLAIN = str.maketrans(
    {character: f" {fraction} " for character, fraction in FRACTIONS.items()}
    | {"⅟": " 1/"}
    | dict.fromkeys("⁄∕", "/")
    | dict.fromkeys("‐‑‒–—", "-")
    | dict.fromkeys("\u00a0\u2002\u2003\u2007\u2009\u200a\u202f", " ")
    | dict.fromkeys("″“”„", '"')
    | dict.fromkeys("′‘’", "'")
    | dict.fromkeys("°º˚", "deg")
    | {"℃": "degC", "℉": "degF", "µ": "u", "μ": "u", "×": "x", "✕": "x"}
)

SCRIPT_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
SCRIPT_FRACTION = re.compile("([⁰¹²³⁴⁵⁶⁷⁸⁹]{1,4})[⁄/]([₀₁₂₃₄₅₆₇₈₉]{1,4})")
DOTS = "[\u00b7\u0387\u2219\u22c5]"  # middle dot, its Greek twin, and two of mathematics
RAISED_POINT = re.compile(rf"(?<![^0-9\s+\-−xX×]){DOTS}(?=[0-9])")
"""As it is printed in old tables: `0·25 in`, `·5 in`."""
PRODUCT_DOT = re.compile(f"(?<=[A-Za-z]){DOTS}(?=[A-Za-z])")  # N·m
LEADING_MINUS = re.compile(r"^\s*−")  # anywhere else it takes away, which is not reckoned here
THIN_GROUPS = re.compile("(?<=[0-9])[\u2007\u2009\u200a\u202f](?=[0-9]{3}(?![0-9]))")
"""Thousands set apart: `1 000`. A word space there is refused by the grammar."""
COMMA = re.compile("(?<=[0-9]),(?=[0-9])")
SQUARE_OR_CUBE = re.compile("(?<=[A-Za-z])([²³])")
SPACES = re.compile(" {2,}")
AROUND_SLASH = re.compile(" ?/ ?")


def make_plain(text: object, *, longest: int, wanted: str) -> str:
    """The text in plain ASCII with single spaces, or a refusal that says what is wanted."""
    if not isinstance(text, str):
        raise QuantityError(_explain_type(text, wanted))
    if len(text) > longest:
        raise QuantityError(f"At most {longest} characters are read here: {wanted}.")
    if THIN_GROUPS.search(text):
        raise QuantityError(f"A space among the figures is not understood: {wanted}.")
    plain = text if text.isascii() else _rewrite(text)
    if not plain.isprintable():
        raise QuantityError(f"The text holds a character that does not print: {wanted}.")
    if not plain.isascii():
        stranger = next(character for character in plain if not character.isascii())
        raise QuantityError(f"The character {stranger} is not understood: {wanted}.")
    if COMMA.search(plain):
        raise QuantityError(f"A comma is not understood: write {mend_comma(plain)}.")
    return _space_evenly(plain, wanted)


def mend_comma(text: str) -> str:
    """What a comma in a text may have meant: a point, or nothing where it sets off thousands."""
    pointed = text.strip().replace(",", ".")
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", text):
        return f"{text.strip().replace(',', '')} or {pointed}"
    return pointed


def _explain_type(value: object, wanted: str) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"A bare number is not enough here: {wanted}."
    return f"A text is needed here: {wanted}."


def _rewrite(text: str) -> str:
    text = SCRIPT_FRACTION.sub(_spell_fraction, text)
    text = LEADING_MINUS.sub("-", RAISED_POINT.sub(".", PRODUCT_DOT.sub(" ", text)))
    text = SQUARE_OR_CUBE.sub(lambda found: f"^{found[0].translate(SCRIPT_DIGITS)}", text)
    return text.translate(PLAIN)


def _spell_fraction(found: re.Match[str]) -> str:
    return f" {found[1]}/{found[2]} ".translate(SCRIPT_DIGITS)


def _space_evenly(plain: str, wanted: str) -> str:
    plain = SPACES.sub(" ", plain.strip(" ")).replace("''", '"')
    if not plain:
        raise QuantityError(f"Nothing was written: {wanted}.")
    return AROUND_SLASH.sub("/", plain)
