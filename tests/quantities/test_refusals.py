"""What is not a quantity is refused, at once, with a sentence that names what would be right."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.quantities import Kind, QuantityError, parse, parse_drill, parse_thread
from tests.quantities.hostile import HOSTILE

REFUSED = [
    ("5", Kind.LENGTH, "write the unit, e.g. 5 mm or 3/16 in"),
    ("7/32", Kind.LENGTH, "write the unit"),
    ("60", Kind.PRESSURE, "60 psi, 4 bar"),
    ("20", Kind.TEMPERATURE, "15 degC"),
    ("90", Kind.DURATION, "90 min"),
    (5, Kind.LENGTH, "5 mm or 3/16 in"),
    (5.5, Kind.LENGTH, "5 mm or 3/16 in"),
    (float("nan"), Kind.LENGTH, "5 mm or 3/16 in"),
    (None, Kind.LENGTH, "text is needed"),
    (True, Kind.LENGTH, "text is needed"),
    (["5 mm"], Kind.LENGTH, "text is needed"),
    (b"5 mm", Kind.LENGTH, "text is needed"),
    ("", Kind.LENGTH, "Nothing was written"),
    ("   ", Kind.LENGTH, "Nothing was written"),
    ("0,5 mm", Kind.LENGTH, "write 0.5 mm"),
    ("1,000 rpm", Kind.SPEED, "write 1000 rpm or 1.000 rpm"),
    ("-5 mm", Kind.LENGTH, "cannot be negative"),
    ("-2 psi", Kind.PRESSURE_DIFFERENCE, "cannot be negative"),
    ("-2 bar", Kind.PRESSURE, "full vacuum"),
    ("-1 K", Kind.TEMPERATURE, "absolute zero"),
    ("2000 m", Kind.LENGTH, "between 0 and 1000 m"),
    ("5/0 in", Kind.LENGTH, "nothing below the line"),
    ("1 5/4 in", Kind.LENGTH, "write 2 1/4"),
    ("1.5 1/2 in", Kind.LENGTH, "5 mm or 3/16 in"),
    ("½5 in", Kind.LENGTH, "5 mm or 3/16 in"),
    ("1/2/3 in", Kind.LENGTH, "5 mm or 3/16 in"),
    ("10² mm", Kind.LENGTH, "² is not understood"),
    ("５ mm", Kind.LENGTH, "is not understood"),
    ("٥ mm", Kind.LENGTH, "is not understood"),
    ("±0.05 mm", Kind.LENGTH, "± is not understood"),
    ("5 mm\n", Kind.LENGTH, "does not print"),
    ("5\x00 mm", Kind.LENGTH, "does not print"),
    ("5\ud800mm", Kind.LENGTH, "does not print"),
    ("5\u200bmm", Kind.LENGTH, "does not print"),
    ("nan mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ("inf mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ("5e-3 m", Kind.LENGTH, "without powers"),
    ("1E400 mm", Kind.LENGTH, "without powers"),
    ("9**9**8", Kind.LENGTH, "without powers"),
    ("9^9^7 mm", Kind.LENGTH, "without powers"),
    ("0x10 mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ("1_0 mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ('__import__("os")', Kind.LENGTH, "5 mm or 3/16 in"),
    ("5 psi", Kind.LENGTH, "5 mm or 3/16 in"),
    ("5 furlongs", Kind.LENGTH, "5 mm or 3/16 in"),
    ("mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ("mm 5", Kind.LENGTH, "5 mm or 3/16 in"),
    ("5 mm long", Kind.LENGTH, "5 mm or 3/16 in"),
    ("1 in 5 mm", Kind.LENGTH, "do not go together"),
    ("5 mm + 1 in", Kind.LENGTH, "do not go together"),
    ("2 in 1 ft", Kind.LENGTH, "larger unit first"),
    ("2 in 3 in", Kind.LENGTH, "larger unit first"),
    ("1.5 ft 2 in", Kind.LENGTH, "last part only"),
    ("1 ft 14 in", Kind.LENGTH, "carry the smaller part"),
    ("1 h 90 min", Kind.DURATION, "carry the smaller part"),
    ("+ + 5 mm", Kind.LENGTH, "5 mm or 3/16 in"),
    ("1 h² min", Kind.DURATION, "90 min"),
    ("1 in²5 thou", Kind.LENGTH, "5 mm or 3/16 in"),
    ("1:90", Kind.DURATION, "59 minutes"),
    ("1h90", Kind.DURATION, "59 minutes"),
    ("1:30:00", Kind.DURATION, "90 min"),
    ("2 psig", Kind.PRESSURE_DIFFERENCE, "neither gauge nor absolute"),
    ("2 psia", Kind.PRESSURE_DIFFERENCE, "neither gauge nor absolute"),
    ("0.4 mpa", Kind.PRESSURE, "60 psi, 4 bar"),
    ("0.4 mPa", Kind.PRESSURE, "60 psi, 4 bar"),
    ("15 deg", Kind.TEMPERATURE, "which degree"),
    ("15°", Kind.TEMPERATURE, "which degree"),
    ("1 bar 2 bar", Kind.PRESSURE, "do not go together"),
    ("5" * 41, Kind.LENGTH, "At most 40 characters"),
    ("1234567890 mm", Kind.LENGTH, "between 0 and 1000 m"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "kind", "sentence"), REFUSED)
def test_refusal_says_what_would_be_right(text, kind, sentence):
    with pytest.raises(QuantityError) as refusal:
        parse(text, kind, field="bore")

    assert sentence in refusal.value.message
    assert refusal.value.message.endswith(".")
    assert refusal.value.field == "bore"


@pytest.mark.parametrize("kind", Kind)
def test_example_in_every_refusal_is_itself_understood(kind):
    with pytest.raises(QuantityError, match="has no unit") as refusal:
        parse("5", kind)

    examples = refusal.value.message.split("e.g. ")[1].rstrip(".")
    for part in examples.replace(" or ", ", ").split(", "):
        parse(part.removeprefix("or ").replace("(imperial)", "").strip(), kind)


def read_everything(text):
    for kind in Kind:
        yield lambda kind=kind: parse(text, kind)
    yield lambda: parse_thread(text)
    yield lambda: parse_drill(text)


@given(
    st.text(max_size=80)
    | st.text(alphabet="0123456789/.- ½¾⁄'\"xX#%deghimnabstprcMUNFEG+:,°²", max_size=45)
    | st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.binary(max_size=8)
    | st.lists(st.text(max_size=3), max_size=3)
)
def test_no_input_raises_anything_but_a_refusal(anything):
    for read in read_everything(anything):
        refusal = refusal_of(read)
        assert refusal is None or refusal.message.endswith(".")
        assert refusal is None or refusal.message.isprintable()


members = st.sampled_from(["diameter", "pitch", "threads_per_inch", "angle", "taper", "x"])
measurements = st.one_of(
    st.sampled_from(["6.3 mm", "0.6 mm", "60 deg", "1 in 16", "40", "1/4 in", "", "1 in 0"]),
    st.text(max_size=12),
    st.none(),
    st.integers(),
    st.floats(),
    st.lists(st.none(), max_size=1),
)


@given(st.dictionaries(members, measurements, max_size=5))
def test_no_mapping_raises_anything_but_a_refusal(entry):
    refusal = refusal_of(lambda: parse_thread(entry, field="thread"))
    assert refusal is None or (refusal.field or "").startswith("thread")


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: text[:20])
def test_hostile_text_is_read_as_nothing_or_refused_in_a_sentence(text):
    for read in read_everything(text):
        refusal = refusal_of(read)
        assert refusal is None or refusal.message.endswith(".")


def refusal_of(read):
    """The refusal of one reading, or None where it was read; anything else gets out."""
    try:
        read()
    except QuantityError as refusal:
        return refusal
    return None
