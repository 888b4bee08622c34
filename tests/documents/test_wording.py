"""Days, hours and money read as a person writes them."""

import datetime as dt
from decimal import Decimal

import pytest

from service.documents.wording import (
    show_day,
    show_minutes,
    show_money,
    show_remainder,
    show_span,
    split_paragraphs,
)


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2026-11-14", "2026-11-14", "14 November 2026"),
        ("2026-11-01", "2026-11-14", "1 to 14 November 2026"),
        ("2026-10-30", "2026-11-02", "30 October to 2 November 2026"),
        ("2026-12-28", "2027-01-03", "28 December 2026 to 3 January 2027"),
        ("2025-11-01", "2026-11-01", "1 November 2025 to 1 November 2026"),
    ],
)
def test_a_span_of_days_says_nothing_twice(first, last, words):
    assert show_span(dt.date.fromisoformat(first), dt.date.fromisoformat(last)) == words


def test_every_month_has_its_name():
    named = [show_day(dt.date(2026, month, 5)) for month in range(1, 13)]

    assert [dt.datetime.strptime(words, "%d %B %Y").month for words in named] == [*range(1, 13)]  # noqa: DTZ007


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (45, "45 min"), (60, "1 h"), (65, "1 h 05 min"), (750, "12 h 30 min")],
)
def test_minutes_are_shown_as_hours_and_minutes(minutes, words):
    assert show_minutes(minutes) == words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (90, "1 h 30 min left of the estimate"),
        (0, "The estimate is used up"),
        (-90, "1 h 30 min over the estimate"),
    ],
)
def test_what_is_left_of_an_estimate_is_said_in_words(minutes, words):
    assert show_remainder(minutes) == words


@pytest.mark.parametrize(
    ("amount", "currency", "words"),
    [
        ("1234.5", "GBP", "£1,234.50"),
        ("0.00", "EUR", "€0.00"),
        ("-12.34", "USD", "-$12.34"),
        ("99999999.99", "NZD", "NZD 99,999,999.99"),
    ],
)
def test_money_carries_its_currency(amount, currency, words):
    assert show_money(Decimal(amount), currency) == words


@pytest.mark.parametrize(
    ("text", "paragraphs"),
    [
        (None, []),
        (" \n\n ", []),
        ("one\ntwo", [["one", "two"]]),
        ("one\r\n\r\n \r\ntwo\n", [["one"], ["two"]]),
    ],
)
def test_blank_lines_part_paragraphs_and_line_ends_are_kept(text, paragraphs):
    assert split_paragraphs(text) == paragraphs
