"""The calculation sheet: what was asked, what came out, and every line of arithmetic with its
numbers and source, so that another engineer can check it with a pencil."""

import datetime as dt
import re
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import typst

from service.documents.typesetting import typeset
from service.documents.wording import show_day
from service.engineering.findings import Finding, Unit, Working, worst_first
from service.engineering.saying import Figure, FigureKind, Said
from service.quantities.numbers import show_four_figures
from service.quantities.wire import to_wire_unit
from service.quantities.wording import Measure, convert_figure, word

LEVELS = {"fail": "FAIL", "caution": "CARE", "ok": "OK"}
"""How a finding's level reads on paper, without colour."""

UNIT_WORDS = {
    "1": "", "mm2": "mm²", "m3/kg": "m³/kg", "kg/s/m2": "kg/(s m²)", "kJ/kg/K": "kJ/(kg K)",
    "degC": "°C", "degF": "°F", "deg": "°", "kg/m3": "kg/m³",
}  # fmt: skip
"""Units as they are set on paper, where that differs from the wire."""

KINDS: dict[Unit, FigureKind] = {
    "m": "fine", "m2": "area", "m3": "volume", "kg": "mass", "kg/s": "flow", "N": "force",
    "N m": "torque", "Pa": "drop", "Pa gauge": "drop", "Pa difference": "drop",
    "Pa stress": "stress", "K": "temperature", "K difference": "rise", "1/s": "speed",
    "m/s": "velocity", "W": "power", "W/m": "heat_loss", "rad": "angle",
}  # fmt: skip
"""What kind of figure a value of the arithmetic is; other units stay what they are."""

_LONG_WORD = re.compile(r"\S{30}(?=\S)")
_BREAK = "\u200b"

# Engineering writes `W = K p_m V_s N` and `p_"set" (1 + "accumulation")`: what is in quotes is
# words, all else letters, numbers and signs. The paper evaluates only what `is_mathematics` lets
# through, so nothing that a person typed can reach the typesetter as anything but text.
WORDS = frozenset({
    "alpha", "beta", "gamma", "delta", "epsilon", "eta", "theta", "lambda", "mu", "nu", "pi", "rho",
    "sigma", "tau", "phi", "psi", "omega", "Delta", "sqrt", "root", "abs", "exp", "ln", "log",
    "sin", "cos", "tan", "cot", "arccos", "arcsin", "arctan", "max", "min", "mod", "floor", "ceil",
    "dot", "integral", "times", "div", "plus", "minus", "approx", "degree", "sum",
})  # fmt: skip
"""Words of more than one letter that mean something in mathematics; any other is quoted."""

PIECES = re.compile(
    r'(?P<quoted>"[^"\\]*")'
    r"|(?P<word>[A-Za-zα-ωΑ-ΩµÅ]+)"
    r"|(?P<number>[0-9]+(?:[.,][0-9]+)*)"
    r"|(?P<sign>[\s_^/()\[\]+\-−±×·*=<>≤≥≈°,.'%|!]+)"
    r"|(?P<strange>.)",
    re.DOTALL,
)

NAME = re.compile(r'[A-Za-zα-ωΑ-Ω]+(?:_(?:"[^"]*"|[A-Za-z0-9]+|\([^()]*\)))?\'*')
LONGEST = 600

ReadFormula = Callable[[str], dict[str, object]]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that went in or came out, as it is printed."""

    label: str
    text: str
    symbol: str = ""  # as the formulas call it; blank for none


@dataclass(frozen=True, slots=True)
class CalculationSheet:
    """One calculation, ready to be printed; blank for what is not known."""

    title: str
    workshop: str = ""
    reference: str = ""  # the commission or drawing it belongs to
    made_on: dt.date | None = None
    inputs: tuple[Entry, ...] = ()
    results: tuple[Entry, ...] = ()
    findings: tuple[Finding, ...] = ()
    workings: tuple[Working, ...] = ()
    cautions: tuple[Said | str, ...] = ()
    measure: Measure = Measure.METRIC

    @property
    def lines(self) -> int:
        """How many lines or rows it has to print, cautions apart."""
        return len(self.inputs) + len(self.results) + len(self.findings) + len(self.workings)


def typeset_sheet(sheet: CalculationSheet) -> bytes:
    """The calculation sheet as a PDF; the same sheet gives the same bytes."""
    try:
        return typeset("calculation_sheet.typ", data=_lay_out(sheet), pictures={})
    except typst.TypstError:  # a formula that only looked like one; the paper is owed all the same
        return typeset("calculation_sheet.typ", data=_lay_out(sheet, in_words=True), pictures={})


def _lay_out(sheet: CalculationSheet, *, in_words: bool = False) -> dict[str, Any]:
    read = print_formula if in_words else read_formula
    made = sheet.made_on
    return {
        "title": _printed(sheet.title),
        "workshop": _printed(sheet.workshop),
        "reference": _printed(sheet.reference),
        "made": show_day(made) if made else "",
        "date": [made.year, made.month, made.day] if made else None,
        "measure": f"{'US' if sheet.measure is Measure.US else sheet.measure} measure",
        "cautions": [_printed(word(caution, sheet.measure)) for caution in sheet.cautions],
        "inputs": [_lay_out_entry(entry, read) for entry in sheet.inputs],
        "results": [_lay_out_entry(entry, read) for entry in sheet.results],
        "findings": [
            _lay_out_finding(finding, sheet.measure) for finding in worst_first(sheet.findings)
        ],
        "workings": list(_lay_out_workings(sheet, read)),
    }


def _lay_out_entry(entry: Entry, read: ReadFormula) -> dict[str, Any]:
    return {
        "label": _printed(entry.label),
        "text": _printed(entry.text),
        "symbol": read(_printed(entry.symbol)) if entry.symbol else None,
    }


def _lay_out_finding(finding: Finding, measure: Measure) -> dict[str, str]:
    return {
        "level": finding.level,
        "word": LEVELS[finding.level],
        "text": _printed(word(finding.text, measure)),
        "source": _printed(finding.source or ""),
    }


def _lay_out_workings(sheet: CalculationSheet, read: ReadFormula) -> Iterable[dict[str, Any]]:
    """Each line of arithmetic, with the values of the symbols that stand in its formula."""
    values = _list_values(sheet)
    for line in sheet.workings:
        yield {
            "symbol": read(_printed(line.symbol)),
            "formula": read(_printed(line.formula)),
            "value": _show_value(line, sheet.measure),
            "with": [
                (read(name), _printed(values[name]))
                for name in list_names(line.formula)
                if name in values and name != line.symbol
            ],
            "source": _printed(line.source),
        }


def _list_values(sheet: CalculationSheet) -> dict[str, str]:
    """Values by symbol, of the symbols that have one value in the whole sheet."""
    pairs = {(entry.symbol, entry.text) for entry in sheet.inputs if entry.symbol}
    pairs |= {(line.symbol, _show_value(line, sheet.measure)) for line in sheet.workings}
    count = Counter(symbol for symbol, _ in pairs)
    return {symbol: text for symbol, text in pairs if count[symbol] == 1}


def _show_value(line: Working, measure: Measure) -> str:
    """The value of a line to four figures, in its unit of the measure."""
    if line.unit in KINDS:
        number, unit = convert_figure(Figure(KINDS[line.unit], line.value), measure)
        unit += " abs" if line.unit == "Pa" else ""
    else:
        number, unit = to_wire_unit(line.value, line.unit)
    words = UNIT_WORDS.get(unit, unit)
    gap = "" if words in ("", "°") else " "
    return f"{show_four_figures(number)}{gap}{words}".replace("-", "−")


def _printed(text: str) -> str:
    """The text as it can be set: no control characters, and long words may be broken."""
    clean = "".join(letter if letter.isprintable() else " " for letter in text)
    return _LONG_WORD.sub(lambda found: found.group() + _BREAK, clean)


def is_mathematics(text: str) -> bool:
    """Whether a text is a formula that may be set: known words, quoted words, numbers and signs."""
    if len(text) > LONGEST or not _is_balanced(text):
        return False
    return all(
        piece["strange"] is None
        and (piece["word"] is None or len(piece["word"]) == 1 or piece["word"] in WORDS)
        for piece in PIECES.finditer(text)
    )


def read_formula(text: str) -> dict[str, object]:
    """A formula as the paper takes it: mathematics to be set, or words to be printed."""
    return {"is_math": True, "text": text} if is_mathematics(text) else print_formula(text)


def print_formula(text: str) -> dict[str, object]:
    """A formula as it is written, set as text."""
    return {"is_math": False, "text": text.replace('"', "")}


def list_names(formula: str) -> list[str]:
    """The symbols of a formula in the order in which they stand, each once."""
    return list(dict.fromkeys(NAME.findall(formula)))


def _is_balanced(text: str) -> bool:
    depth = 0
    for sign in re.sub(r'"[^"\\]*"', "", text):
        depth += {"(": 1, ")": -1, "[": 1, "]": -1}.get(sign, 0)
        if depth < 0:
            return False
    return depth == 0
