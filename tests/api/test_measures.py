"""Every example in every measure: no text in another, none that disagrees with its figure."""

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.api.calculation import Calculation
from service.api.calculations import CALCULATIONS
from service.engineering.kit import Kit
from service.engineering.saying import Figure
from service.quantities import Kind, Measure, parse, show_figure, word
from service.quantities.kinds import TRAITS
from tests.conftest import Caller

EVERYONE = [each for calculation in CALCULATIONS for each in (calculation, *calculation.also)]

METRIC = r"mm2?|bar|g/min|kg|g|ml|N m|N|MPa|m/s|W/m|degC|K"
INCH = r"in|ft|thou|psi|sq in|lbf in|lbf|oz/min|oz|lb|fl oz|US fl oz|pint|ft/s|W/ft|degF"
UNITS = re.compile(rf"[0-9]\s?(?P<unit>{INCH}|{METRIC})(?![A-Za-z0-9/])")

OF_MEASURE = {
    Measure.METRIC: set(METRIC.replace("mm2?", "mm|mm2").split("|")),
    Measure.IMPERIAL: set(INCH.split("|")) - {"US fl oz", "degF", "oz/min"}
    | {"degC", "K", "g/min"},
    Measure.US: set(INCH.split("|")) - {"fl oz", "pint"},
}


def sentences(thing: Any) -> Iterator[tuple[Any, ...]]:
    """Every sentence in what a calculation found, however deep."""
    if isinstance(thing, tuple) and any(isinstance(part, Figure) for part in thing):
        yield thing
    elif isinstance(thing, tuple | list):
        for inner in thing:
            yield from sentences(inner)
    elif isinstance(thing, dict):
        for inner in thing.values():
            yield from sentences(inner)
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, type):
        for member in dataclasses.fields(thing):
            yield from sentences(getattr(thing, member.name))


def found_by(calculation: Calculation) -> Any:
    return calculation.reckon(calculation.takes().load(dict(calculation.example)), Kit())


@pytest.fixture(scope="module", params=EVERYONE, ids=lambda each: each.name)
def calculation(request: pytest.FixtureRequest) -> Calculation:
    return request.param


def test_no_figure_is_written_into_a_sentence(calculation: Calculation, calculator: Caller) -> None:
    with calculator.client.application.test_request_context():
        for said in sentences(found_by(calculation)):
            for part in said:
                if isinstance(part, str):
                    assert not UNITS.search(part), said


@pytest.mark.parametrize("measure", Measure)
def test_no_sentence_is_in_another_measure(
    calculation: Calculation, calculator: Caller, measure: Measure
) -> None:
    with calculator.client.application.test_request_context():
        for said in sentences(found_by(calculation)):
            shown = "".join(
                part if isinstance(part, str) else show_figure(part, measure)
                for part in said
                if isinstance(part, str) or part.kind != "name"
            )
            for unit in UNITS.finditer(shown):
                assert unit["unit"] in OF_MEASURE[measure], shown


@pytest.mark.parametrize("measure", Measure)
def test_every_quantity_reads_as_its_figure_in_the_measure_asked_for(
    calculation: Calculation, calculator: Caller, measure: Measure
) -> None:
    answer = calculator.post(
        calculation.address, dict(calculation.example), headers={"Prefer": f"measure={measure}"}
    )

    assert answer.status_code == 200, answer.get_data(as_text=True)
    assert answer.headers["Preference-Applied"] == f"measure={measure}"
    typed = set(texts_of(calculation.example))
    for shown in quantities_of(answer.json):
        if shown["text"] in typed:
            continue
        unit = UNITS.search(shown["text"])
        assert unit is None or unit["unit"] in OF_MEASURE[measure], shown
        assert agrees(shown), shown


def texts_of(thing: Any) -> Iterator[str]:
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, dict | list):
        for inner in thing.values() if isinstance(thing, dict) else thing:
            yield from texts_of(inner)


def quantities_of(thing: Any) -> Iterator[dict[str, Any]]:
    if isinstance(thing, dict):
        if thing.keys() == {"value", "unit", "text"}:
            yield thing
        for inner in thing.values():
            yield from quantities_of(inner)
    elif isinstance(thing, list):
        for inner in thing:
            yield from quantities_of(inner)


KINDS_OF_UNIT = {
    "mm": Kind.LENGTH, "mm2": Kind.AREA, "ml": Kind.VOLUME, "deg": Kind.ANGLE, "g": Kind.MASS,
    "N": Kind.FORCE, "N m": Kind.TORQUE, "degC": Kind.TEMPERATURE, "K": Kind.TEMPERATURE_DIFFERENCE,
    "rpm": Kind.SPEED, "m/s": Kind.VELOCITY, "g/min": Kind.MASS_FLOW, "W": Kind.POWER,
    "bar": Kind.PRESSURE_DIFFERENCE, "min": Kind.DURATION,
}  # fmt: skip


def agrees(shown: dict[str, Any]) -> bool:
    """Whether the text, read again, is the value to half of its last digit."""
    kind = KINDS_OF_UNIT.get(shown["unit"])
    text = shown["text"]
    if kind is None or text.startswith(("under ", "-")):
        return True
    again = parse(text, kind)
    step = 0.04 if re.search("[0-9]/[0-9]", text) else last_digit(text, kind)
    value = TRAITS[kind].to_wire(again.value)
    return abs(value - shown["value"]) <= step * 0.5000001 + 1e-9 * abs(value)


def last_digit(text: str, kind: Kind) -> float:
    """What one in the last digit of a text is worth in the unit of the wire."""
    digits = re.match(r"-?[0-9]+(?:\.([0-9]+))?", text)
    assert digits is not None, text
    places = len(digits[1] or "")
    least = "1" if places == 0 else f"0.{'0' * (places - 1)}1"
    one = parse(re.sub(r"^-?[0-9.]+", least, text), kind)
    zero = parse(re.sub(r"^-?[0-9.]+", "0", text), kind)
    return TRAITS[kind].to_wire(one.value) - TRAITS[kind].to_wire(zero.value)


@given(st.text(max_size=30))
def test_a_name_that_a_person_typed_stays_what_it_is(typed: str) -> None:
    assert word(("It is ", Figure("name", typed), ".")) == f"It is {typed}."
