"""A calculation is a value: what it takes, what it gives, how it is reckoned, how it is drawn.

`serve` gives each of them its addresses: the answer as JSON or, where `text/plain` is accepted, as
forty columns of text; the answer as a sheet on paper; its pictures and its drawings.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from importlib.resources import files
from typing import Any

from flask import Response, current_app, make_response, request
from marshmallow import Schema

from service.api.access import calculating, custom, kit, reading, today
from service.api.blueprint import PLAIN, Blueprint, Manner
from service.api.fields import Text, judge_taken_threads
from service.api.plain import REASONS, list_figures, write_plain
from service.api.preferences import measure
from service.api.problems import WrongRequest
from service.api.schemas.base import In
from service.api.schemas.calculations import CalculationPage, show_finding
from service.documents.calculation_sheet import CalculationSheet, Entry, typeset_sheet
from service.documents.drawing.sheet import Sheet
from service.documents.drawing.surroundings import DrawingTitle
from service.documents.drawing.writing import ENDINGS, Ending, write_sheet
from service.engineering.findings import SEVERITY, worst_first
from service.engineering.kit import Kit
from service.records.models import Scope

Reckon = Callable[[dict[str, Any], Kit], Any]
Draw = Callable[[dict[str, Any], Kit], Sheet]
DrawPicture = Callable[[dict[str, Any], Kit, dict[str, Any]], Sheet]

MOST_LINES = 1000  # of one sheet on paper: forty pages, and a second's typesetting
MEDIA_TYPES = {"svg": "image/svg+xml", "dxf": "image/vnd.dxf", "pdf": "application/pdf"}


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of a calculation: how it is drawn, and what its query takes."""

    draw: DrawPicture  # what was asked, the kit, and the query, to a sheet for the screen
    takes: type[Schema] | None = None
    about: str = "Draw it."


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """One calculation; `about` says in a sentence what it does."""

    name: str
    about: str
    takes: type[Schema]
    gives: type[Schema]
    reckon: Reckon  # what was asked, read by `takes`, and the kit, to what `gives` shows
    pictures: Mapping[str, Picture] = field(default_factory=dict)
    drawings: Draw | None = None  # the workshop drawing, which goes out as svg, dxf and pdf
    also: tuple["Calculation", ...] = ()
    """Further questions about the same thing, each at an address below this one."""
    leave_out_of_sheet: tuple[str, ...] = ()  # what of the answer a paper has no room for

    @property
    def title(self) -> str:
        """As it stands at the head of a paper: `Pipe loss`."""
        return self.name.rsplit("/", 1)[-1].replace("-", " ").capitalize()

    @property
    def address(self) -> str:
        """Where it is asked, below the prefix of the API."""
        return f"/calculations/{self.name}"

    @property
    def example(self) -> dict[str, Any]:
        """A question as it is sent, which stands in `calculations/examples`."""
        name = f"{self.name.replace('/', '-')}.json"
        text = (files("service.api.calculations") / "examples" / name).read_text(encoding="utf-8")
        question: dict[str, Any] = json.loads(text)
        return question

    @property
    def key(self) -> str:
        """Its part of the names of operations."""
        return self.name.replace("-", "_").replace("/", "_")


def with_more(found: Any, **more: Any) -> dict[str, Any]:
    """The members of a result, and more beside them, for a schema to show."""
    names = dict.fromkeys((*(member.name for member in fields(found)), *REASONS))
    return {name: getattr(found, name) for name in names if hasattr(found, name)} | more


def title_drawing(asked: dict[str, Any]) -> DrawingTitle:
    """The title block of a request with title, number and reference."""
    return DrawingTitle(
        title=asked["title"],
        workshop=custom().name,
        number=asked["number"],
        reference=asked["reference"],
        drawn_on=today(),
    )


class SheetQuery(In):
    """What a sheet belongs to, as it is printed at its head."""

    reference = Text(
        longest=60, least=0, load_default="", metadata={"example": "2026-014 Harbour launch"}
    )


def serve(blp: Blueprint, calculations: Iterable[Calculation]) -> None:
    """Hang every calculation on the blueprint, and the list of them all."""
    everyone = tuple(_unfold(calculations))
    for calculation in everyone:
        _serve_answer(blp, calculation)
        _serve_sheet(blp, calculation)
        for name, picture in calculation.pictures.items():
            _serve_picture(blp, calculation, name, picture)
        if calculation.drawings:
            for ending in ENDINGS:
                _serve_drawing(blp, calculation, ending, calculation.drawings)
    _serve_list(blp, everyone)


def _unfold(calculations: Iterable[Calculation]) -> Iterator[Calculation]:
    for calculation in calculations:
        yield calculation
        yield from _unfold(calculation.also)


def _serve_answer(blp: Blueprint, calculation: Calculation) -> None:
    shape = calculation.gives()

    def answer(data: dict[str, Any]) -> Response:
        shown = shape.dump(calculation.reckon(data, kit()))
        shown["findings"] = _with_taken(shown["findings"])
        if _wants_text():
            text = write_plain(calculation.title, shown)
            return _tagged(Response(text, mimetype=PLAIN))
        return _tagged(make_response(current_app.json.response(shown)))

    door = blp.response(200, shape)(answer)
    _hang(blp, calculation, "calculate", "", calculation.about, door)


def _with_taken(findings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The findings, and what threads were taken for, worst first."""
    taken = [show_finding(finding) for finding in judge_taken_threads()]
    return sorted([*findings, *taken], key=lambda shown: SEVERITY[shown["level"]])


def _serve_sheet(blp: Blueprint, calculation: Calculation) -> None:
    shape = calculation.gives(exclude=calculation.leave_out_of_sheet)

    def sheet(query: dict[str, Any], data: dict[str, Any]) -> Response:
        found = calculation.reckon(data, kit())
        paper = _print(calculation, found, shape.dump(found), **query)
        return Response(paper, mimetype=MEDIA_TYPES["pdf"])

    about = f"{calculation.about} As a sheet on paper, to be checked."
    _hang(blp, calculation, "print", "/sheet.pdf", about, _binary(blp, "pdf")(sheet), SheetQuery)


def _serve_picture(blp: Blueprint, calculation: Calculation, name: str, picture: Picture) -> None:
    def show(*asked: dict[str, Any]) -> Response:
        drawn = picture.draw(asked[-1], kit(), asked[0] if picture.takes else {})
        return Response(write_sheet(drawn, "svg"), mimetype=MEDIA_TYPES["svg"])

    door = _binary(blp, "svg")(show)
    _hang(blp, calculation, f"draw_{name}_of", f"/{name}.svg", picture.about, door, picture.takes)


def _serve_drawing(blp: Blueprint, calculation: Calculation, ending: Ending, draw: Draw) -> None:
    def show(data: dict[str, Any]) -> Response:
        return Response(write_sheet(draw(data, kit()), ending), mimetype=MEDIA_TYPES[ending])

    about = f"{calculation.about} Drawn, as {ending.upper()}."
    door = _binary(blp, ending)(show)
    _hang(blp, calculation, f"draw_{ending}_of", f"/drawing.{ending}", about, door)


def _serve_list(blp: Blueprint, calculations: tuple[Calculation, ...]) -> None:
    items = [_show(calculation) for calculation in calculations]

    def listed() -> dict[str, Any]:
        return {"items": items, "next": None, "next_cursor": None}

    door = blp.response(200, CalculationPage)(listed)
    door = blp.operation("list_calculations", Scope.CALCULATE, "lists")(door)
    door = blp.doc(summary="List what can be calculated, each with an example.")(door)
    blp.route("/calculations", methods=["GET"])(_named("list_calculations", reading(
        Scope.CALCULATE)(door)))  # fmt: skip


def _hang(
    blp: Blueprint,
    calculation: Calculation,
    verb: str,
    ending: str,
    about: str,
    door: Any,
    query: type[Schema] | None = None,
) -> None:
    """Put a view at its address: its body and query read, its token checked, its name told."""
    door = blp.arguments(calculation.takes, example=calculation.example)(door)
    if query is not None:
        door = blp.arguments(query, location="query")(door)
    operation = f"{verb}_{calculation.key}"
    manner: Manner = "calculates" if ending else "answers"
    door = blp.operation(operation, Scope.CALCULATE, manner)(door)
    door = blp.doc(summary=about, tags=[calculation.title])(door)
    route = blp.route(calculation.address + ending, methods=["POST"])
    route(_named(operation, calculating(door)))


def _named(name: str, view: Any) -> Any:
    view.__name__ = name
    return view


def _binary(blp: Blueprint, ending: str) -> Any:
    is_text = ending == "svg"
    schema = {"type": "string"} if is_text else {"type": "string", "format": "binary"}
    return blp.response(200, schema, content_type=MEDIA_TYPES[ending])


def _wants_text() -> bool:
    """Whether the asker would rather have text than JSON."""
    accepted = request.accept_mimetypes
    return bool(accepted) and accepted.best_match(["application/json", PLAIN]) == PLAIN


def _tagged(response: Response) -> Response:
    """The representations of one answer told apart, for whoever keeps them."""
    response.vary.update(("Accept", "Prefer"))
    response.add_etag()
    return response


def _print(calculation: Calculation, found: Any, shown: dict[str, Any], *, reference: str) -> bytes:
    results = {name: value for name, value in shown.items() if name not in REASONS}
    reasons = found if isinstance(found, Mapping) else {n: getattr(found, n) for n in REASONS[:2]}
    sheet = CalculationSheet(
        title=calculation.title,
        workshop=custom().name,
        reference=reference,
        made_on=today(),
        inputs=tuple(Entry(*figure) for figure in list_figures(request.get_json())),
        results=tuple(Entry(*figure) for figure in list_figures(results)),
        findings=worst_first([*reasons["findings"], *judge_taken_threads()]),
        workings=tuple(reasons["workings"]),
        cautions=tuple(shown["cautions"]),
        measure=measure(),
    )
    if sheet.lines > MOST_LINES:
        text = f"The sheet would have {sheet.lines} lines; {MOST_LINES} can be printed: ask about"
        raise WrongRequest(f"{text} less at a time, or take the answer without the paper.")
    return typeset_sheet(sheet)


def _show(calculation: Calculation) -> dict[str, Any]:
    return {
        "name": calculation.name,
        "title": calculation.title,
        "about": calculation.about,
        "address": f"/api/v1{calculation.address}",
        "pictures": [f"{name}.svg" for name in calculation.pictures],
        "drawings": [f"drawing.{ending}" for ending in ENDINGS if calculation.drawings],
        "example": calculation.example,
    }
