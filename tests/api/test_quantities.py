"""Workshop notation read and shown back over HTTP."""

import pytest

from tests.conftest import Caller


@pytest.mark.parametrize(
    ("text", "value", "sixty_fourth", "drill"),
    [
        ("5.6 mm", 5.6, "7/32 in", "5.6 mm"),
        ("No. 30", 0.1285 * 25.4, "1/8 in", "No. 30"),
        ("letter Q", 0.332 * 25.4, "21/64 in", "letter Q"),
        ("1 7/32 in", 1.21875 * 25.4, "1 7/32 in", None),
    ],
)
def test_a_length_comes_with_the_nearest_sixty_fourth_and_drill(
    calculator: Caller, text: str, value: float, sixty_fourth: str, drill: str | None
) -> None:
    answer = calculator.post("/calculations/quantity", {"text": text}).json

    assert (answer["value"], answer["unit"]) == (pytest.approx(value, rel=1e-9), "mm")
    assert answer["nearest_64th"] == sixty_fourth
    assert drill is None or answer["nearest_drill"] == drill


def test_another_kind_has_neither(calculator: Caller) -> None:
    answer = calculator.post("/calculations/quantity", {"text": "60 psi", "kind": "pressure"}).json

    assert answer["value"] == pytest.approx(4.13685, rel=1e-5)  # 1 psi is 6894.757 Pa
    assert answer["nearest_64th"] is None
    assert answer["nearest_drill"] is None


@pytest.mark.parametrize("text", ["5", "0,5 mm", "9**9**9", "60 psi"])
def test_what_is_no_length_is_refused(calculator: Caller, text: str) -> None:
    answer = calculator.post("/calculations/quantity", {"text": text})

    assert answer.status_code == 422
    assert list(answer.json["errors"]) == ["text"]
