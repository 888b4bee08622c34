"""Forms and threads of a workshop's own."""

from math import inf, isclose, nan, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.constants import INCH
from service.engineering.errors import OutOfRange
from service.engineering.threads.catalogue import UNIFIED, custom_thread
from service.engineering.threads.catalogue.forms import (
    BRITISH_ASSOCIATION,
    FORMS,
    ISO_METRIC,
    NATIONAL_PIPE_TAPER,
    WHITWORTH,
    Form,
    form_of_angle,
)


@pytest.mark.parametrize(
    ("form", "height", "depth", "radius", "offset"),
    [
        # BS 84:2007, BS 93:2008, ISO 68-1, ASME B1.20.1: printed constants for unit pitch
        (WHITWORTH, 0.960491, 0.640327, 0.137329, 0.640327),
        (BRITISH_ASSOCIATION, 1.136336, 0.600000, 0.180834, 0.600000),
        (ISO_METRIC, 0.866025, 0.541266, 0.144338, 0.649519),
        (UNIFIED, 0.866025, 0.541266, 0.144338, 0.649519),
        (NATIONAL_PIPE_TAPER, 0.866025, 0.800000, 0.0, 0.800000),
    ],
)
def test_form_has_the_printed_constants(
    form: Form, height: float, depth: float, radius: float, offset: float
) -> None:
    assert form.sharp_height == pytest.approx(height, abs=1e-6)
    assert form.internal_depth == pytest.approx(depth, abs=1e-6)
    assert form.root_radius == pytest.approx(radius, abs=1e-6)
    assert form.effective_offset == pytest.approx(offset, abs=1e-6)


@pytest.mark.parametrize("form", [WHITWORTH, BRITISH_ASSOCIATION])
def test_rounding_is_tangent_to_the_flanks(form: Form) -> None:
    """The circle of the crest, its top on the crest, touches the flank of the sharp V."""
    truncation = (form.sharp_height - form.internal_depth) / 2
    centre_below_apex = truncation + form.crest_radius

    assert centre_below_apex * sin(form.half_angle) == pytest.approx(form.crest_radius)


@pytest.mark.parametrize(
    ("angle", "form"), [(55, WHITWORTH), (47.5, BRITISH_ASSOCIATION), (60, ISO_METRIC)]
)
def test_standard_angle_gives_the_standard_form(angle: float, form: Form) -> None:
    assert form_of_angle(radians(angle)) is form


@given(st.floats(25.001, 99.999))
def test_any_other_angle_is_a_v_with_an_eighth_off_each_end(angle: float) -> None:
    form = form_of_angle(radians(angle))
    if form in FORMS.values():
        return

    assert isclose(form.internal_depth, 0.75 / (2 * tan(radians(angle) / 2)))
    assert form.internal_depth == form.external_depth == form.effective_offset


@pytest.mark.parametrize("angle", [0, 24.9, 100.1, -60, nan, inf])
def test_impossible_angle_is_refused(angle: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        form_of_angle(radians(angle))

    assert refusal.value.field == "included_angle"


def test_custom_thread_keeps_what_was_measured() -> None:
    thread = custom_thread(
        "scale fitting",
        diameter=0.25 * INCH,
        pitch=INCH / 40,
        included_angle=radians(60),
        taper=1 / 16,
        threads_per_inch=40,
    )

    assert thread.family == "custom"
    assert thread.is_taper
    assert thread.small_end_offset == 0
    assert thread.effective_diameter == pytest.approx(0.25 * INCH - 0.649519 * INCH / 40, abs=1e-8)


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("diameter", {"diameter": 0.0}),
        ("diameter", {"diameter": -0.006}),
        ("diameter", {"diameter": nan}),
        ("diameter", {"diameter": 0.2}),
        ("pitch", {"pitch": 0.0}),
        ("pitch", {"pitch": -0.001}),
        ("pitch", {"pitch": 0.0035}),
        ("pitch", {"pitch": nan}),
        ("pitch", {"pitch": 0.0029, "included_angle": radians(30)}),
        ("included_angle", {"included_angle": radians(120)}),
        ("taper", {"taper": -0.1}),
        ("taper", {"taper": 0.5}),
        ("threads_per_inch", {"threads_per_inch": 40.0}),
        ("threads_per_inch", {"threads_per_inch": inf}),
    ],
)
def test_impossible_custom_thread_is_refused_by_field(
    field: str, changes: dict[str, float]
) -> None:
    given_thread = {"diameter": 0.006, "pitch": 0.001, "included_angle": radians(60)} | changes

    with pytest.raises(OutOfRange) as refusal:
        custom_thread("odd", **given_thread)

    assert refusal.value.field == field


@given(diameter=st.floats(0.001, 0.1), pitch_share=st.floats(0.01, 0.2), angle=st.floats(40, 90))
def test_diameters_of_a_custom_thread_stand_in_order(
    diameter: float, pitch_share: float, angle: float
) -> None:
    pitch = min(max(diameter * pitch_share, 0.00005), 0.008)
    thread = custom_thread("own", diameter=diameter, pitch=pitch, included_angle=radians(angle))

    assert 0 < thread.root_diameter <= thread.core_diameter < thread.effective_diameter
    assert thread.effective_diameter < thread.major_diameter
