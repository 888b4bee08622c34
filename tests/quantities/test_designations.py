"""Loose workshop spellings of a thread come to the one thread they mean, or are refused."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engineering.threads.catalogue import catalogue, custom_thread, families, turn_left
from service.engineering.threads.catalogue.series import find_thread
from service.quantities import QuantityError, parse_thread, take_thread, word
from service.records.operations.workshop import whole_shelf

SPELLINGS = [
    ("1/4x40 ME", "1/4 x 40 ME"), ("1/4 × 40 ME", "1/4 x 40 ME"), ("1/4-40 ME", "1/4 x 40 ME"),
    ("1/4–40 me", "1/4 x 40 ME"), ("¼ x 40 ME", "1/4 x 40 ME"), ("ME 1/4 x 40", "1/4 x 40 ME"),
    ("1/4 40 ME", "1/4 x 40 ME"), ('1/4" x 40 ME', "1/4 x 40 ME"),
    ("1/4 x 40 tpi ME", "1/4 x 40 ME"), ("1/4 x 40 Model Engineer", "1/4 x 40 ME"),
    ("2BA", "2 BA"), ("2 BA", "2 BA"), ("No 2 BA", "2 BA"), ("No. 2 BA", "2 BA"), ("BA 2", "2 BA"),
    ("#2 BA", "2 BA"), ("0BA", "0 BA"),
    ("1/8 BSP", "1/8 BSP"), ("1/8 BSPP", "1/8 BSP"), ("G1/8", "1/8 BSP"), ("G 1/8", "1/8 BSP"),
    ("G1/8A", "1/8 BSP"), ("Rp 1/8", "1/8 BSP"), ("1/8-28 BSP", "1/8 BSP"),
    ("R 1/8", "1/8 BSPT"), ("R1/8", "1/8 BSPT"), ("Rc 1/8", "Rc 1/8"), ("rc1/8", "Rc 1/8"),
    ("PT 1/8", "1/8 BSPT"), ("1/8 BSPT", "1/8 BSPT"),
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
    ("1/8 gas", "1/8 BSP"), ("PF 1/8", "1/8 BSP"), ("1/4 W", "1/4 BSW"), ("W 1/4", "1/4 BSW"),
    ("M6 fine", "M6 x 0.75"), ("M6 coarse", "M6"), ("M8 x 0.75 fine", "M8 x 0.75"),
    ("1/4 UN fine", "1/4-28 UNF"), ("M6*0.75", "M6 x 0.75"), ("1/4 * 40 ME", "1/4 x 40 ME"),
    ("M6 x 1 - 6g", "M6"), ("M6-6H/6g", "M6"), ("M6 x 0.75 - 5g6g", "M6 x 0.75"),
    ("1/4-28 UNF 2A/2B", "1/4-28 UNF"), ("1/4 x 40 T ME", "1/4 x 40 ME"),
    ("1/4x40 ME60", "1/4 x 40 ME 60"), ("ME 60 1/4-40", "1/4 x 40 ME 60"),
    ("1/4 x 40 ME 60 deg", "1/4 x 40 ME 60"), ("1/8 NPSM", "1/8-27 NPSM"),
    ("1/4 NPTF", "1/4-18 NPTF"), ("1/4x26 BSC", "1/4 x 26 cycle"), ("1/4 cei", "1/4 x 26 cycle"),
    ("#00-90", "00-90 UNS"), ("000-120", "000-120 UNS"), ("1 1/8 BSB", "1 1/8 x 26 brass"),
    ("RH 1/4 x 40 ME", "1/4 x 40 ME"), ("1/4-28", "1/4-28 UNF"), ("6 x 0.75", "M6 x 0.75"),
]  # fmt: skip

REFUSED = [
    ("1/4 x 40", ["1/4 x 40 ME", "1/4-40 UNS"]),
    ("1/4 x 26", ["1/4 x 26 brass", "1/4 BSF"]),
    ("1/8-28", ["1/8 BSP", "1/8 BSPT"]),
    ("M10 fine", ["M10 x 1.25, M10 x 1 or M10 x 0.75"]),
    ("1/4 fine", ["1/4 BSF or 1/4-28 UNF"]),
    ("M6 fine BSP", ["two families"]),
    ("3/16 UNF", ["nearest are 10-32 UNF and 8-36 UNF"]),
    ("11 x 1", ["nearest are M12 x 1 and M12 x 1.25"]),
    ("1/4 x 41", ["nearest", "1/4 x 40 ME"]),
    ("1/4 ME", ["1/4 x 40 ME or 1/4 x 32 ME"]),
    ("1 UNC", ["1-64 UNC or 1-8 UNC"]),
    ("1/4-40 UNF", ["nearest", "1/4-40 UNS", "1/4-28 UNF"]),
    ("1/4 x 26 ME", ["nearest", "1/4 x 26 brass", "1/4 x 32 ME"]),
    ("M6 x 0.8", ["nearest", "M6 x 0.75 and M6"]),
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
    ("1/4-40 MTP", ["'mtp'", "Nearest by size are 1/4 x 40 ME", "what was measured"]),
    ("1/4 x 40 ME LH RH", ["left-hand and right-hand"]),
    ("M6 x 0.8 LH", ["nearest", "M6 x 0.75 LH and M6 LH"]),
    ("LH", ["not a size and a pitch"]),
    ("left M6 x 00", ["nearest", "M6 LH"]),
    ("1 1/8 x 0 W", ["nearest"]),
    ("00 BSF", ["nearest"]),
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


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("5/8 BSP LH", "5/8 BSP LH"), ("M14 x 1.5 LH", "M14 x 1.5 LH"),
        ("M14x1.5LH", "M14 x 1.5 LH"),
        ("LH 5/8 BSP", "5/8 BSP LH"), ("5/8 BSP L.H.", "5/8 BSP LH"), ("G5/8-LH", "5/8 BSP LH"),
        ("5/8 BSP left", "5/8 BSP LH"), ("5/8 BSP left hand", "5/8 BSP LH"),
        ("5/8 BSP (left-handed)", "5/8 BSP LH"), ("left-hand G 5/8", "5/8 BSP LH"),
        ("M14 x 1.5 - 6g LH", "M14 x 1.5 LH"), ("1/4 x 40 ME lh", "1/4 x 40 ME LH"),
        ("6.3 mm x 0.6 mm 60 deg LH", "6.3 mm x 0.6 mm 60 deg LH"),
    ],
)  # fmt: skip
def test_left_hand_is_read_in_the_usual_spellings_and_kept(text, designation):
    thread = parse_thread(text)

    assert (thread.designation, thread.hand) == (designation, "left")
    assert parse_thread(thread.designation) == thread


def test_hand_of_a_measured_thread_is_a_member():
    entry = {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"}

    assert parse_thread(entry | {"hand": "left"}).hand == "left"
    assert parse_thread(entry | {"hand": "right"}).hand == "right"
    with pytest.raises(QuantityError, match="right or left"):
        parse_thread(entry | {"hand": "both"})


def test_left_hand_thread_of_the_workshops_own_is_not_its_right_hand_one():
    """A thread that is only kept left-hand is not taken for a right-hand one of that name."""
    own = (turn_left(OWN[0]),)

    assert parse_thread("1/4x50 gull yard LH", workshop_threads=own) is own[0]
    assert parse_thread("left 1/4 x 50 Gull Yard", workshop_threads=own) is own[0]
    with pytest.raises(QuantityError, match="1/4 x 50 Gull Yard LH"):
        parse_thread("1/4 x 50 gull yard", workshop_threads=own)


SHELF = tuple(family.key for family in families())


@pytest.mark.parametrize(
    ("text", "shelf", "designation", "others"),
    [
        ("1/4x40", SHELF, "1/4 x 40 ME", ["1/4 x 40 ME 60", "1/4-40 UNS"]),
        ("1/4x40", whole_shelf(["UNS"]), "1/4-40 UNS", ["1/4 x 40 ME"]),
        ("5/16 x 32 T", SHELF, "5/16 x 32 ME", ["5/16-32 UNEF"]),
        ("1/4x40 LH", SHELF, "1/4 x 40 ME LH", ["1/4-40 UNS LH"]),
        ("1/8-28", whole_shelf(["BSPT"]), "1/8 BSPT", ["1/8 BSP"]),
    ],
)
def test_size_and_pitch_alone_takes_the_first_family_of_the_shelf_and_says_so(
    text, shelf, designation, others
):
    taken = take_thread(text, shelf=shelf)

    assert taken.thread.designation == designation
    assert f"{designation} is taken" in taken.note
    assert all(other in taken.note for other in others)


@pytest.mark.parametrize(("text", "named"), [("1/4-28", "1/4-28 UNF"), ("6 x 0.75", "M6 x 0.75")])
def test_the_only_family_with_a_size_and_pitch_is_taken_and_named(text, named):
    taken = take_thread(text)

    assert taken.thread.designation == named
    assert f"{named} is taken, the only one" in taken.note


@pytest.mark.parametrize("text", ["1/4 x 40 ME", "10-32", "00-90", "1/8 BSP LH", "M6"])
def test_a_designation_that_says_it_all_has_no_note(text):
    assert take_thread(text, shelf=SHELF).note == ""


def test_workshop_threads_are_known_beside_the_catalogue():
    own = custom_thread(
        "3/16 x 50 works", diameter=0.0047625, pitch=0.000508, included_angle=pi / 3
    )

    assert parse_thread("3/16 x 50 WORKS", workshop_threads=(own,)) is own


OWN = tuple(
    custom_thread(name, diameter=0.00635, pitch=pitch, included_angle=pi / 3, threads_per_inch=tpi)
    for name, pitch, tpi in [
        ("1/4 x 50 Gull Yard", 0.000508, 50),
        ("1/4 x 60 Gull Yard", 0.0254 / 60, 60),
        ("gauge cock 1/4", 0.0007, None),
    ]
)


@pytest.mark.parametrize(
    ("text", "designation"),
    [
        ("1/4x50 gull yard", "1/4 x 50 Gull Yard"), ("¼-50 GULL YARD", "1/4 x 50 Gull Yard"),
        ("gull yard 1/4 50 tpi", "1/4 x 50 Gull Yard"), ("1/4 in x 60 Gull yard",
        "1/4 x 60 Gull Yard"), ("Gauge  Cock 1/4", "gauge cock 1/4"),
        ("1/4 x 0.7 mm gauge cock", "gauge cock 1/4"), ("1/4x40 me", "1/4 x 40 ME"),
    ],
)  # fmt: skip
def test_own_threads_are_read_as_freely_as_the_catalogues(text, designation):
    assert parse_thread(text, workshop_threads=OWN).designation == designation


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1/4 gull yard", ["1/4 x 50 Gull Yard or 1/4 x 60 Gull Yard"]),
        ("1/4 x 55 gull yard", ["nearest", "1/4 x 50 Gull Yard"]),
        ("1/4 x 50 gull", ["nearest"]),
        ("1/4 x 50 herring", ["'herring'"]),
        ("1/4 x 50 gull yard ME", ["no thread"]),
    ],
)
def test_what_names_none_of_the_own_threads_is_refused(text, words):
    with pytest.raises(QuantityError) as refusal:
        parse_thread(text, workshop_threads=OWN)

    for part in words:
        assert part in word(refusal.value.message)


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
