"""The report on paper: what is asked stands out, and nothing people write is read as markup."""

import copy
import datetime as dt
import hashlib
import io
from decimal import Decimal

import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from service.documents.report import ReportContent, typeset_report

MILLIMETRE = 72 / 25.4


def draw(width=80, height=60):
    file = io.BytesIO()
    Image.new("RGB", (width, height), (150, 90, 40)).save(file, "JPEG")
    return file.getvalue()


def picture(width=80, height=60, caption=None):
    data = draw(width, height)
    PICTURES[name := hashlib.sha256(data).hexdigest()] = data
    return {
        "sha256": name,
        "media_type": "image/jpeg",
        "width": width,
        "height": height,
        "caption": caption,
    }


PICTURES: dict[str, bytes] = {}
PLAIN = {
    "workshop": "Riverside Works",
    "address": "2 Weir Lane\nNorthwold",
    "email": None,
    "phone": None,
    "logo": None,
    "measure": "metric",
    "number": 3,
    "reference": "26-014",
    "title": "Plant for the launch Heron",
    "customer": "Mrs A. Penhallow",
    "from_day": "2026-11-01",
    "to_day": "2026-11-14",
    "issued_on": "2026-11-15",
    "stage": "in hand",
    "promised": "2027-02-20",
    "headline": "The boiler passed its water test.",
    "public_notes": "Both engines turn freely.",
    "next_steps": "Dry fit on the base board.",
    "notes": [
        {
            "day": "2026-11-03",
            "text": "Block drilled 7/32 in.",
            "pictures": [picture(caption="The block in the vice")],
        }
    ],
    "decisions": [
        {"asked_on": "2026-11-09", "question": "Mahogany or tin?", "note": "Mahogany takes longer."}
    ],
    "answers": [
        {
            "asked_on": "2026-10-20",
            "question": "Where does the whistle go?",
            "answer": "On the block.",
            "answered_on": "2026-10-22",
        }
    ],
    "hours": {
        "minutes_in_span": 750,
        "minutes_to_date": 2460,
        "estimate_minutes": 3600,
        "by_operation": [{"operation": "silver soldering", "minutes": 750}],
        "labour_to_date": "1435.00",
        "estimate_value": "2100.00",
        "currency": "GBP",
    },
    "replaces": None,
}


def plain(**changes):
    return {**copy.deepcopy(PLAIN), **changes}


def set_on_paper(**changes):
    content = ReportContent.from_plain(plain(**changes))
    return typeset_report(content, read_picture=PICTURES.__getitem__)


def pages_of(document):
    with pypdfium2.PdfDocument(document) as pdf:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf]


def text_of(document):
    return " ".join(pages_of(document)).replace("\ufffe", "").replace("\u200b", "")


# What it says


def test_everything_the_customer_should_read_is_there():
    text = text_of(set_on_paper())

    for words in (
        *("Riverside Works", "Progress report 3", "26-014", "Plant for the launch Heron"),
        *("Mrs A. Penhallow", "1 to 14 November 2026", "15 November 2026", "20 February 2027"),
        *("The boiler passed its water test.", "Both engines turn freely.", "Mahogany or tin?"),
        *("Block drilled 7/32 in.", "The block in the vice", "On the block.", "22 October 2026"),
        *("Dry fit on the base board.", "12 h 30 min", "41 h", "60 h", "19 h left of the estimate"),
        *("silver soldering", "£1,435.00", "£2,100.00", "Page 1 of"),
    ):
        assert words in text


def test_what_is_asked_stands_before_the_work_and_is_counted():
    one, two = PLAIN["decisions"][0], {**PLAIN["decisions"][0], "question": "Brass or copper pipe?"}

    assert "We need your decision" in text_of(set_on_paper())
    text = text_of(set_on_paper(decisions=[one, two]))

    assert "We need 2 decisions from you" in text
    assert text.index("Brass or copper pipe?") < text.index("What was done and found")


def test_without_a_headline_the_open_questions_come_first():
    assert "One question waits for your answer." in text_of(set_on_paper(headline=None))
    assert "waits for your answer" not in text_of(set_on_paper(headline=None, decisions=[]))


def test_a_quiet_fortnight_fits_one_page_without_empty_headings():
    pages = pages_of(
        set_on_paper(
            notes=[], decisions=[], answers=[], hours=None, next_steps=None, public_notes=None
        )
    )

    assert len(pages) == 1
    for heading in (
        "decision",
        "How it stands",
        "What was done",
        "Time against",
        "What comes next",
    ):
        assert heading not in pages[0]


def test_hours_and_money_are_absent_where_they_are_not_the_customers_business():
    text = text_of(set_on_paper(hours=None))

    for words in ("estimate", "12 h", "£", "silver soldering"):
        assert words not in text


def test_hours_without_an_estimate_or_money_are_shown_alone():
    bare = {"estimate_minutes": None, "labour_to_date": None, "estimate_value": None}
    text = text_of(set_on_paper(hours={**PLAIN["hours"], **bare}))

    assert "41 h" in text
    assert "£" not in text
    assert "left of the estimate" not in text


def test_an_overrun_is_said_plainly():
    hours = {**PLAIN["hours"], "minutes_to_date": 3690}

    assert "1 h 30 min over the estimate" in text_of(set_on_paper(hours=hours))


def test_a_draft_is_marked_on_every_page_and_an_issued_report_on_none():
    notes = [{"day": "2026-11-03", "text": "Filing.\n\n" * 60, "pictures": []}]

    drafted, issued = (
        pages_of(set_on_paper(notes=notes, issued_on=day)) for day in (None, "2026-11-15")
    )

    assert len(drafted) >= 2
    assert all("DRAFT" in page and "not yet issued" in page for page in drafted)
    assert not any("DRAFT" in page or "not yet" in page for page in issued)


def test_pages_are_counted_and_a4():
    notes = [{"day": "2026-11-03", "text": "Filing.\n\n" * 150, "pictures": []}]
    document = set_on_paper(notes=notes)

    pages = pages_of(document)
    with pypdfium2.PdfDocument(document) as pdf:
        sizes = {tuple(round(side / MILLIMETRE) for side in page.get_size()) for page in pdf}

    assert sizes == {(210, 297)}
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in page


def test_a_corrected_report_names_the_one_it_replaces():
    assert "This report replaces report 2." in text_of(set_on_paper(replaces=2))
    assert "replaces" not in text_of(set_on_paper())


# What cannot be done to it


@pytest.mark.parametrize(
    "hostile",
    [
        "#set page(width: 1cm)",
        "*bold* _slanted_ `code` $x^2$",
        "<b>1/8</b> &amp; <script>alert(1)</script>",
        "] #panic() [ } { ) ( \\",
        '#read("/etc/passwd") #include "report.typ" @label',
        '"; #image("picture-1.jpg")',
        "= Heading // comment /* comment */ --- ...",
    ],
)
def test_what_people_write_is_printed_as_it_stands(hostile):
    document = set_on_paper(
        title=hostile,
        customer=hostile,
        workshop=hostile,
        headline=hostile,
        next_steps=hostile,
        notes=[{"day": "2026-11-03", "text": hostile, "pictures": [picture(caption=hostile)]}],
        decisions=[{"asked_on": "2026-11-09", "question": hostile, "note": hostile}],
    )

    assert text_of(document).count(" ".join(hostile.split())) >= 8


def test_a_word_without_end_stays_on_the_paper():
    document = set_on_paper(title="W" * 200, notes=[], headline="x" * 1000)

    with pypdfium2.PdfDocument(document) as pdf:
        for page in pdf:
            text = page.get_textpage()
            right = max(text.get_charbox(place)[2] for place in range(text.count_chars()))
            assert right < (210 - 20) * MILLIMETRE


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(sides=st.lists(st.tuples(st.integers(1, 400), st.integers(1, 400)), min_size=1, max_size=7))
def test_pictures_of_any_shape_keep_their_shape_and_stay_within_the_margins(sides):
    pictures = [picture(width, height) for width, height in sides]
    document = set_on_paper(notes=[{"day": "2026-11-03", "text": "Seen.", "pictures": pictures}])

    shown = []
    with pypdfium2.PdfDocument(document) as pdf:
        for page in pdf:
            for image in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]):
                left, bottom, right, top = (edge / MILLIMETRE for edge in image.get_bounds())
                assert left >= 21.9
                assert right <= 188.1
                assert bottom >= 22.9
                assert top - bottom <= 76.1
                shown.append(((right - left) / (top - bottom), right - left))

    assert len(shown) == len(sides)
    for (shape, _), (width, height) in zip(shown, sides, strict=True):
        assert shape == pytest.approx(width / height, rel=0.02)


# What it rests on


@pytest.mark.parametrize("issued_on", [None, "2026-11-15"])
def test_equal_content_gives_equal_bytes(issued_on):
    assert set_on_paper(issued_on=issued_on) == set_on_paper(issued_on=issued_on)


def test_a_picture_shown_twice_is_read_once():
    asked = []
    notes = [{"day": "2026-11-03", "text": "Twice.", "pictures": [picture(), picture()]}]

    typeset_report(
        ReportContent.from_plain(plain(notes=notes)),
        read_picture=lambda name: (asked.append(name), PICTURES[name])[1],
    )

    assert len(asked) == 1


def test_a_picture_that_is_lost_is_not_passed_over():
    def lost(name):
        raise FileNotFoundError(name)

    with pytest.raises(FileNotFoundError):
        typeset_report(ReportContent.from_plain(PLAIN), read_picture=lost)


def test_content_is_read_back_from_its_frozen_form():
    content = ReportContent.from_plain(PLAIN)

    assert content.to_day == dt.date(2026, 11, 14)
    assert content.notes[0].pictures[0].caption == "The block in the vice"
    assert content.hours.labour_to_date == Decimal("1435.00")
    assert content.hours.minutes_left == 1140
    assert ReportContent.from_plain(plain(hours=None, promised=None)).promised is None


@pytest.mark.parametrize("missing", sorted(PLAIN))
def test_a_frozen_form_with_a_part_missing_is_refused(missing):
    with pytest.raises(KeyError, match=missing):
        ReportContent.from_plain({name: PLAIN[name] for name in PLAIN if name != missing})
