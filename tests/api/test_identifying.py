"""Identification over the wire: marks and advice as values, and none of these as a candidate."""

from typing import Any

import pytest

from service import create_app
from service.records.database import Database
from service.records.models import Scope
from service.settings import Settings
from tests.conftest import Caller, make_caller

FORTY = {"diameter": "6.28 mm", "gauge": "inch", "threads_per_inch": 40, "length": "8 mm"}


def ask(caller: Caller, accept: str = "application/json", **given: Any) -> Any:
    headers = {"Accept": accept}
    answer = caller.post("/calculations/thread-identify", given, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json if accept == "application/json" else answer.text


def test_candidate_carries_its_marks_and_what_to_try_next(calculator: Caller) -> None:
    answer = ask(calculator, **FORTY)
    first = answer["candidates"][0]

    assert first["name"] == first["designation"] == "1/4 x 40 ME"
    assert [(each["kind"], each["mark"]) for each in first["why"]] == [
        ("diameter", "agrees"), ("leaf", "agrees"),
    ]  # fmt: skip
    assert first["why"][0]["found"] == "6.28 mm"
    advice = first["tell_apart"]
    assert (advice["kind"], advice["thread"]) == ("angle", "1/4 x 40 ME")
    rival = next(each for each in answer["candidates"] if each["designation"] == advice["rival"])
    assert "1/4-40 UNS" in rival["names"]
    assert (advice["shows"], advice["rival_shows"]) == ("55 deg", "60 deg")
    assert (advice["over"], advice["again"]) == (None, False)


def test_count_is_advised_as_a_length_within_the_thread(calculator: Caller) -> None:
    """8 mm has room for 1/4 in: 10 threads of 1/4 x 40 and 8 of 1/4 x 32."""
    alone = {"diameter": "6.28 mm", "length": "8 mm", "included_angle": "55 deg"}
    advice = ask(calculator, **alone)["candidates"][0]["tell_apart"]

    assert advice["kind"] == "count"
    assert advice["over"]["value"] == pytest.approx(6.35)
    assert (advice["shows"], advice["rival_shows"]) == ("10", "8")


def test_none_of_these_has_neither_designation_nor_family(calculator: Caller) -> None:
    answer = ask(calculator, diameter="45 mm")
    none = answer["candidates"][0]

    assert (none["name"], none["names"], none["designation"], none["family"]) == (
        "none of these", [], None, None,
    )  # fmt: skip
    assert (none["why"], none["wrong_guess"]) == ([], None)
    assert answer["findings"][0]["code"] == "none-agrees"


def test_names_of_one_thread_stand_together(calculator: Caller) -> None:
    given = {"diameter": "6.30 mm", "count": 13, "over": "1/2 in", "included_angle": "55 deg"}
    first = ask(calculator, **given)["candidates"][0]

    assert {"1/4 x 26 brass", "1/4 BSF"} <= set(first["names"])
    assert first["name"] == " or ".join([", ".join(first["names"][:-1]), first["names"][-1]])
    assert first["designation"] == first["names"][0]


@pytest.mark.parametrize(
    ("given", "field", "said"),
    [
        ({"threads_per_inch": 31}, "threads_per_inch", "30 and 32"),
        ({"gauge": "metric", "pitch": "0.73 mm"}, "pitch", "0.7 mm and 0.75 mm"),
        ({"gauge": "inch"}, "threads_per_inch", "inch gauge"),
        ({"gauge": "thumb"}, "gauge", "inch, metric"),
        ({"pitch": "1 mm", "count": 9, "over": "9 mm"}, "count", "one way"),
        ({"count": 20}, "over", "go together"),
        ({"count": 20, "over": "1/2 in", "length": "8 mm"}, "over", "8 mm long"),
    ],
)
def test_reading_that_cannot_be_is_refused_by_its_field(
    calculator: Caller, given: dict[str, Any], field: str, said: str
) -> None:
    body = {"diameter": "6.28 mm"} | given
    answer = calculator.post("/calculations/thread-identify", body)

    assert answer.status_code == 422
    assert said in str(answer.json["errors"][field])


def test_what_was_taken_for_granted_is_said(calculator: Caller) -> None:
    answer = ask(calculator, diameter="6.28 mm", threads_per_inch=40)
    codes = [each["code"] for each in answer["findings"]]

    assert codes[0] == "tell-apart"
    assert {"gauge-taken", "length-taken"} <= set(codes)


def test_text_says_marks_and_advice_in_forty_columns(calculator: Caller) -> None:
    text = ask(calculator, accept="text/plain", **FORTY)
    words = " ".join(text.split())

    assert max(map(len, text.splitlines())) <= 40
    assert "1/4 x 40 ME: why 2: The 40 leaf of an inch gauge fits" in words
    assert "1/4 x 40 ME: tell apart: Try a 55 deg and a 60 deg gauge" in words
    assert "1/4 x 40 ME: designation" not in words  # it is the name, said once


def test_texts_are_in_the_measure_asked_for(calculator: Caller) -> None:
    headers = {"Prefer": "measure=imperial"}
    answer = calculator.post("/calculations/thread-identify", FORTY, headers=headers).json

    assert answer["candidates"][0]["why"][0]["found"] == "247.2 thou"


@pytest.fixture
def equipped(settings: Settings, database: Database) -> Caller:
    """The owner of a workshop that has listed its taps."""
    folder = settings.data / "tables"
    folder.mkdir(parents=True)
    (folder / "taps-and-dies.csv").write_text("thread,cuts\n1/4 x 32 ME,tap\n")
    return make_caller(create_app(settings, database), Scope.OWNER)


def test_the_workshops_own_tap_is_tried_first(equipped: Caller) -> None:
    given = {"diameter": "6.28 mm", "length": "8 mm", "included_angle": "55 deg"}
    advice = ask(equipped, **given)["candidates"][0]["tell_apart"]

    assert (advice["kind"], advice["tool"]) == ("try", "a nut cut with your 1/4 x 32 ME tap")
    assert "goes on all the way" in advice["rival_shows"]
