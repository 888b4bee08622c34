"""The customer's page: says what the paper says, escapes what people write, asks nobody else."""

import copy
import re
from html.parser import HTMLParser
from importlib.resources import files

import pytest
from jinja2 import Environment, PackageLoader, StrictUndefined

from service.documents.report import ReportContent
from service.pages.manners import FILTERS

PLAIN = {
    "workshop": "Riverside Works",
    "address": "2 Weir Lane",
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
    "public_notes": "Both engines turn freely.\n\nSeven joints go together.",
    "next_steps": "Dry fit\nFirst steaming",
    "notes": [
        {
            "day": "2026-11-03",
            "text": "Block drilled 7/32 in.",
            "pictures": [
                {
                    "sha256": "a" * 64,
                    "media_type": "image/jpeg",
                    "width": 1600,
                    "height": 1200,
                    "caption": None,
                },
                {
                    "sha256": "b" * 64,
                    "media_type": "image/jpeg",
                    "width": 900,
                    "height": 1200,
                    "caption": "Back head",
                },
            ],
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


class Elements(HTMLParser):
    """The elements of a page with their attributes, and its words."""

    def __init__(self, page):
        super().__init__()
        self.found, self.words = [], []
        self.feed(page)
        self.text = " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)

    def of(self, tag):
        return [attributes for name, attributes in self.found if name == tag]


@pytest.fixture(scope="module")
def templates():
    environment = Environment(
        loader=PackageLoader("service.pages"), autoescape=True, undefined=StrictUndefined
    )
    environment.filters.update(FILTERS)
    environment.globals["url_for"] = lambda endpoint, filename: f"/static/{filename}"
    return environment


def render(templates, *, draft=False, document_address="/r/token/report.pdf", **changes):
    return templates.get_template("report.html").render(
        report=ReportContent.from_plain({**copy.deepcopy(PLAIN), **changes}),
        picture_address=lambda picture: f"/r/token/pictures/{picture.sha256}?size=1&kind=2",
        document_address=document_address,
        draft=draft,
    )


def test_everything_the_customer_should_read_is_there(templates):
    text = Elements(render(templates)).text

    for words in (
        *("Riverside Works", "Progress report 3", "26-014", "Plant for the launch Heron"),
        *("Mrs A. Penhallow", "1 to 14 November 2026", "15 November 2026", "20 February 2027"),
        *("The boiler passed its water test.", "Both engines turn freely.", "Mahogany or tin?"),
        *("Block drilled 7/32 in.", "Back head", "On the block.", "22 October 2026"),
        *("12 h 30 min", "41 h", "60 h", "19 h left of the estimate", "silver soldering"),
        *("£1,435.00", "£2,100.00", "First steaming"),
    ):
        assert words in text


def test_what_is_asked_comes_before_all_else(templates):
    text = Elements(render(templates)).text

    places = [
        text.index(words)
        for words in ("The boiler passed", "We need your decision", "Mahogany or tin?", "Penhallow")
    ]
    assert places == sorted(places)


def test_several_questions_are_counted(templates):
    page = render(templates, decisions=PLAIN["decisions"] * 3)

    assert "We need 3 decisions from you" in page


def test_pictures_have_words_measures_and_an_escaped_address(templates):
    page = render(templates)
    plain, named = Elements(page).of("img")

    assert plain["alt"] == "Photograph from the note of 3 November 2026"
    assert named["alt"] == "Back head"
    assert (named["width"], named["height"]) == ("900", "1200")
    assert named["src"] == f"/r/token/pictures/{'b' * 64}?size=1&kind=2"
    assert "?size=1&amp;kind=2" in page


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        '"><img src=x onerror=alert(1)>',
        "{{ 7*7 }}",
        "</title><b>&amp;",
    ],
)
def test_what_people_write_is_shown_as_it_stands(templates, hostile):
    picture = {**PLAIN["notes"][0]["pictures"][0], "caption": hostile}
    calm = Elements(render(templates, notes=[{**PLAIN["notes"][0], "pictures": [picture]}]))
    page = Elements(
        render(
            templates,
            **dict.fromkeys(("workshop", "title", "customer", "headline", "stage"), hostile),
            **dict.fromkeys(("public_notes", "next_steps", "reference"), hostile),
            notes=[{"day": "2026-11-03", "text": hostile, "pictures": [picture]}],
            decisions=[{"asked_on": "2026-11-09", "question": hostile, "note": hostile}],
        )
    )

    assert page.text.count(hostile) >= 12
    assert page.of("img")[0]["alt"] == hostile
    assert {tag for tag, _ in page.found} <= {tag for tag, _ in calm.found}
    assert len(page.of("img")) == 1


@pytest.mark.parametrize("name", ["report.html", "refused.html"])
def test_a_page_keeps_to_a_strict_content_policy_and_to_this_house(templates, name):
    page = Elements(
        render(templates) if name == "report.html" else templates.get_template(name).render()
    )

    links = page.of("link")
    assert {link["rel"] for link in links} == {"icon", "stylesheet"}
    for link in links:
        assert (files("service.pages") / link["href"].removeprefix("/")).is_file()
    for tag, attributes in page.found:
        assert tag not in {"script", "style", "iframe", "object", "form", "base"}
        assert not [key for key in attributes if key == "style" or key.startswith("on")]
        for key in ("src", "href"):
            assert attributes.get(key, "/").startswith("/")
            assert not attributes.get(key, "/").startswith("//")
    metas = {each.get("name"): each.get("content") for each in page.of("meta")}
    assert metas["referrer"] == "no-referrer"
    assert metas["robots"] == "noindex, nofollow"
    assert metas["viewport"] == "width=device-width, initial-scale=1"


def test_the_style_sheet_fetches_nothing_and_knows_dark_and_paper():
    sheet = (files("service.pages") / "static" / "report.css").read_text("utf-8")

    assert not re.search(r"url\(|@import|https?:", sheet)
    assert "prefers-color-scheme: dark" in sheet
    assert "@media print" in sheet
    assert "size: A4" in sheet


def test_hours_and_money_are_absent_where_they_are_not_the_customers_business(templates):
    page = render(templates, hours=None)

    for words in ("estimate", "12 h", "£", "silver soldering", "<progress"):
        assert words not in page


def test_an_overrun_is_said_plainly_and_fills_the_bar(templates):
    page = Elements(render(templates, hours={**PLAIN["hours"], "minutes_to_date": 3690}))

    assert "1 h 30 min over the estimate" in page.text
    assert page.of("progress")[0]["value"] == "1.0000"


def test_a_draft_says_so_and_an_issued_report_does_not(templates):
    drafted = Elements(render(templates, draft=True, issued_on=None, document_address=None))

    assert drafted.text.startswith("Progress report 3, 26-014: Plant for the launch Heron Draft.")
    assert drafted.of("a")[-1]["href"].startswith("/r/token/pictures/")  # no PDF of a draft
    assert "draft" not in render(templates).lower()


def test_a_report_with_nothing_to_tell_has_no_empty_headings(templates):
    page = Elements(
        render(
            templates,
            **dict.fromkeys(("headline", "public_notes", "next_steps", "hours", "promised")),
            notes=[],
            decisions=[],
            answers=[],
        )
    )

    assert page.of("h2") == []
    assert page.of("h1")


def test_line_ends_and_paragraphs_are_kept(templates):
    page = render(templates)

    assert "<p>Dry fit<br>First steaming</p>" in page
    assert "<p>Both engines turn freely.</p>" in page


def test_a_corrected_report_names_the_one_it_replaces(templates):
    assert "This report replaces report 2." in render(templates, replaces=2)
    assert "replaces" not in render(templates)


def test_a_refused_link_gives_nothing_away(templates):
    text = Elements(templates.get_template("refused.html").render()).text

    assert "ask the workshop for a new one" in text
    assert not re.search(r"\d", text)
