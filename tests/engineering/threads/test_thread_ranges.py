"""What is refused as no thread, no measurement of one and no row of a table, a hair either side."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import cos, radians

import pytest

from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import (
    UNIFIED,
    Thread,
    custom_thread,
    disagreements,
    load_series,
)
from service.engineering.threads.catalogue.forms import (
    BRITISH_ASSOCIATION,
    ISO_METRIC,
    NATIONAL_PIPE_TAPER,
    WHITWORTH,
    Form,
    form_of_angle,
)
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.identify import Measurement
from service.engineering.threads.identify.measurement import check_measurement

MM = 1e-3
INCH = 0.0254


def expect_edge(
    act: Callable[..., object], field: str, *, within: object, without: object, column: str = ""
) -> None:
    """The one is taken; the other is refused, by that field."""
    act(**{column or field: within})
    with pytest.raises(OutOfRange) as refusal:
        act(**{column or field: without})
    assert refusal.value.field == field


@pytest.mark.parametrize(
    ("field", "within", "without", "others"),
    [
        ("diameter", 0.3 * MM, 0.29999 * MM, {"pitch": 0.06 * MM}),
        ("diameter", 150 * MM, 150.001 * MM, {}),
        ("pitch", 0.05 * MM, 0.04999 * MM, {}),
        ("pitch", 8 * MM, 8.0001 * MM, {"diameter": 40 * MM}),
        ("pitch", 2.9999 * MM, 3 * MM, {}),
        ("taper", 0.0, -1e-9, {}),
        ("taper", 0.25, 0.25001, {}),
        ("included_angle", radians(25.001), radians(24.999), {"diameter": 20 * MM}),
        ("included_angle", radians(99.999), radians(100.001), {}),
        ("threads_per_inch", 25.4 * 1.00099, 25.4 * 1.00101, {}),
        ("threads_per_inch", 25.4 * 0.99901, 25.4 * 0.99899, {}),
        # 60 degrees: the male's root 17H/24 twice is 1.226869 P; 30 degrees: 1.5 H = 2.799038 P
        ("pitch", 2.1435 * MM, 2.1437 * MM, {"included_angle": radians(30)}),
    ],
)
def test_custom_thread_is_refused_from_there(
    field: str, within: float, without: float, others: dict[str, float]
) -> None:
    given = {"diameter": 6 * MM, "pitch": 1 * MM, "included_angle": radians(60)} | others

    def describe(**changes: float) -> Thread:
        return custom_thread("odd", **(given | changes))

    expect_edge(describe, field, within=within, without=without)


@pytest.mark.parametrize(
    ("degrees", "form"), [(47.5, BRITISH_ASSOCIATION), (55, WHITWORTH), (60, ISO_METRIC)]
)
def test_standard_form_is_taken_within_a_hundredth_of_a_degree(degrees: float, form: Form) -> None:
    for excess in (-0.0099, 0.0099):
        assert form_of_angle(radians(degrees + excess)) is form
    for excess in (-0.0101, 0.0101):
        assert form_of_angle(radians(degrees + excess)) is not form


@pytest.mark.parametrize(
    ("form", "external", "crest", "root"),
    [
        # per pitch; BS 84, BS 93; ISO 68-1 and B1.1: 17H/24 and H/6 round; B1.20.1: 0.8 P, flats
        (WHITWORTH, 0.640327, 0.137329, 0.137329),
        (BRITISH_ASSOCIATION, 0.6, 0.180834, 0.180834),
        (ISO_METRIC, 17 / 24 * cos(radians(30)), 0.0, cos(radians(30)) / 6),
        (UNIFIED, 17 / 24 * cos(radians(30)), 0.0, cos(radians(30)) / 6),
        (NATIONAL_PIPE_TAPER, 0.8, 0.0, 0.0),
        # any other angle: a sharp V with an eighth off each end, flats; 3H/4, H = 1/(2 tan 45)
        (form_of_angle(radians(90)), 0.375, 0.0, 0.0),
    ],
)
def test_form_has_the_printed_depth_of_the_male(
    form: Form, external: float, crest: float, root: float
) -> None:
    assert form.external_depth == pytest.approx(external, abs=1e-6)
    assert form.crest_radius == pytest.approx(crest, abs=1e-6)
    assert form.root_radius == pytest.approx(root, abs=1e-6)


def test_rounded_depth_of_a_ba_table_scales_the_whole_form() -> None:
    """BS 93: 3 BA has a depth of 0.440 where 0.6 x 0.73 is 0.438; effective 4.1 - 0.440."""
    thread = find_thread("3 BA")

    assert thread.internal_depth == pytest.approx(0.440 * MM)
    assert thread.external_depth == pytest.approx(0.440 * MM)
    assert thread.effective_diameter == pytest.approx(3.660 * MM)
    assert thread.core_diameter == thread.root_diameter == pytest.approx(3.220 * MM)


def test_small_end_of_a_taper_lies_a_gauge_length_down() -> None:
    """1/8: 4.0 mm at one in sixteen is 0.25 mm of diameter (ISO 7-1)."""
    assert find_thread("1/8 BSPT").small_end_offset == pytest.approx(0.25 * MM)
    assert find_thread("1/8 BSPT").is_taper
    assert not find_thread("1/8 BSP").is_taper


ROW = {
    "designation": "odd",
    "family": "own",
    "form": "Whitworth",
    "diameter": "6",
    "unit": "mm",
    "pitch": "1",
    "threads_per_inch": "",
    "taper": "",
    "gauge_length": "",
    "source": "ours",
}


def read_row(**changes: str) -> Thread:
    row = ROW | changes
    (thread,) = load_series(",".join(row) + "\n" + ",".join(row.values()) + "\n")
    return thread


@pytest.mark.parametrize(
    ("field", "column", "within", "without", "others"),
    [
        ("diameter", "diameter", "0.3", "0.2999", {"pitch": "0.06"}),
        ("diameter", "diameter", "500", "500.001", {}),
        ("pitch", "pitch", "2.9999", "3", {}),
        ("pitch", "pitch", "0.000001", "0", {}),
        ("taper", "taper", "0.25", "0.2501", {}),
        ("taper", "taper", "0", "-0.0001", {}),
        ("gauge_length", "gauge_length", "0", "-0.001", {"taper": "1/16"}),
        ("threads_per_inch", "threads_per_inch", "25.4", "0", {}),
        # pitch and threads per inch agree to one part in a thousand
        ("pitch", "pitch", "1.00099", "1.00101", {"threads_per_inch": "25.4"}),
        ("pitch", "pitch", "0.99901", "0.99899", {"threads_per_inch": "25.4"}),
        # 30 degrees: 1.5 H = 2.799038 P deep on the diameter
        ("pitch", "pitch", "2.1435", "2.1437", {"form": "30"}),
    ],
)
def test_row_of_a_series_is_refused_from_there(
    field: str, column: str, within: str, without: str, others: dict[str, str]
) -> None:
    expect_edge(partial(read_row, **others), field, within=within, without=without, column=column)


def test_row_is_read_in_its_own_unit() -> None:
    inch = read_row(unit="in", diameter="1/4", pitch="", threads_per_inch="40", gauge_length="1/8")
    both = read_row(pitch="1.0009", threads_per_inch="25.4")

    assert inch.major_diameter == pytest.approx(6.35 * MM)
    assert inch.pitch == pytest.approx(0.635 * MM)
    assert inch.gauge_length == pytest.approx(3.175 * MM)
    assert both.pitch == pytest.approx(1 * MM, rel=1e-9)  # the count is exact, the pitch rounded
    assert read_row(taper="1/16", gauge_length="4").small_end_offset == pytest.approx(0.25 * MM)


def test_nothing_printed_is_no_disagreement_of_figures() -> None:
    """1/4 x 26 brass is listed for a misprinted major diameter; no effective or core is printed."""
    listed = {each.thread.designation: each for each in disagreements()}

    assert listed["1/4 x 26 brass"].effective_excess == 0
    assert listed["1/4 x 26 brass"].core_excess == 0


BENCH = Measurement("male", 6 * MM)


@pytest.mark.parametrize(
    ("field", "within", "without", "others"),
    [
        ("diameter", 0.2 * MM, 0.1999 * MM, {}),
        ("diameter", 200 * MM, 200.001 * MM, {}),
        ("caliper_error", 1e-9, 0.0, {}),
        ("caliper_error", 1 * MM, 1.001 * MM, {}),
        ("wear", 0.0, -1e-9, {}),
        ("wear", 1 * MM, 1.001 * MM, {}),
        ("pitch", 0.05 * MM, 0.0499 * MM, {}),
        ("pitch", 10 * MM, 10.001 * MM, {}),
        ("pitch_error", 1e-9, 0.0, {"pitch": MM}),
        ("pitch_error", 1 * MM, 1.001 * MM, {"pitch": MM}),
        ("count", 1.0, 0.999, {"over": 10 * MM}),
        ("count", 500.0, 500.001, {"over": 10 * MM}),
        ("over", 0.5 * MM, 0.4999 * MM, {"count": 2.0}),
        ("over", 500 * MM, 500.001 * MM, {"count": 2.0}),
        ("included_angle", radians(20.001), radians(19.999), {}),
        ("included_angle", radians(107.999), radians(108.001), {}),
        ("second_diameter", 0.2 * MM, 0.1999 * MM, {"apart": 5 * MM}),
        ("second_diameter", 200 * MM, 200.001 * MM, {"apart": 5 * MM}),
        ("apart", 0.5 * MM, 0.4999 * MM, {"second_diameter": 6 * MM}),
        ("apart", 200 * MM, 200.001 * MM, {"second_diameter": 6 * MM}),
    ],
)
def test_measurement_is_refused_from_there(
    field: str, within: float, without: float, others: dict[str, float]
) -> None:
    def check(**changes: float) -> None:
        check_measurement(replace(BENCH, **others, **changes))

    expect_edge(check, field, within=within, without=without)


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ({"count": 20.0}, "over"),
        ({"over": 0.01}, "count"),
        ({"apart": 0.01}, "second_diameter"),
        ({"second_diameter": 0.006}, "apart"),
    ],
)
def test_half_a_pair_is_refused_by_the_other_half(given: dict[str, float], missing: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        check_measurement(replace(BENCH, **given))

    assert refusal.value.field == missing
