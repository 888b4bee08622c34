"""Formulas written as text, read into trees that are set as mathematics."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.formulas import list_names, read_formula, read_symbol


def flat(node: dict[str, Any]) -> str:
    """A tree written out again: subscripts with _, fractions as {over|under}."""
    kind = node["kind"]
    if kind == "words":
        parts = [("" if part["tight"] else " ") + flat(part["node"]) for part in node["parts"]]
        return "".join(parts).strip()
    if kind in ("row", "product"):
        return (" " if kind == "product" else "").join(flat(part) for part in node["parts"])
    if kind == "name":
        below = f"_{node['below']}" if node["below"] else ""
        return node["text"] + below + node["above"]
    if kind == "fraction":
        return f"{{{flat(node['over'])}|{flat(node['under'])}}}"
    if kind == "slash":
        return f"{flat(node['over'])}/{flat(node['under'])}"
    if kind == "power":
        return f"{flat(node['base'])}^{flat(node['top'])}"
    if kind == "root":
        return f"√({flat(node['inside'])})"
    if kind == "bracket":
        return f"{node['open']}{flat(node['inside'])}{node['close']}"
    return str(node["text"])


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("W = K pm Vs N", "W=K p_m V_s N"),
        ("D - 2 h", "D−2 h"),
        ("d2 + h_fg", "d_2+h_fg"),
        ("q' L/h_fg", "q′ {L|h_fg}"),
        ("T / (0.2 D)", "{T|0.2 D}"),
        ("100 (D - d) / 2h", "{100 (D−d)|2 h}"),
        ("pi/4 ((d2 + d3)/2)^2", "{π|4} ({d_2+d_3|2})^2"),
        ("p (R² + r²)/(R² - r²)", "p {R^2+r^2|R^2−r^2}"),
        ("A P Kd/70", "A P {K_d|70}"),
        ("root(x p_in)", "√(x p_in)"),
        ("2 ln(p_in/p_out)", "2 ln ({p_in|p_out})"),
        ("acos(d_w/d_bore)", "acos ({d_w|d_bore})"),
        ("tan(31 deg)", "tan (31°)"),
        ("eta Q_fire - Q_loss", "η Q_fire−Q_loss"),
        ("-x + y", "−x+y"),
        ("dP", "dP"),
        ("pi/4 bore^2", "{π|4} bore^2"),
    ],
)
def test_algebra_is_read_as_algebra(text: str, read: str) -> None:
    assert flat(read_formula(text)) == read


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("pitch", "pitch"),
        ("area x strength in steam", "area × strength in steam"),
        ("p0 v_g(p0) at the inlet", "p_0 v_g (p_0) at the inlet"),
        ("d/2 + metal beside the bore", "d/2+ metal beside the bore"),
        ("lesser of L_room and D", "lesser of L_room and D"),
    ],
)
def test_words_stay_words_and_what_lies_between_them_is_set(text: str, read: str) -> None:
    assert flat(read_formula(text)) == read


def test_a_division_with_more_behind_it_stays_in_the_line_as_it_was_written() -> None:
    # p d / 2 w means p d / (2 w) to its author, and p d / 2 times w to a machine.
    assert flat(read_formula("p d / 2 w")) == "p d / 2 w"


@pytest.mark.parametrize("text", ["((((", ")", "a / ", "/ b", "", "^", "[a)", "(" * 400 + "a"])
def test_what_is_no_algebra_is_set_as_it_stands(text: str) -> None:
    assert read_formula(text)["kind"] == "words"
    assert flat(read_formula(text)).replace(" ", "") == text.replace(" ", "")


def test_a_symbol_of_two_words_is_read_as_two() -> None:
    assert flat(read_symbol("p v")) == "p v"
    assert flat(read_symbol("As_male")) == "As_male"


def test_names_with_a_subscript_are_listed_and_single_letters_and_words_are_not() -> None:
    names = list_names("p_in² - p_out² = phi (m/A)² p v [K + 2 ln(p_in/p_out)] along the way")

    assert names == ["p_in", "p_out"]


@settings(max_examples=300)
@given(st.text(max_size=80))
def test_any_text_at_all_is_read(text: str) -> None:
    tree = read_formula(text)

    assert tree["kind"] in ("words", "row")
    read_symbol(text)
    list_names(text)


@settings(max_examples=200)
@given(st.text(alphabet="ab1 +-/^()[]_²='.", max_size=40))
def test_no_letter_or_digit_of_a_formula_is_lost(text: str) -> None:
    def letters(words: str) -> str:
        plain = words.replace("²", "2").replace("root", "")
        return "".join(letter for letter in plain if letter in "ab12")

    assert letters(flat(read_formula(text))) == letters(text)
