"""Formulas written as plain text, read into a tree that can be set as mathematics.

`W = K pm Vs N` becomes names with subscripts, `L/P` a fraction, `root(x)` a root, `R²` a power.
Where ordinary words stand in a formula they are kept as words, and what lies between them is read;
what does not read as algebra is set as it is written. Nothing is ever evaluated.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, Literal

Slash = Literal["fraction", "slash"]
"""How a division is set: one over the other, or in the line where words stand beside it."""

Node = dict[str, Any]
"""One part of a formula, ready for JSON: `kind` and what belongs to it."""

LONGEST = 600
"""Letters of a formula that are read as algebra; a longer one is set as it stands."""

DEEPEST = 12
"""Brackets within brackets that are followed."""

GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "eps": "ε", "epsilon": "ε",
    "eta": "η", "theta": "θ", "lambda": "λ", "mu": "μ", "nu": "ν", "pi": "π", "rho": "ρ",
    "sigma": "σ", "tau": "τ", "phi": "φ", "psi": "ψ", "omega": "ω",
}  # fmt: skip

FUNCTIONS = frozenset(
    ("acos", "asin", "atan", "cos", "cot", "exp", "ln", "log", "max", "min", "mod", "sin", "tan")
)

ROOTS = frozenset(("root", "sqrt"))

UNITS = frozenset(("mm", "bar", "deg", "kg", "min", "ml", "rpm", "rad"))

SHORT_WORDS = frozenset(
    ("an", "as", "at", "by", "if", "in", "is", "it", "no", "of", "on", "or", "so", "to")
)
"""Words of two letters that are not names."""

SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")

TOKEN = re.compile(
    r"(?P<space>\s+)"
    r"|(?P<number>\d+(?:[.,]\d+)*)"
    r"|(?P<power>[⁰¹²³⁴⁵⁶⁷⁸⁹]+)"
    r"|(?P<name>(?:(?![⁰¹²³⁴⁵⁶⁷⁸⁹])[^\W\d_])+[0-9]*(?:_[A-Za-z0-9_]+(?:\.[0-9]+)?)?'*)"
    r"|(?P<open>[(\[])|(?P<close>[)\]])"
    r"|(?P<relation><=|>=|[=<>≤≥≈])"
    r"|(?P<binary>[-+−±×·*])"
    r"|(?P<over>/)|(?P<raise>\^)"
    r"|(?P<other>.)"
)

SHOWN = {"-": "−", "*": "·", "<=": "≤", ">=": "≥"}


@dataclass(frozen=True, slots=True)
class Token:
    """One word of a formula, and whether it touches the one before."""

    kind: str
    text: str
    is_tight: bool


def read_formula(text: str) -> Node:
    """The formula as a tree: algebra if it reads as such, else a row of words and algebra."""
    tokens = list(_split(text))
    marked = [_is_word(tokens, place) for place in range(len(tokens))]
    whole = None if any(marked) else _try_algebra(tokens)
    if whole is not None:
        return whole
    runs = groupby(zip(tokens, marked, strict=True), key=lambda pair: pair[1])
    return {
        "kind": "words",
        "parts": [part for _, run in runs for part in _set_run([token for token, _ in run])],
    }


def read_symbol(text: str) -> Node:
    """A symbol: one name, or a row of them as written."""
    tokens = list(_split(text))
    if len(tokens) == 1 and tokens[0].kind == "name":
        return _set_name(tokens[0].text)
    return read_formula(text)


def list_names(text: str) -> list[str]:
    """The names in a formula that can stand for one thing only, each once, in order.

    A single letter means one thing in one formula and another in the next: it is left out.
    """
    tokens = list(_split(text))
    names = (
        token.text
        for place, token in enumerate(tokens)
        if token.kind == "name" and len(token.text) > 1
        if not (_is_word(tokens, place) or _is_known(token.text))
    )
    return list(dict.fromkeys(names))


def _split(text: str) -> Iterator[Token]:
    is_tight = False
    for found in TOKEN.finditer(text):
        kind = found.lastgroup or "other"
        if kind == "space":
            is_tight = False
            continue
        yield Token(kind, found.group(), is_tight)
        is_tight = True


def _is_word(tokens: list[Token], place: int) -> bool:
    """Whether a token is an ordinary word, not a name: three letters, and nothing raised."""
    token = tokens[place]
    if token.kind != "name" or _is_known(token.text) or "_" in token.text:
        return False
    if place + 1 < len(tokens) and tokens[place + 1].kind in ("raise", "power"):
        return False
    letters = token.text.lower().rstrip("'0123456789")
    return len(letters) >= 3 or letters in SHORT_WORDS


def _try_algebra(tokens: list[Token], *, slash: Slash = "fraction") -> Node | None:
    """The tree of some tokens; None if they do not read as algebra."""
    if sum(len(token.text) for token in tokens) > LONGEST:
        return None
    try:
        return _Reader(tokens, slash).read_all()
    except _NotAlgebra:
        return None


def _set_run(tokens: list[Token]) -> list[Node]:
    """A run of words, or of what stands between words, as parts of a row."""
    if tokens[0].kind == "name" and _is_word(tokens, 0):
        return [{"node": _text(token.text), "tight": token.is_tight} for token in tokens]
    if len(tokens) == 1 and tokens[0].text == "x":
        return [{"node": _text("×"), "tight": False}]
    tree = _try_algebra(tokens, slash="slash")
    if tree is not None:
        return [{"node": tree, "tight": tokens[0].is_tight}]
    return [_plain_part(token) for token in tokens]


def _is_known(name: str) -> bool:
    return name in GREEK or name in FUNCTIONS or name in ROOTS or name in UNITS


def _plain_part(token: Token) -> Node:
    if token.kind == "name":
        node = _set_name(token.text)
    elif token.kind == "power":
        node = {"kind": "power", "base": _text(""), "top": _text(_lowered(token.text))}
    else:
        node = _text(SHOWN.get(token.text, token.text))
    return {"node": node, "tight": token.is_tight}


def _set_name(text: str) -> Node:
    """A name in italic with its subscript; functions and units upright."""
    if text in FUNCTIONS or text in UNITS:
        return {"kind": "upright", "text": "°" if text == "deg" else text}
    stem = text.rstrip("'")
    primes = "′" * (len(text) - len(stem))
    base, _, below = stem.partition("_")
    if base in GREEK:
        base = GREEK[base]
    elif not below and len(base) >= 3 and base.isalpha():
        return _text(stem + primes)
    elif not below:
        base, below = _part_name(base)
    return {
        "kind": "name",
        "text": base,
        "below": below.replace("_", " "),
        "above": primes,
    }


def _part_name(base: str) -> tuple[str, str]:
    """`Vs` is V with s below, `d2` d with 2; a difference such as `dP` stays whole."""
    letters = base.rstrip("0123456789")
    digits = base[len(letters) :]
    if letters in GREEK:
        return GREEK[letters], digits
    is_parted = len(letters) == 2 and letters[0] != "d" and letters[0] not in "ΔΣ"
    if is_parted:
        return letters[0], letters[1] + digits
    return letters, digits


def _text(text: str) -> Node:
    return {"kind": "upright", "text": text}


def _lowered(text: str) -> str:
    return text.translate(SUPERSCRIPTS)


class _NotAlgebra(Exception):
    """The tokens do not read as algebra."""


@dataclass(slots=True)
class _Reader:
    """Reads tokens by rising binding: rows, terms, factors."""

    tokens: list[Token]
    slash: Slash
    place: int = 0
    depth: int = field(default=0)

    def read_all(self) -> Node:
        node = self._read_row()
        if self._next() is not None:
            raise _NotAlgebra
        return node

    def _read_row(self) -> Node:
        """Terms, and the signs between them, up to a closing bracket."""
        parts: list[Node] = []
        while (token := self._next()) is not None and token.kind != "close":
            if token.kind in ("binary", "relation") or token.kind == "other":
                parts.append(_sign(token, is_first=not parts))
                self.place += 1
            else:
                parts.append(self._read_term())
        if not parts:
            raise _NotAlgebra
        return {"kind": "row", "parts": parts}

    def _read_term(self) -> Node:
        """Factors side by side; a slash makes a fraction of what stands next to it."""
        factors: list[Node] = []
        while (token := self._next()) is not None:
            if token.kind == "over":
                self._read_fraction(factors, token)
            elif token.kind in ("number", "name", "open"):
                factors.append(self._read_factor())
            else:
                break
        if not factors:
            raise _NotAlgebra
        return factors[0] if len(factors) == 1 else {"kind": "product", "parts": factors}

    def _read_fraction(self, factors: list[Node], slash: Token) -> None:
        if not factors:
            raise _NotAlgebra
        self.place += 1
        below = [self._read_factor()]
        while (
            (token := self._next()) is not None
            and token.is_tight
            and token.kind
            in (
                "name",
                "open",
            )
        ):
            below.append(self._read_factor())
        token = self._next()
        ends = token is None or token.kind not in ("number", "name", "open", "over")
        under = below[0] if len(below) == 1 else {"kind": "product", "parts": below}
        if slash.is_tight:
            factors[-1:] = [self._divide(factors[-1], under)]
        elif ends:
            factors[:] = [self._divide({"kind": "product", "parts": list(factors)}, under)]
        else:
            factors += [_text("/"), under]

    def _divide(self, over: Node, under: Node) -> Node:
        """A fraction, whose parts need no brackets around them, or a slash between the two."""
        if self.slash == "slash":
            return {"kind": "slash", "over": over, "under": under}
        return {"kind": "fraction", "over": _bare(over), "under": _bare(under)}

    def _read_factor(self) -> Node:
        token = self._take("number", "name", "open")
        if token.kind == "open":
            node = self._read_bracket(token)
        elif token.text in ROOTS:
            inside = self._read_bracket(self._take("open"))
            node = {"kind": "root", "inside": inside["inside"]}
        elif token.text in FUNCTIONS:
            node = {"kind": "function", "text": token.text}
        elif token.kind == "number":
            node = _text(token.text + self._read_degree())
        else:
            node = _set_name(token.text)
        return self._read_power(node)

    def _read_degree(self) -> str:
        token = self._next()
        if token is None or token.text != "deg":
            return ""
        self.place += 1
        return "°"

    def _read_power(self, node: Node) -> Node:
        token = self._next()
        if token is None or not token.is_tight:
            return node
        if token.kind == "power":
            self.place += 1
            return {"kind": "power", "base": node, "top": _text(_lowered(token.text))}
        if token.kind == "raise":
            self.place += 1
            top = self._read_factor()
            return {"kind": "power", "base": node, "top": top.get("inside", top)}
        return node

    def _read_bracket(self, token: Token) -> Node:
        self.depth += 1
        if self.depth > DEEPEST:
            raise _NotAlgebra
        inside = self._read_row()
        close = self._take("close")
        self.depth -= 1
        if token.text + close.text not in ("()", "[]"):
            raise _NotAlgebra
        return {"kind": "bracket", "open": token.text, "close": close.text, "inside": inside}

    def _next(self) -> Token | None:
        return self.tokens[self.place] if self.place < len(self.tokens) else None

    def _take(self, *kinds: str) -> Token:
        token = self._next()
        if token is None or token.kind not in kinds:
            raise _NotAlgebra
        self.place += 1
        return token


def _sign(token: Token, *, is_first: bool) -> Node:
    text = SHOWN.get(token.text, token.text)
    if token.kind == "relation":
        return {"kind": "relation", "text": text}
    if token.kind == "other":
        return {"kind": "punctuation" if text in ",;:" else "sign", "text": text}
    if token.kind == "binary" and not is_first:
        return {"kind": "binary", "text": text}
    return {"kind": "sign", "text": text}


def _bare(node: Node) -> Node:
    if node["kind"] == "product" and len(node["parts"]) == 1:
        node = node["parts"][0]
    inside: Node = node["inside"] if node["kind"] == "bracket" else node
    return inside
