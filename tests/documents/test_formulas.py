"""What is set as mathematics, and what only looks like it."""

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from service.documents.calculation_sheet import (
    is_mathematics,
    list_names,
    print_formula,
    read_formula,
)

FORMULAS = [
    "K p_m V_s N",
    'p_"set" (1 + "accumulation")',
    '"sum of the stated evaporation"',
    "p (R^2 + r^2)/(R^2 - r^2)",
    "pi/4 ((d_2 + d_3)/2)^2",
    "2 ln(p_1/p_2)",
    "sqrt(2 p rho) A",
    "eta Q_1 - Q_2",
]


@pytest.mark.parametrize("formula", FORMULAS)
def test_a_formula_is_mathematics_and_typst_sets_it(formula: str) -> None:
    assert is_mathematics(formula)
    assert typst.compile(f"$ {formula} $".encode(), format="pdf").startswith(b"%PDF")


@pytest.mark.parametrize(
    "text",
    [
        '#read("/etc/passwd")',
        'read("/etc/passwd")',
        "$ x $",
        "a \\ b",
        "@cite",
        "p_in",
        "as measured",
        "(a + b",
        "a) + (b",
        '"never closed',
        "x" * 601,
    ],
)
def test_what_is_no_formula_is_printed_as_it_stands(text: str) -> None:
    assert not is_mathematics(text)
    assert read_formula(text) == print_formula(text)


def test_symbols_are_listed_once_in_the_order_in_which_they_stand() -> None:
    assert list_names('p_"atm" + p_0 (1 + a) p_0') == ['p_"atm"', "p_0", "a"]


@given(st.text(max_size=60))
def test_nothing_that_reaches_code_is_let_through(text: str) -> None:
    if is_mathematics(text):
        outside = "".join(text.split('"')[::2])
        assert not set(outside) & set("#$\\@`&~{}")
