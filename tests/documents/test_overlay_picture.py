"""The picture of a thread in a thread: to scale, told apart without colour, and safe to embed."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.documents.drawing.sheet import Filled, Hatching, Lettering, Sheet
from service.documents.drawing.writing import write_svg
from service.documents.overlay_picture import draw_profiles
from service.engineering.threads.catalogue import catalogue
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.overlay import Overlay, overlay
from service.quantities.wording import Measure
from tests.documents.lettering import outside, overlapping

SVG = "{http://www.w3.org/2000/svg}"


def lay(male: str, female: str) -> Overlay:
    return overlay(find_thread(male), find_thread(female), engaged_length=5e-3)


def words(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.marks if isinstance(mark, Lettering))


def fouls(sheet: Sheet) -> list[Filled]:
    return [mark for mark in sheet.marks if isinstance(mark, Filled) and mark.fouls]


def metals(sheet: Sheet) -> list[Hatching]:
    """Hatched areas: two squares of the legend, then female and male, whole and close up."""
    return [mark for mark in sheet.marks if isinstance(mark, Hatching)]


def test_picture_names_both_threads_with_pitch_angle_and_turns() -> None:
    text = words(draw_profiles(lay("1/4-40 UNS", "1/4 x 40 ME")))

    for expected in (
        "male 1/4-40 UNS",
        "female 1/4 x 40 ME",
        "60°, pitch 0.635 mm, 40 per inch",
        "55°, pitch 0.635 mm, 40 per inch",
        "7.9 turns, 5 mm engaged",
        "0.013 mm a side",
        "0.025 mm off its diameter",
    ):
        assert expected in text


def test_sizes_are_told_in_the_measure_asked_for() -> None:
    text = words(draw_profiles(lay("1/4-40 UNS", "1/4 x 40 ME"), measure=Measure.IMPERIAL))

    assert "pitch 25 thou, 40 per inch" in text
    assert "fouls by 0.5 thou a side" in text
    assert " mm" not in text


def test_metals_are_hatched_differently_so_that_colour_is_not_needed() -> None:
    sheet = draw_profiles(lay("M6", "0 BA"))

    assert len({(mark.gap, mark.slope) for mark in metals(sheet)}) == 2
    assert len({mark.gap for mark in metals(sheet)}) == 2
    assert len({mark.slope for mark in metals(sheet)}) == 2


def test_foul_is_filled_only_where_there_is_one() -> None:
    assert fouls(draw_profiles(lay("1/4-40 UNS", "1/4 x 40 ME")))
    assert not fouls(draw_profiles(lay("1/4 x 40 ME", "1/4 x 40 ME")))
    assert not fouls(draw_profiles(lay("1/4 x 40 ME", "3/8 x 32 ME")))


def test_section_is_to_scale_both_ways() -> None:
    """Of the male's outline: its pitch over its depth is that of the form, BS 84:2007."""
    male = metals(draw_profiles(lay("1/4 x 40 ME", "1/4 x 40 ME")))[3]

    outline = [(x, -y) for x, y in male.boundary[1:-1]]
    highest = min(y for _, y in outline)
    crests = [x for x, y in outline if y < highest + 0.0025]
    depth = max(y for _, y in outline) - highest
    pitch = (crests[-1] - crests[0]) / (len(crests) - 1)
    assert len(crests) == 8
    assert pitch / depth == pytest.approx(1 / 0.640327, rel=5e-3)


def test_picture_is_clear_in_light_dark_and_on_paper() -> None:
    drawing = write_svg(draw_profiles(lay("M6", "0 BA")))

    assert "@media screen and (prefers-color-scheme:dark)" in drawing
    assert 'viewBox="0 0 160' in drawing
    assert 'role="img"' in drawing
    assert "<title" in drawing
    assert "<desc" in drawing


@given(st.text(max_size=60).filter(lambda text: all(char >= " " for char in text)))
def test_labels_cannot_break_out_of_the_picture(label: str) -> None:
    sheet = draw_profiles(
        lay("M6", "0 BA"), male_label=f"<script>{label}", female_label=f'"&{label}'
    )

    drawing = write_svg(sheet)
    root = ElementTree.fromstring(drawing)
    assert not list(root.iter(f"{SVG}script"))
    assert "<script" not in drawing


@given(st.sampled_from(catalogue()), st.sampled_from(catalogue()), st.floats(1, 12))
def test_any_pair_can_be_drawn_within_the_frame(male, female, turns) -> None:
    laid = overlay(male, female, engaged_length=turns * min(male.pitch, female.pitch))

    for measure in (Measure.METRIC, Measure.IMPERIAL):
        sheet = draw_profiles(laid, measure=measure)
        for mark in (*metals(sheet), *fouls(sheet)):
            for x, y in mark.boundary:
                assert -0.01 <= x <= sheet.width + 0.01
                assert -0.01 <= y <= sheet.height + 0.01
        assert outside(sheet, 0, 0, 0, 0) == []
        assert overlapping(sheet) == []


def test_same_overlay_gives_the_same_text() -> None:
    laid = lay("M6", "0 BA")

    draw_profiles.cache_clear()
    first = write_svg(draw_profiles(laid))
    draw_profiles.cache_clear()
    assert write_svg(draw_profiles(laid)) == first
