"""The catalogue: complete, unique, true to its forms, and open to a workshop's own series."""

import pytest

from service.engineering.constants import INCH
from service.engineering.errors import OutOfRange, UnknownThread, Unsuitable
from service.engineering.threads.catalogue import (
    catalogue,
    disagreements,
    extended_catalogue,
    families,
    load_series,
    threads_of,
)
from service.engineering.threads.catalogue.forms import PIPE_TAPER, WHITWORTH
from service.engineering.threads.catalogue.series import SeriesRow, find_thread, series_rows

LAST_PLACES = {"metric": 1.0e-6, "metric fine": 1.0e-6, "BA": 1.0e-6, "BSP": 1.0e-6, "BSPT": 1.0e-6}
"""Half a unit of the last printed place and a little, where a table prints millimetres [m]."""

TAPERS = ("BSPT", "Rc", "NPT", "NPTF")
HEADING = "designation,family,form,diameter,unit,pitch,threads_per_inch,taper,source\n"


def half_last_place(row: SeriesRow) -> float:
    printed_in_millimetres = row.thread.family in LAST_PLACES
    if row.thread.family == "NPT":
        return 0.000011 * INCH
    return 0.00051e-3 if printed_in_millimetres else 0.000051 * INCH


@pytest.mark.parametrize("row", series_rows(), ids=lambda row: row.thread.designation)
def test_row_follows_its_form(row: SeriesRow) -> None:
    """Every printed diameter is that of the form, to its last place, unless a remark says why."""
    thread, allowed = row.thread, half_last_place(row)
    effective_excess = (row.printed_effective or thread.effective_diameter) - (
        thread.effective_diameter
    )
    core_excess = (row.printed_core or thread.core_diameter) - thread.core_diameter

    assert abs(effective_excess) <= allowed
    if row.remark:
        assert abs(core_excess) <= 2 * allowed
    else:
        assert abs(core_excess) <= allowed
    assert thread.source
    assert thread.threads_per_inch is None or thread.pitch == INCH / thread.threads_per_inch


def test_every_disagreement_is_listed_with_its_reason() -> None:
    listed = {each.thread.designation: each for each in disagreements()}

    assert {row.thread.designation for row in series_rows() if row.remark} == set(listed)
    assert all(each.reason for each in listed.values())
    assert listed["7/8 BSW"].core_excess == pytest.approx(0.000095 * INCH, abs=0.00001 * INCH)
    assert "28 threads" in listed["3/16 BSF"].reason


def test_designations_are_unique() -> None:
    designations = [thread.designation for thread in catalogue()]

    assert len(set(designations)) == len(designations)


def test_every_family_has_threads_of_its_own_form() -> None:
    for family in families():
        threads = threads_of(family.key)

        assert threads, family.key
        assert {thread.form for thread in threads} == {family.form}
    assert {thread.family for thread in catalogue()} == {family.key for family in families()}


@pytest.mark.parametrize(
    ("designation", "family", "diameter_mm", "pitch_mm"),
    [
        ("1/4 x 40 ME", "ME", 6.35, 0.635),
        ("3/8 x 26 brass", "brass", 9.525, 25.4 / 26),
        ("2 BA", "BA", 4.7, 0.81),
        ("1/4 BSW", "BSW", 6.35, 1.27),
        ("3/16 BSF", "BSF", 4.7625, 25.4 / 32),
        ("1/8 BSP", "BSP", 9.728, 25.4 / 28),
        ("1/8 BSPT", "BSPT", 9.728, 25.4 / 28),
        ("1/4-28 UNF", "UNF", 6.35, 25.4 / 28),
        ("1/4-20 UNC", "UNC", 6.35, 1.27),
        ("1/4-32 UNEF", "UNEF", 6.35, 25.4 / 32),
        ("1/4-40 UNS", "UNS", 6.35, 0.635),
        ("10-32 UNF", "UNF", 4.826, 25.4 / 32),
        ("5-40 UNC", "UNC", 3.175, 0.635),
        ("M6", "metric", 6.0, 1.0),
        ("M6 x 0.75", "metric fine", 6.0, 0.75),
        ("1/8-27 NPT", "NPT", 10.242, 25.4 / 27),
    ],
)
def test_trade_designation_finds_its_thread(
    designation: str, family: str, diameter_mm: float, pitch_mm: float
) -> None:
    thread = find_thread(designation)

    assert thread.family == family
    assert thread.major_diameter == pytest.approx(diameter_mm / 1000, abs=1e-6)
    assert thread.pitch == pytest.approx(pitch_mm / 1000)


def test_number_sizes_follow_the_unified_rule() -> None:
    """ASME B1.1: number N is 0.060 + 0.013 N in."""
    for thread in catalogue():
        number = thread.designation.split("-")[0]
        if thread.family in ("UNC", "UNF") and number.isdigit() and thread.major_diameter < 0.006:
            assert thread.major_diameter == pytest.approx((0.060 + 0.013 * int(number)) * INCH)


def test_taper_threads_and_no_others_taper() -> None:
    for thread in catalogue():
        assert thread.taper == (PIPE_TAPER if thread.family in TAPERS else 0)
        assert (thread.gauge_length is not None) == thread.is_taper


def test_unknown_designation_names_the_nearest() -> None:
    with pytest.raises(UnknownThread, match="1/4 x 40 ME") as refusal:
        find_thread("1/4x40ME")

    assert refusal.value.field == "thread"
    assert "1/4 x 40 ME" in refusal.value.nearest


@pytest.mark.parametrize("text", ["", "x" * 10_000, "\0", "1/4 x 40 ME "])
def test_nonsense_is_unknown_and_quickly_so(text: str) -> None:
    with pytest.raises(UnknownThread):
        find_thread(text)


def test_own_series_is_data_without_code() -> None:
    own = load_series(
        "# our box of old gauge fittings\n"
        + HEADING
        + "5/16 x 30 gauge,gauge,55,5/16,in,,30,,measured here\n"
        + "7 x 0.9 gauge,gauge,53,7,mm,0.9,,,measured here\n"
        + "1/4-40 taper,gauge,60,1/4,in,,40,1/16,measured here\n"
    )

    assert [thread.designation for thread in own] == [
        "5/16 x 30 gauge",
        "7 x 0.9 gauge",
        "1/4-40 taper",
    ]
    assert own[0].form is WHITWORTH
    assert own[0].pitch == INCH / 30
    assert own[2].is_taper
    assert extended_catalogue(own)[-3:] == own


def test_own_series_may_not_take_a_name_twice() -> None:
    with pytest.raises(Unsuitable, match="2 BA"):
        extended_catalogue([find_thread("2 BA")])


@pytest.mark.parametrize(
    ("field", "row"),
    [
        ("diameter", "a,own,55,quarter,in,,40,,s"),
        ("diameter", "a,own,55,1/0,in,,40,,s"),
        ("diameter", "a,own,55,,in,,40,,s"),
        ("diameter", "a,own,55,-1/4,in,,40,,s"),
        ("diameter", "a,own,55,1e400,in,,40,,s"),
        ("unit", "a,own,55,1/4,cm,,40,,s"),
        ("pitch", "a,own,55,1/4,in,,,,s"),
        ("pitch", "a,own,55,6,mm,4,,,s"),
        ("pitch", "a,own,55,6,mm,0.6,40,,s"),
        ("threads_per_inch", "a,own,55,1/4,in,,0,,s"),
        ("taper", "a,own,55,1/4,in,,40,2,s"),
        ("included_angle", "a,own,5,1/4,in,,40,,s"),
        ("form", "a,own,square,1/4,in,,40,,s"),
        ("source", "a,own,55,1/4,in,,40,,"),
        ("designation", ",own,55,1/4,in,,40,,s"),
    ],
)
def test_bad_row_is_refused_by_column(field: str, row: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        load_series(HEADING + row)

    assert refusal.value.field == field


def test_row_with_too_many_columns_is_refused() -> None:
    with pytest.raises(OutOfRange, match="more columns"):
        load_series(HEADING + "a,own,55,1/4,in,,40,,s,surplus")
