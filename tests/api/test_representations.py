"""What each calculation is served as: JSON, forty columns of text, paper, pictures, drawings."""

import json
from copy import deepcopy
from typing import Any
from xml.etree import ElementTree

import pypdfium2
import pytest

from service.api.calculations import CALCULATIONS
from service.documents.drawing.writing import ENDINGS
from tests.api.conftest import EXAMPLES
from tests.conftest import Caller

PLAIN = {"Accept": "text/plain"}
WIDTH = 40
MARKS = {"✗": 0, "!": 1, "✓": 2}
"""What stands before a finding, worst first."""

PICTURED = {"fitting-check", "thread-overlay"}
"""Calculations whose answer may hold a picture."""


def ask(calculator: Caller, name: str, **headers: str) -> Any:
    answer = calculator.post(f"/calculations/{name}", EXAMPLES[name], headers=headers)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer


def lines_of(calculator: Caller, name: str) -> list[str]:
    answer = ask(calculator, name, **PLAIN)
    assert answer.mimetype == "text/plain"
    return answer.get_data(as_text=True).splitlines()


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_is_forty_columns_wide(calculator: Caller, name: str) -> None:
    lines = lines_of(calculator, name)

    assert [line for line in lines if len(line) > WIDTH] == []
    assert len(lines) > 3


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_begins_with_the_findings_worst_first(calculator: Caller, name: str) -> None:
    findings = ask(calculator, name).json["findings"]
    _title, _rule, *rest = lines_of(calculator, name)

    head = rest[: rest.index("")]
    marks = [line[0] for line in head if line[:1] in MARKS]
    assert len(marks) == len(findings)
    assert marks == sorted(marks, key=MARKS.__getitem__)
    for finding in findings:
        assert "".join(finding["text"].split()) in "".join("".join(head).split())


@pytest.mark.parametrize("name", EXAMPLES)
def test_text_bears_every_caution(calculator: Caller, name: str) -> None:
    answer = ask(calculator, name).json
    text = "".join("".join(lines_of(calculator, name)).split())

    assert answer["cautions"]
    for caution in answer["cautions"]:
        assert "".join(caution.split()) in text


@pytest.mark.parametrize("name", EXAMPLES)
def test_representations_are_told_apart(calculator: Caller, name: str) -> None:
    in_json, in_text = ask(calculator, name), ask(calculator, name, **PLAIN)

    assert in_json.headers["ETag"] != in_text.headers["ETag"]
    for answer in (in_json, in_text):
        assert {"Accept", "Prefer"} <= set(answer.vary)


def test_measures_are_told_apart(calculator: Caller) -> None:
    answers = {
        measure: ask(calculator, "shell", Prefer=f"measure={measure}")
        for measure in ("metric", "imperial", "us")
    }

    assert len({answer.headers["ETag"] for answer in answers.values()}) == 3
    for measure, answer in answers.items():
        assert answer.headers["Preference-Applied"] == f"measure={measure}"


def test_a_measure_changes_texts_and_no_value(calculator: Caller) -> None:
    def values(part: Any) -> Any:
        if isinstance(part, dict):
            return {name: values(inner) for name, inner in part.items() if name != "text"}
        return [values(each) for each in part] if isinstance(part, list) else part

    metric, imperial = (
        ask(calculator, "passage", Prefer=f"measure={measure}").json
        for measure in ("metric", "imperial")
    )
    assert values(metric) == values(imperial)
    assert metric["pressure"]["text"] != imperial["pressure"]["text"]


@pytest.mark.parametrize(
    "accepted", ["text/html", "*/*", "application/json", "text/plain;q=0.1, */*"]
)
def test_whoever_does_not_ask_for_text_gets_json(calculator: Caller, accepted: str) -> None:
    assert ask(calculator, "thread", Accept=accepted).mimetype == "application/json"


@pytest.mark.parametrize("name", EXAMPLES)
def test_pictures_stand_in_the_answer_only_where_they_are_preferred(
    calculator: Caller, name: str
) -> None:
    without = ask(calculator, name)
    preferred = ask(calculator, name, Prefer="pictures")

    assert "<svg" not in without.get_data(as_text=True)
    assert "Preference-Applied" not in without.headers
    assert preferred.headers["Preference-Applied"] == "pictures"
    assert ("<svg" in preferred.get_data(as_text=True)) is (name in PICTURED)


@pytest.mark.parametrize(
    "preferred", ["measure=cubits", "measure", "handling=lenient", ";;,=", "measure=metric2"]
)
def test_what_cannot_be_preferred_is_ignored(calculator: Caller, preferred: str) -> None:
    answer = ask(calculator, "steam-demand", Prefer=preferred)

    assert answer.json == ask(calculator, "steam-demand").json
    assert "Preference-Applied" not in answer.headers


def test_the_list_names_every_calculation_and_each_example_is_answered(calculator: Caller) -> None:
    listed = calculator.get("/calculations").json["items"]
    all_of_them = [each for one in CALCULATIONS for each in (one, *one.also)]

    assert [each["name"] for each in listed] == [each.name for each in all_of_them]
    for each in listed:
        answer = calculator.post(each["address"], each["example"])
        assert answer.status_code == 200, each["name"]


def test_every_calculation_of_the_description_is_listed(calculator: Caller) -> None:
    listed = {each["address"] for each in calculator.get("/calculations").json["items"]}
    paths = calculator.get("/openapi.json").json["paths"]
    endings = (".svg", ".pdf", ".dxf")

    asked = {path for path in paths if "/calculations/" in path and not path.endswith(endings)}
    assert asked == listed


DRAWN = [
    (each.name, ending)
    for one in CALCULATIONS
    for each in (one, *one.also)
    for ending in (
        *(f"{name}.svg" for name in each.pictures),
        *(f"drawing.{ending}" for ending in ENDINGS if each.drawings),
    )
]


@pytest.mark.parametrize(("name", "ending"), DRAWN)
def test_every_picture_that_is_listed_is_drawn(calculator: Caller, name: str, ending: str) -> None:
    answer = calculator.post(f"/calculations/{name}/{ending}", EXAMPLES[name])

    beginnings = {"svg": b"<", "pdf": b"%PDF", "dxf": b"  0"}
    assert answer.status_code == 200
    assert answer.data.lstrip(b"\r\n").startswith(beginnings[ending.rpartition(".")[2]])


# What people type is never read as anything but text

TYPED = ["{0.x}", "{engine}", "%s %(name)s", "<b>&amp;</b>", "#panic() *x* $y$", "\\u{41}"]
NAMED: list[tuple[str, tuple[str | int, ...]]] = [
    ("steam-demand", ("engines", 0, "name")),
    ("steam-balance", ("engines", 0, "name")),
    ("steam-balance", ("cases", 0, "name")),
    ("distribution-block", ("outlets", 0, "name")),
    ("distribution-block", ("flows", 0, "case")),
]


def naming(name: str, place: tuple[str | int, ...], typed: str) -> dict[str, Any]:
    """The example with something named as typed, wherever that name stands."""
    at: Any = EXAMPLES[name]
    for step in place:
        at = at[step]
    return json.loads(
        json.dumps(deepcopy(EXAMPLES[name])).replace(json.dumps(at), json.dumps(typed))
    )


@pytest.mark.parametrize("typed", TYPED)
@pytest.mark.parametrize(("name", "place"), NAMED)
def test_a_name_is_shown_as_it_was_typed(
    calculator: Caller, name: str, place: tuple[str | int, ...], typed: str
) -> None:
    body = naming(name, place, typed)
    address = f"/calculations/{name}"

    answer = calculator.post(address, body)
    text = calculator.post(address, body, headers=PLAIN)
    sheet = calculator.post(f"{address}/sheet.pdf", body)

    assert (answer.status_code, text.status_code, sheet.status_code) == (200, 200, 200)
    assert json.dumps(typed)[1:-1] in json.dumps(answer.json)
    assert "".join(typed.split()) in "".join(text.get_data(as_text=True).split())
    assert "".join(typed.split()) in "".join(read_paper(sheet.data).split())


def read_paper(document: bytes) -> str:
    pdf = pypdfium2.PdfDocument(document)
    text = "".join(page.get_textpage().get_text_range() for page in pdf)
    pdf.close()
    return text


@pytest.mark.parametrize("typed", TYPED)
def test_a_name_in_a_picture_is_text(calculator: Caller, typed: str) -> None:
    body = naming("steam-balance", ("cases", 0, "name"), typed)

    answer = calculator.post("/calculations/steam-balance/picture.svg", body)

    assert answer.status_code == 200
    root = ElementTree.fromstring(answer.get_data(as_text=True))
    assert typed in "".join(root.itertext())
