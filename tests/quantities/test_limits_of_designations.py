"""How near a written pitch must come to a thread's own, and what a measured thread may be."""

import pytest

from service.quantities import QuantityError, parse_drill, parse_thread

MEASURED = {"diameter": "6.3 mm", "pitch": "0.6 mm", "angle": "60 deg"}


def counted(per_inch):
    return {"diameter": "1/4 in", "threads_per_inch": per_inch, "angle": "60 deg"}


def test_a_pitch_that_is_written_is_the_threads_own_to_a_millionth():
    assert parse_thread("1/4 x 40.00003 ME").designation == "1/4 x 40 ME"
    assert parse_thread("M6 x 0.7500006").designation == "M6 x 0.75"
    for text in ("1/4 x 40.00006 ME", "1/4 x 39.99994 ME", "M6 x 0.750001"):
        with pytest.raises(QuantityError):
            parse_thread(text)


def test_a_designation_has_sixty_characters_at_the_most():
    assert parse_thread("2 BA" + " " * 56).designation == "2 BA"
    with pytest.raises(QuantityError):
        parse_thread("2 BA" + " " * 57)


def refused_field(entry):
    """The member that is refused, or None where the thread is taken."""
    try:
        parse_thread(entry)
    except QuantityError as refusal:
        return refusal.field
    return None


@pytest.mark.parametrize("write", [lambda count: count, str])
def test_threads_per_inch_run_from_three_to_five_hundred(write):
    assert refused_field(counted(write(500))) is None
    assert refused_field(counted(write(500.000001))) == "threads_per_inch"
    assert refused_field(counted(write(2.999999))) == "threads_per_inch"
    # Three to the inch is a pitch of 8.47 mm: within the range of the count, not of the pitch.
    assert refused_field(counted(write(3))) != "threads_per_inch"


def test_a_count_that_came_as_a_number_is_kept_to_a_millionth():
    assert parse_thread(counted(40.0000004)).threads_per_inch == 40
    assert parse_thread(counted(40.0000006)).threads_per_inch == pytest.approx(40.000001, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "taper"),
    [("1 in 16", 1 / 16), ("1:19.2", 1 / 19.2), ("1/999", 1 / 999), ("1 in 16.125", 1 / 16.125)],
)
def test_a_taper_is_one_in_so_much(text, taper):
    assert parse_thread(MEASURED | {"taper": text}).taper == pytest.approx(taper)


@pytest.mark.parametrize("text", ["1 in 0", "1 in 1000", "1 in 16.1255", "2 in 16", "16"])
def test_what_is_no_taper_is_refused(text):
    assert refused_field(MEASURED | {"taper": text}) == "taper"


@pytest.mark.parametrize(
    ("text", "reads"),
    [("#10-32", "10-32 UNF"), ("#4-40", "4-40 UNC"), ("10-32", "10-32 UNF"), ("4-40", "4-40 UNC")],
)
def test_a_numbered_size_goes_without_its_family(text, reads):
    """0.060 in and 0.013 in more for each number (ASME B1.1): 10 is 0.190 in, 4 is 0.112 in."""
    assert parse_thread(text).designation == reads


@pytest.mark.parametrize("text", ["1/8-28", "1/4 x 40", "1/2 x 14", "2"])
def test_any_other_size_that_several_families_have_needs_its_family(text):
    with pytest.raises(QuantityError):
        parse_thread(text)


@pytest.mark.parametrize(("text", "inches"), [("No. 1", 0.2280), ("No. 80", 0.0135),
                                              ("letter A", 0.234), ("Z", 0.413)])  # fmt: skip
def test_numbered_and_lettered_drills_have_their_ends(text, inches):
    assert parse_drill(text).si == pytest.approx(inches * 0.0254, rel=1e-12)


@pytest.mark.parametrize("text", ["No. 0", "No. 81", "No. 1000", "80", "AA", "letter AA", "100"])
def test_what_lies_beyond_them_is_no_drill(text):
    with pytest.raises(QuantityError):
        parse_drill(text)


@pytest.mark.parametrize(
    "count", [10**400, -(10**400), 1e308, 5e-324, float("nan"), float("inf"), 501, 2.9]
)
def test_a_count_that_no_thread_has_is_refused_whatever_its_size(count):
    with pytest.raises(QuantityError, match="between 3 and 500"):
        parse_thread(counted(count))
