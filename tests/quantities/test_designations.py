"""Loose workshop spellings of a thread come to the one thread they mean, or are refused."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.threads.catalogue import catalogue, custom_thread
from service.engineering.threads.catalogue.series import find_thread
from service.quantities import QuantityError, parse_thread, word

SPELLINGS = [
    ("1/4x40 ME", "1/4 x 40 ME"), ("1/4 × 40 ME", "1/4 x 40 ME"), ("1/4-40 ME", "1/4 x 40 ME"),
    ("1/4–40 me", "1/4 x 40 ME"), ("¼ x 40 ME", "1/4 x 40 ME"), ("ME 1/4 x 40", "1/4 x 40 ME"),
    ("1/4 40 ME", "1/4 x 40 ME"), ('1/4" x 40 ME', "1/4 x 40 ME"),
    ("1/4 x 40 tpi ME", "1/4 x 40 ME"), ("1/4 x 40 Model Engineer", "1/4 x 40 ME"),
    ("2BA", "2 BA"), ("2 BA", "2 BA"), ("No 2 BA", "2 BA"), ("No. 2 BA", "2 BA"), ("BA 2", "2 BA"),
    ("#2 BA", "2 BA"), ("0BA", "0 BA"),
    ("1/8 BSP", "1/8 BSP"), ("1/8 BSPP", "1/8 BSP"), ("G1/8", "1/8 BSP"), ("G 1/8", "1/8 BSP"),
    ("G1/8A", "1/8 BSP"), ("Rp 1/8", "1/8 BSP"), ("1/8-28 BSP", "1/8 BSP"),
    ("R 1/8", "1/8 BSPT"), ("R1/8", "1/8 BSPT"), ("Rc 1/8", "1/8 BSPT"), ("1/8 BSPT", "1/8 BSPT"),
    ("1/8 BSP taper", "1/8 BSPT"),
    ("1/4-28 UNF", "1/4-28 UNF"), ("1/4 UNF", "1/4-28 UNF"), ("1/4 x 28 UNF", "1/4-28 UNF"),
    ("1/4-28 UNF-2A", "1/4-28 UNF"), ("1/4-40 UNS", "1/4-40 UNS"), ("1/4-28 UN", "1/4-28 UNF"),
    ("10-32 UNF", "10-32 UNF"), ("#10-32", "10-32 UNF"), ("10-32", "10-32 UNF"),
    ("No. 10-32 UNF", "10-32 UNF"), ("#1 UNC", "1-64 UNC"), ('1" UNC', "1-8 UNC"),
    ("1-8 UNC", "1-8 UNC"), ("1-64 UNC", "1-64 UNC"),
    ("M6", "M6"), ("M 6", "M6"), ("m6", "M6"), ("M6 x 1", "M6"), ("M6x1-6H", "M6"),
    ("M6-6g", "M6"), ("M6x0.75", "M6 x 0.75"), ("M6 x .75 mm", "M6 x 0.75"),
    ("M6-0.75", "M6 x 0.75"), ("M10", "M10"), ("M2.5", "M2.5"),
    ("1/8-27 NPT", "1/8-27 NPT"), ("1/8 NPT", "1/8-27 NPT"), ("1-11 1/2 NPT", "1-11.5 NPT"),
    ("3/8 x 26 brass", "3/8 x 26 brass"), ("3/8 brass 26", "3/8 x 26 brass"),
    ("3/8 BSB", "3/8 x 26 brass"), ("1/4 Whitworth", "1/4 BSW"), ("1/4 in BSF", "1/4 BSF"),
    ("1/4-26 BSF", "1/4 BSF"),
]  # fmt: skip

REFUSED = [
    ("1/4 x 40", ["1/4 x 40 ME", "1/4-40 UNS"]),
    ("1/4 x 26", ["1/4 x 26 brass", "1/4 BSF"]),
    ("1/8-28", ["1/8 BSP", "1/8 BSPT"]),
    ("1/4-28", ["write 1/4-28 UNF"]),
    ("6 x 0.75", ["write M6 x 0.75"]),
    ("1/4 ME", ["1/4 x 40 ME or 1/4 x 32 ME"]),
    ("1 UNC", ["1-64 UNC or 1-8 UNC"]),
    ("1/4-40 UNF", ["nearest", "1/4-40 UNS", "1/4-28 UNF"]),
    ("1/4 x 26 ME", ["nearest", "1/4 x 26 brass", "1/4 x 40 ME"]),
    ("M6 x 0.8", ["nearest", "M6 and M6 x 0.75"]),
    ("17 BA", ["nearest", "16 BA"]),
    ("5 BSP", ["nearest", "1 BSP"]),
    ("2 mm BA", ["nearest", "2 BA"]),
    ("M6 x 1 tpi", ["nearest", "M6"]),
    ("M16/8", ["M6 x 0.75"]),
    ("4/2 BA", ["2 BA"]),
    ("#10-32 mm", ["nearest"]),
    ('"#10-32', ["nearest"]),
    ("#1/4 x 40 ME", ["nearest"]),
    ("-2 BA", ["as it is understood here"]),
    ("M6--0.75", ["as it is understood here"]),
    ("1/4 x", ["as it is understood here"]),
    ("1/4", ["only a size", "1/4 x 40 ME"]),
    ("ME", ["not a size and a pitch"]),
    ("", ["Nothing was written"]),
    ("1/4 x 40 x 3 ME", ["not a size and a pitch"]),
    ("G1/8 R1/8", ["two families"]),
    ("1/4-40 MTP", ["'mtp'", "what was measured"]),
    ("1/4 x 40 ME LH", ["'lh'"]),
    ("1/4 x 40 ME!", ["as it is understood here"]),
    ("1/0 x 40 ME", ["below the line"]),
    ("6.3 x 0.6 mm 60 deg", ["has no unit"]),
    ("6.3 mm x 0.6 mm 10 deg", ["between 25 deg and 100 deg"]),
    ("6.3 mm x 40 tpi 55 deg taper 1 in 0", ["1 in 16"]),
    ("1/4 x 40 ME" + " " * 60, ["At most 60"]),
    (5, ["1/4 x 40 ME"]),
    (None, ["1/4 x 40 ME"]),
]


@pytest.mark.parametrize(("text", "designation"), SPELLINGS)
def test_spelling_comes_to_the_thread_it_means(text, designation):
    assert parse_thread(text) == find_thread(designation)


@pytest.mark.parametrize(("text", "words"), REFUSED)
def test_unclear_or_unknown_thread_is_refused_with_the_possible_ones(text, words):
    with pytest.raises(QuantityError) as refusal:
        parse_thread(text, field="thread")

    for each in words:
        assert each in word(refusal.value.message)
    assert refusal.value.field == "thread"


@pytest.mark.parametrize("thread", catalogue(), ids=lambda thread: thread.designation)
def test_every_thread_of_the_catalogue_is_read_in_all_cases_and_spacings(thread):
    squeezed = thread.designation.replace(" x ", "x")
    ways = [thread.designation, thread.designation.lower(), squeezed, squeezed.replace("x", "×")]

    assert {parse_thread(way).designation for way in ways} == {thread.designation}


@pytest.mark.parametrize(
    ("size", "pitch"),
    # Coarse pitches of ISO 261.
    [(1.6, 0.35), (2, 0.4), (2.5, 0.45), (3, 0.5), (4, 0.7), (5, 0.8), (6, 1), (8, 1.25),
     (10, 1.5), (12, 1.75), (16, 2), (20, 2.5), (24, 3)],
)  # fmt: skip
def test_metric_size_alone_means_the_coarse_pitch(size, pitch):
    assert parse_thread(f"M{size}").pitch == pytest.approx(pitch / 1000)


def test_workshop_threads_are_known_beside_the_catalogue():
    own = custom_thread(
        "3/16 x 50 works", diameter=0.0047625, pitch=0.000508, included_angle=pi / 3
    )

    assert parse_thread("3/16 x 50 WORKS", workshop_threads=(own,)) is own


MEASURED = [
    ("6.3 mm x 0.6 mm 60 deg", 6.3, 0.6, 60, 0),
    ("6.3mm x 0.6mm, 60°", 6.3, 0.6, 60, 0),
    ("0.25 in x 40 tpi 55 deg", 6.35, 0.635, 55, 0),
    ("1/4 in × 40 TPI 47½ deg", 6.35, 0.635, 47.5, 0),
    ("1/4 in x 40 tpi 60 deg taper 1 in 16", 6.35, 0.635, 60, 1 / 16),
    ("1/4 in x 40 tpi 60 deg, taper 1:16", 6.35, 0.635, 60, 1 / 16),
    ({"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"}, 6.3, 0.6, 60, 0),
    ({"diameter": "¼ in", "threads_per_inch": 40, "angle": "55 deg", "taper": None},
     6.35, 0.635, 55, 0),
    ({"diameter": "1/4 in", "threads_per_inch": "40", "angle": "55 deg", "taper": "1 in 16"},
     6.35, 0.635, 55, 1 / 16),
    ({"diameter": "33 mm", "threads_per_inch": 11.5, "angle": "60 deg"}, 33, 25.4 / 11.5, 60, 0),
]  # fmt: skip


@pytest.mark.parametrize(("text", "diameter", "pitch", "angle", "taper"), MEASURED)
def test_measured_thread_is_taken_as_entered(text, diameter, pitch, angle, taper):
    thread = parse_thread(text)

    assert thread.family == "custom"
    assert thread.major_diameter == pytest.approx(diameter / 1000)
    assert thread.pitch == pytest.approx(pitch / 1000)
    assert thread.form.included_angle == pytest.approx(angle * pi / 180)
    assert thread.taper == pytest.approx(taper)


@given(
    diameter=st.sampled_from(["6.3 mm", "¼ in", "1-1/16 in", "1/4 in + 3 thou", "0.251 inch"]),
    step=st.sampled_from([{"pitch": "0.6 mm"}, {"pitch": "25 thou"}])
    | st.builds(lambda count: {"threads_per_inch": count}, st.floats(20, 80) | st.integers(20, 80)),
    angle=st.sampled_from(["60 deg", "47½°", "55 degrees", "47 deg 30'"]),
    taper=st.sampled_from([None, "1 in 16", "1:19.2"]),
)
def test_designation_of_a_measured_thread_is_read_again_as_the_same_thread(
    diameter, step, angle, taper
):
    thread = parse_thread({"diameter": diameter, "angle": angle, "taper": taper, **step})

    assert parse_thread(thread.designation) == thread


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"diameter": "6.3"}, "thread.diameter"),
        ({"diameter": None}, "thread.diameter"),
        ({"diameter": "900 mm"}, "thread.diameter"),
        ({"pitch": "9 mm"}, "thread.pitch"),
        ({"pitch": None}, "thread"),
        ({"threads_per_inch": 40}, "thread"),
        ({"pitch": None, "threads_per_inch": 0}, "thread.threads_per_inch"),
        ({"pitch": None, "threads_per_inch": True}, "thread.threads_per_inch"),
        ({"pitch": None, "threads_per_inch": "many"}, "thread.threads_per_inch"),
        ({"pitch": None, "threads_per_inch": float("nan")}, "thread.threads_per_inch"),
        ({"angle": "120 deg"}, "thread.angle"),
        ({"angle": "60"}, "thread.angle"),
        ({"taper": "steep"}, "thread.taper"),
        ({"taper": 16}, "thread.taper"),
        ({"taper": "1 in 2"}, "thread.taper"),
        ({"lead": "1 mm"}, "thread"),
    ],
)
def test_refusal_of_a_measured_thread_names_the_member_at_fault(change, field):
    entry = {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"} | change

    with pytest.raises(QuantityError) as refusal:
        parse_thread(entry, field="thread")

    assert refusal.value.field == field
