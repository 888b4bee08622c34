"""The small mistakes that can be made in a source text, each as one edit in place.

Only what a program does is changed: no docstring, annotation, import, decorator, refusal (`raise`),
f-string or text. A boundary (`<` to `<=`) is moved only beside a count or a whole number other than
nought, since two measured sizes are never met equal.
"""

import ast
import io
import tokenize
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from itertools import accumulate, chain, pairwise

TURNED: dict[type[ast.cmpop], tuple[str, str]] = {
    ast.Lt: ("<", ">"),
    ast.Gt: (">", "<"),
    ast.LtE: ("<=", ">="),
    ast.GtE: (">=", "<="),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
}
BOUNDARY = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}
EXCHANGED: dict[type[ast.operator], tuple[str, str]] = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "*"),
    ast.Mod: ("%", "*"),
    ast.Pow: ("**", "*"),
}
OTHER_NAME = {"min": "max", "max": "min"}
OTHER_JUMP = {"continue": ("break", "pass"), "break": ("continue", "pass")}
SMALL_NUMBER = 50
"""A whole number up to here is changed by one, a greater one by the part of a float."""
PART = "1.07"

Function = ast.FunctionDef | ast.AsyncFunctionDef
UNSEEN_FIELDS = {"annotation", "returns", "decorator_list"}


@dataclass(frozen=True, slots=True)
class Change:
    """One edit: characters from start to end give way to other words."""

    kind: str
    line: int
    start: int
    end: int
    words: str

    def apply(self, text: str) -> str:
        """The text with the mistake in it."""
        return text[: self.start] + self.words + text[self.end :]

    def show(self, text: str) -> tuple[str, str]:
        """The line where the mistake begins, as it was and as it is."""
        return (
            text.split("\n")[self.line - 1].strip(),
            self.apply(text).split("\n")[self.line - 1].strip(),
        )


def find_changes(text: str) -> list[Change]:
    """Every mistake that can be made in a source text, in the order of the text."""
    source = _Source(text)
    found = (
        change
        for node in _wander(source.tree)
        for find in _FINDERS
        for change in find(source, node)
    )
    return sorted(set(found), key=lambda change: (change.start, change.end, change.words))


class _Source:
    """A text with its tree and tokens, all places in characters from the beginning."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tree = ast.parse(text)
        self.lines = text.split("\n")
        self.starts = [0, *accumulate(len(line) + 1 for line in self.lines)]
        self.tokens = [
            (self.starts[token.start[0] - 1] + token.start[1], token.string)
            for token in tokenize.generate_tokens(io.StringIO(text).readline)
            if token.type in {tokenize.OP, tokenize.NAME}
        ]

    def begin(self, node: ast.expr | ast.stmt) -> int:
        return self._offset(node.lineno, node.col_offset)

    def end(self, node: ast.expr | ast.stmt) -> int:
        assert node.end_lineno is not None
        assert node.end_col_offset is not None
        return self._offset(node.end_lineno, node.end_col_offset)

    def _offset(self, line: int, column: int) -> int:
        """The tree counts its columns in bytes of UTF-8."""
        return self.starts[line - 1] + len(self.lines[line - 1].encode()[:column].decode())

    def change(self, kind: str, start: int, end: int, words: str) -> Change:
        line = self.text.count("\n", 0, start) + 1
        return Change(kind, line, start, end, words)

    def replace(self, kind: str, node: ast.expr | ast.stmt, words: str) -> Change:
        return self.change(kind, self.begin(node), self.end(node), words)

    def replace_operator(
        self, kind: str, left: ast.expr, right: ast.expr, operator: str, words: str
    ) -> Change:
        """Change of the operator between two operands; brackets may stand between them too."""
        wanted = operator.split()
        place = bisect_left(self.tokens, (self.end(left), ""))
        while self.tokens[place][1] != wanted[0]:
            place += 1
        start, last = self.tokens[place][0], self.tokens[place + len(wanted) - 1]
        assert last[0] < self.begin(right), f"no {operator} in line {left.lineno}"
        return self.change(kind, start, last[0] + len(last[1]), words)


def _wander(node: ast.AST) -> Iterator[ast.AST]:
    """A node and all below it that says something to the machine."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in UNSEEN_FIELDS:
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not _is_silent(child):
                yield from _wander(child)


def _is_silent(node: ast.AST) -> bool:
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Raise() | ast.Assert() | ast.JoinedStr():
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING") | ast.Attribute(attr="TYPE_CHECKING")):
            return True
        case ast.Subscript(value=ast.Name(id="Literal" | "Annotated")):
            return True
        case ast.keyword(arg="strict"):  # of zip: a guard against ourselves
            return True
        case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
            return name.startswith("__")
    return False


def _compare(source: _Source, node: ast.AST) -> Iterator[Change]:
    if not isinstance(node, ast.Compare):
        return
    sides = pairwise([node.left, *node.comparators])
    for (left, right), operator in zip(sides, node.ops, strict=True):
        words, turned = TURNED[type(operator)]
        yield source.replace_operator("comparison turned", left, right, words, turned)
        if words in BOUNDARY and (_is_count(left) or _is_count(right)):
            yield source.replace_operator("boundary moved", left, right, words, BOUNDARY[words])


def _is_count(node: ast.expr) -> bool:
    match node:
        case ast.Call(func=ast.Name(id="len")):
            return True
        case ast.Constant(value=int() as value):
            return value != 0
    return False


def _reckon(source: _Source, node: ast.AST) -> Iterator[Change]:
    if isinstance(node, ast.BinOp) and type(node.op) in EXCHANGED:
        if _is_text(node.left) or _is_text(node.right):
            return
        words, other = EXCHANGED[type(node.op)]
        yield source.replace_operator("arithmetic exchanged", node.left, node.right, words, other)
    elif isinstance(node, ast.AugAssign) and type(node.op) in EXCHANGED:
        if _is_text(node.value):
            return
        words, other = (f"{sign}=" for sign in EXCHANGED[type(node.op)])
        yield source.replace_operator("arithmetic exchanged", node.target, node.value, words, other)


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def _constant(source: _Source, node: ast.AST) -> Iterator[Change]:
    match node:
        case ast.Constant(value=bool() as value):
            yield source.replace("True and False exchanged", node, str(not value))
        case ast.Constant(value=int() as value) if value <= SMALL_NUMBER:
            for other in (value - 1, value + 1) if value else (1,):
                yield source.replace("number changed", node, str(other))
        case ast.Constant(value=int() as value):
            yield source.replace("number changed", node, str(round(value * float(PART))))
        case ast.Constant(value=float() as value):
            other_float = float(f"{value * float(PART):.6g}") or 1.0
            yield source.replace("number changed", node, repr(other_float))
        case ast.Call(
            func=ast.Name(id="Fraction" | "Decimal"),
            args=[ast.Constant(value=str() as value) as written],
        ):
            try:
                other_number = Decimal(value) * Decimal(PART) or Decimal(1)
            except InvalidOperation:  # "1/3" and the like
                return
            yield source.replace("number changed", written, f'"{other_number}"')


def _logic(source: _Source, node: ast.AST) -> Iterator[Change]:
    match node:
        case ast.BoolOp(op=operator, values=values):
            words, other = ("and", "or") if isinstance(operator, ast.And) else ("or", "and")
            for left, right in pairwise(values):
                yield source.replace_operator("and / or exchanged", left, right, words, other)
        case ast.UnaryOp(op=ast.Not()):
            yield source.change("not dropped", begin := source.begin(node), begin + len("not"), "")
        case ast.UnaryOp(op=ast.USub()):
            yield source.change("minus dropped", begin := source.begin(node), begin + 1, "")
        case ast.Name(id="min" | "max", ctx=ast.Load()):
            yield source.replace("min / max exchanged", node, OTHER_NAME[node.id])


def _jump(source: _Source, node: ast.AST) -> Iterator[Change]:
    if isinstance(node, ast.Continue | ast.Break):
        word = "continue" if isinstance(node, ast.Continue) else "break"
        for other in OTHER_JUMP[word]:
            yield source.replace("jump exchanged or removed", node, other)


def _returning(source: _Source, node: ast.AST) -> Iterator[Change]:
    if not isinstance(node, Function):
        return
    answers_yes_or_no = isinstance(node.returns, ast.Name) and node.returns.id == "bool"
    for statement in chain.from_iterable(map(_returns_below, node.body)):
        value = statement.value
        if value is None or (isinstance(value, ast.Constant) and value.value is None):
            if statement is not node.body[-1]:
                yield source.replace("early return removed", statement, "pass")
        elif answers_yes_or_no and not isinstance(value, ast.Constant):
            start, end = source.begin(value), source.end(statement)
            start = source.begin(statement) + len("return")  # brackets are no part of the value
            words = f" not ({source.text[start:end].strip()})"
            yield source.change("answer negated", start, end, words)


def _returns_below(statement: ast.AST) -> Iterator[ast.Return]:
    """The return statements of this function; those of one inside it are its own."""
    if isinstance(statement, ast.Return):
        yield statement
    elif not isinstance(statement, Function | ast.ClassDef | ast.Lambda):
        for child in ast.iter_child_nodes(statement):
            yield from _returns_below(child)


_FINDERS = (_compare, _reckon, _constant, _logic, _jump, _returning)
