"""The calculation sheet on paper, read back from the PDF."""

import datetime as dt
from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.calculation_sheet import CalculationSheet, Entry, typeset_sheet
from service.engineering.block import BlockRequest, Port, RunningCase, plan_block
from service.engineering.findings import Finding, Working
from service.engineering.steam.passages import Bore, Corner, flow_through
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.strength import engagement
from service.quantities.wording import Measure

SHEET = CalculationSheet(
    title="Engagement of a stop valve",
    workshop="The workshop",
    reference="C-2026-014",
    made_on=dt.date(2026, 11, 25),
    inputs=(Entry("Working pressure", "60 psi", "p_0"), Entry("Thread", "1/4 x 40 ME")),
    results=(Entry("Turns engaged", "5.0", "N"),),
    findings=(
        Finding("ok", "fine", "Enough turns are engaged."),
        Finding("fail", "thin", "The wall is too thin.", source="common practice"),
    ),
    workings=(
        Working("L_e", "5 P", 0.003175, "m", "common practice"),
        Working("N", "L_e/P", 5.0, "1", "geometry"),
        Working("F", "p_0 pi/4 D^2", 13.1, "N", "pressure times area"),
    ),
    cautions=("Indicative only.", "The inspector decides."),
)


def read_pages(document: bytes) -> list[str]:
    pdf = pypdfium2.PdfDocument(document)
    pages = [page.get_textpage().get_text_range() for page in pdf]
    pdf.close()
    return [" ".join(page.split()) for page in pages]


def read_text(sheet: CalculationSheet) -> str:
    return " ".join(read_pages(typeset_sheet(sheet)))


def test_everything_is_on_the_paper() -> None:
    text = read_text(SHEET)

    for expected in (
        "Engagement of a stop valve", "The workshop", "C-2026-014", "25 November 2026",
        "Working pressure", "60 psi", "1/4 x 40 ME", "Turns engaged", "Enough turns are engaged.",
        "The wall is too thin.", "common practice", "pressure times area", "Indicative only.",
        "3.175 mm", "13.1 N", "Checked by",
    ):  # fmt: skip
        assert expected in text


def test_cautions_stand_on_the_first_page_however_long_the_rest() -> None:
    many = tuple(
        Working(f"x_{count}", "a + b", float(count), "m", "geometry") for count in range(1, 200)
    )

    pages = read_pages(typeset_sheet(replace(SHEET, workings=many)))

    assert len(pages) > 3
    assert "The inspector decides." in pages[0]
    assert pages[-1].count("Sheet") == 1
    assert f"Sheet {len(pages)} of {len(pages)}" in pages[-1]


def test_findings_come_worst_first() -> None:
    text = read_text(SHEET)

    assert text.index("The wall is too thin.") < text.index("Enough turns are engaged.")
    assert text.index("FAIL") < text.index("OK")


def test_a_formula_is_followed_by_the_values_that_stand_in_it() -> None:
    text = read_text(SHEET)

    assert "with" in text
    # The subscript is set lower, so the reader of the text sees it apart: L e, p 0.
    compact = text.replace(" ", "")
    assert "=3.175mm" in compact
    assert "=60psi" in compact


def test_a_symbol_with_two_values_in_one_sheet_explains_nothing() -> None:
    twice = (
        Working("d_t", "of the outlet", 0.005, "m", "as asked"),
        Working("d_t", "of the inlet", 0.007, "m", "as asked"),
        Working("A_t", "pi/4 d_t^2", 2e-5, "m2", "geometry"),
    )

    assert " with " not in read_text(replace(SHEET, inputs=(), workings=twice))


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.0055562, "m", "5.556 mm"),
        (5.15e5, "Pa", "5.15 bar abs"),
        (1.2e4, "Pa difference", "0.12 bar"),
        (1 / 3000, "kg/s", "20 g/min"),
        (4.153e-5, "m2", "41.53 mm²"),
        (425.15, "K", "152 °C"),
        (0.5492, "rad", "31.47°"),
        (1.2, "1", "1.2"),
        (-0.001, "m", "−1 mm"),
    ],
)
def test_values_are_shown_in_workshop_units(value: float, unit: str, shown: str) -> None:
    line = Working("x_1", "as measured", value, unit, "geometry")  # type: ignore[arg-type]

    assert shown in read_text(replace(SHEET, workings=(line,)))


@pytest.mark.parametrize(
    ("value", "unit", "measure", "shown"),
    [
        (0.0055562, "m", Measure.IMPERIAL, "0.2187 in"),  # over 0.0254
        (2.54e-5, "m", Measure.US, "0.001 in"),
        (6894.757293168361, "Pa", Measure.IMPERIAL, "1 psi abs"),
        (1.2e4, "Pa difference", Measure.IMPERIAL, "1.74 psi"),  # over 6894.757
        (1.2e5, "Pa gauge", Measure.US, "17.4 psi"),
        (6.4516e-4, "m2", Measure.IMPERIAL, "1 sq in"),
        (4.4482216152605, "N", Measure.IMPERIAL, "1 lbf"),
        (373.15, "K", Measure.US, "212 °F"),
        (373.15, "K", Measure.IMPERIAL, "100 °C"),
        (1.8e6, "J/kg", Measure.IMPERIAL, "1800 kJ/kg"),  # no workshop unit: as it is
        (90.0, "s", Measure.US, "1.5 min"),
    ],
)
def test_values_are_in_the_measure_of_the_sheet(
    value: float, unit: str, measure: Measure, shown: str
) -> None:
    line = Working("x_1", "as measured", value, unit, "geometry")  # type: ignore[arg-type]

    assert shown in read_text(replace(SHEET, workings=(line,), measure=measure))


@pytest.mark.parametrize(
    ("measure", "called"),
    [(Measure.METRIC, "metric"), (Measure.IMPERIAL, "imperial"), (Measure.US, "US")],
)
def test_the_sheet_says_which_measure_its_values_are_in(measure: Measure, called: str) -> None:
    text = read_text(replace(SHEET, measure=measure))

    assert f"Values to four figures, in {called} measure" in text


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert typeset_sheet(SHEET) == typeset_sheet(SHEET)


def test_an_empty_sheet_is_still_a_sheet() -> None:
    assert "Nothing yet" in read_text(CalculationSheet(title="Nothing yet"))


def test_only_the_fonts_that_the_typesetter_carries_are_used() -> None:
    document = typeset_sheet(SHEET)

    assert b"Libertinus" in document
    assert b"DejaVuSans-" not in document


def test_what_people_wrote_is_printed_and_never_read_as_markup() -> None:
    evil = '#panic() *bold* $x$ #include "/etc/passwd" \\u{41} <label> @cite'
    sheet = replace(
        SHEET,
        title=evil,
        inputs=(Entry(evil, evil, evil),),
        findings=(Finding("ok", "x", evil, source=evil),),
        workings=(Working(evil, evil, 1.0, "1", evil),),
        cautions=(evil,),
    )

    text = read_text(sheet)

    assert "#panic() *bold* $x$" in text
    assert "root:" not in text


@settings(max_examples=25)
@given(st.text(max_size=200), st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_any_text_and_any_number_can_be_set(text: str, value: float) -> None:
    sheet = CalculationSheet(
        title=text,
        inputs=(Entry(text, text, text),),
        workings=(Working(text, text, value, "m", text),),
    )

    assert typeset_sheet(sheet).startswith(b"%PDF")


@settings(max_examples=40)
@given(st.text(alphabet="abP1 +-/^()[]_²='.,", min_size=1, max_size=40))
def test_any_formula_can_be_set(text: str) -> None:
    sheet = CalculationSheet(title="x", workings=(Working(text, text, 1.0, "m", "geometry"),))

    assert typeset_sheet(sheet).startswith(b"%PDF")


def test_a_block_a_joint_and_a_passage_can_all_be_printed() -> None:
    thread = find_thread("1/4 x 40 ME")
    block = plan_block(
        BlockRequest(
            outlets=(Port(thread),),
            inlet=Port(thread),
            pressure=5e5,
            drop_budget=2e4,
            cases=(RunningCase("one", (3e-4,)),),
        )
    )
    joint = engagement(
        thread, thread, length=0.005, male_material="brass", female_material="brass", pressure=4e5
    )
    passage = flow_through((Bore(0.003, 0.04), Corner(0.003)), pressure=5e5, outlet_pressure=4e5)

    for calculation in (block, joint, passage):
        sheet = CalculationSheet(
            title="A calculation", findings=calculation.findings, workings=calculation.workings
        )
        text = read_text(sheet)
        assert all(working.source.split()[0] in text for working in calculation.workings)
