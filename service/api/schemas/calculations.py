"""What every calculation hands out beside its numbers, and how a request names its fields."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from marshmallow import fields, post_dump

from service.api.fields import Words
from service.api.preferences import measure
from service.api.schemas.base import Out, page_of
from service.api.vocabularies import Term
from service.engineering.errors import EngineeringError
from service.engineering.findings import Finding, Working
from service.engineering.threads.joint import CAUTIONS
from service.quantities import to_wire_unit
from service.quantities.wording import describe_figure, figures_in, word


class FigureOut(Out):
    """One figure of a sentence; its unit never changes with the measure of its text."""

    value = fields.Float(required=True)
    unit = Words(required=True)
    text = Words(required=True)


class FindingOut(Out):
    """One judgement, worst first among its fellows."""

    level = Term("Level", required=True)
    code = Words(required=True)
    text = Words(required=True)
    value = fields.Float()
    limit = fields.Float()
    unit = Words()
    figures = fields.Dict(
        keys=Words(),
        values=fields.Nested(FigureOut),
        metadata={"description": "the figures of the text by name"},
    )
    source = Words()


class JudgedFindingOut(FindingOut):
    """A finding of a whole plant, with the part of it that it is about."""

    subject = Words(required=True)


class WorkingOut(Out):
    """One line of arithmetic, with the source of its formula."""

    symbol = Words(required=True)
    formula = Words(required=True)
    value = fields.Float(required=True)
    unit = Words(required=True)
    source = Words(required=True)


class Reasons(fields.Field[Any]):
    """Findings or workings, each put into words by `show`."""

    def __init__(self, show: Callable[[Any], dict[str, Any]], **kwargs: Any) -> None:
        super().__init__(required=kwargs.pop("required", True), **kwargs)
        self.show = show

    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [self.show(each) for each in value]


class FindingField(fields.Field[Any]):
    """One finding, or null."""

    def _serialize(self, value: Any, *_: Any, **__: Any) -> Any:
        return None if value is None else show_finding(value)


FINDINGS = {"type": "array", "items": {"$ref": "#/components/schemas/Finding"}}
FINDING_OR_NONE = {"anyOf": [FINDINGS["items"], {"type": "null"}]}
JUDGED = {"type": "array", "items": {"$ref": "#/components/schemas/JudgedFinding"}}
WORKINGS = {"type": "array", "items": {"$ref": "#/components/schemas/Working"}}


def show_finding(finding: Finding) -> dict[str, Any]:
    """A finding as it goes over the wire."""
    shown: dict[str, Any] = {
        "level": finding.level,
        "code": finding.code,
        "text": word(finding.text, measure()),
    }
    unit = finding.unit or "1"
    for name in ("value", "limit"):
        figure = getattr(finding, name)
        if figure is not None:
            shown[name], shown["unit"] = to_wire_unit(figure, unit)
    figures = {
        called: describe_figure(figure, measure()) for called, figure in figures_in(finding.text)
    }
    if figures:
        shown["figures"] = figures
    if finding.source:
        shown["source"] = finding.source
    return shown


def show_working(working: Working) -> dict[str, Any]:
    """A working as it goes over the wire."""
    value, unit = to_wire_unit(working.value, working.unit)
    return {
        "symbol": working.symbol.replace('"', ""),
        "formula": working.formula.replace('"', ""),
        "value": value,
        "unit": unit,
        "source": working.source,
    }


class CalculationOut(Out):
    """The part that every calculation's answer has."""

    findings = Reasons(show_finding, metadata=FINDINGS)
    workings = Reasons(show_working, metadata=WORKINGS)
    cautions = fields.List(Words(), required=True, dump_default=CAUTIONS)

    @post_dump
    def results_first(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """A person who reads the answer wants the figures before their reasons."""
        reasons = {name: data.pop(name) for name in _REASONS}
        return {**data, **reasons}


_REASONS = ("findings", "workings", "cautions")


ANY_MEMBERS = {"additionalProperties": True}
"""What the description says of an object whose members another schema describes."""


class CalculationListed(Out):
    """What can be calculated, where, and what a question looks like."""

    name = fields.String(required=True)
    title = fields.String(required=True)
    about = fields.String(required=True)
    address = fields.String(required=True)
    pictures = fields.List(fields.String(), required=True)
    drawings = fields.List(fields.String(), required=True)
    example = fields.Dict(required=True, metadata=ANY_MEMBERS)


CalculationPage = page_of(CalculationListed, "CalculationPage")


@contextmanager
def standing_at(path: str) -> Iterator[None]:
    """Name the place in the request of whatever the engineering floor refuses inside."""
    try:
        yield
    except EngineeringError as error:
        error.field = ".".join(part for part in (path, error.field) if part)
        raise
