"""Every formula of every example is mathematics that the paper can set."""

import pytest
import typst

from service.api.calculation import Calculation
from service.api.calculations import CALCULATIONS
from service.documents.calculation_sheet import is_mathematics
from service.engineering.kit import Kit
from tests.conftest import ONE_DATABASE, Caller

EVERYONE = [each for calculation in CALCULATIONS for each in (calculation, *calculation.also)]


@ONE_DATABASE
@pytest.mark.parametrize("calculation", EVERYONE, ids=lambda each: each.name)
def test_formulas_are_set_as_mathematics(calculator: Caller, calculation: Calculation) -> None:
    with calculator.client.application.test_request_context():
        found = calculation.reckon(calculation.takes().load(dict(calculation.example)), Kit())
    workings = found["workings"] if isinstance(found, dict) else found.workings
    lines = [text for line in workings for text in (line.symbol, line.formula)]

    assert [text for text in lines if not is_mathematics(text)] == []
    page = "\n\n".join(f"$ {text} $" for text in lines)
    assert typst.compile(page.encode(), format="pdf").startswith(b"%PDF")
