"""The picture of a thread in a thread: to scale, told apart without colour, and safe to embed."""

import re
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.documents.section_picture import draw_section
from service.engineering.threads.catalogue import catalogue
from service.engineering.threads.catalogue.series import find_thread
from service.engineering.threads.overlay import Overlay, overlay

SVG = "{http://www.w3.org/2000/svg}"


def lay(male: str, female: str) -> Overlay:
    return overlay(find_thread(male), find_thread(female), engaged_length=5e-3)


def words(drawing: str) -> str:
    root = ElementTree.fromstring(drawing)
    return " ".join("".join(text.itertext()) for text in root.iter(f"{SVG}text"))


def paths(drawing: str, kind: str) -> list[str]:
    root = ElementTree.fromstring(drawing)
    return [path.get("d", "") for path in root.iter(f"{SVG}path") if path.get("class") == kind]


def test_picture_names_both_threads_with_pitch_angle_and_turns() -> None:
    text = words(draw_section(lay("1/4-40 UNS", "1/4 x 40 ME")))

    for expected in (
        "male 1/4-40 UNS",
        "female 1/4 x 40 ME",
        "60°, pitch 0.635 mm, 40 per inch",
        "55°, pitch 0.635 mm, 40 per inch",
        "7.9 turns, 5.0 mm engaged",
        "0.013 mm a side",
        "0.025 mm off its diameter",
    ):
        assert expected in text


def test_metals_are_hatched_differently_so_that_colour_is_not_needed() -> None:
    root = ElementTree.fromstring(draw_section(lay("M6", "0 BA")))
    hatches = list(root.iter(f"{SVG}pattern"))

    assert len({hatch.get("patternTransform") for hatch in hatches}) == 2
    assert len({(hatch.get("width"), hatch.get("height")) for hatch in hatches}) == 2


def test_foul_is_filled_only_where_there_is_one() -> None:
    assert paths(draw_section(lay("1/4-40 UNS", "1/4 x 40 ME")), "foul")
    assert not paths(draw_section(lay("1/4 x 40 ME", "1/4 x 40 ME")), "foul")
    assert not paths(draw_section(lay("1/4 x 40 ME", "3/8 x 32 ME")), "foul")


def test_section_is_to_scale_both_ways() -> None:
    """Of the male's outline: its pitch over its depth is that of the form, BS 84:2007."""
    whole = paths(draw_section(lay("1/4 x 40 ME", "1/4 x 40 ME")), "male")[0]

    places = [tuple(map(float, pair)) for pair in re.findall(r"([\d.]+) ([\d.]+)", whole)]
    outline = places[1:-1]
    highest = min(y for _, y in outline)
    crests = [x for x, y in outline if y < highest + 0.01]
    depth = max(y for _, y in outline) - highest
    pitch = (crests[-1] - crests[0]) / (len(crests) - 1)
    assert len(crests) == 8
    assert pitch / depth == pytest.approx(1 / 0.640327, rel=5e-3)


def test_picture_is_clear_in_light_dark_and_on_paper() -> None:
    drawing = draw_section(lay("M6", "0 BA"))

    assert "@media screen and (prefers-color-scheme:dark)" in drawing
    assert 'viewBox="0 0 640' in drawing
    assert 'role="img"' in drawing
    assert "<title" in drawing
    assert "<desc" in drawing


@given(st.text(max_size=60).filter(lambda text: all(char >= " " for char in text)))
def test_labels_cannot_break_out_of_the_picture(label: str) -> None:
    drawing = draw_section(
        lay("M6", "0 BA"), male_label=f"<script>{label}", female_label=f'"&{label}'
    )

    root = ElementTree.fromstring(drawing)
    assert not list(root.iter(f"{SVG}script"))
    assert "<script" not in drawing


@given(st.sampled_from(catalogue()), st.sampled_from(catalogue()), st.floats(1, 12))
def test_any_pair_can_be_drawn_within_the_frame(male, female, turns) -> None:
    laid = overlay(male, female, engaged_length=turns * min(male.pitch, female.pitch))

    drawing = draw_section(laid)

    root = ElementTree.fromstring(drawing)
    _, _, width, height = map(float, root.get("viewBox", "").split())
    for kind in ("male", "female", "foul"):
        for path in paths(drawing, kind):
            for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path):
                assert -0.01 <= float(x) <= width + 0.01
                assert -0.01 <= float(y) <= height + 0.01


def test_same_overlay_gives_the_same_text() -> None:
    laid = lay("M6", "0 BA")

    assert draw_section(laid) == draw_section(laid)
