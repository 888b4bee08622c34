"""Formulas in typst mathematics, told from what only looks like one.

Engineering writes `W = K p_m V_s N` and `p_"set" (1 + "accumulation")`: what is in quotes is words,
all else letters, numbers and signs. The paper evaluates only what this module has let through, so
nothing that a person typed can reach the typesetter as anything but text.
"""

import re
from collections.abc import Callable

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
