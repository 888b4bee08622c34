"""How days, hours and money read on paper and on the page."""

import datetime as dt
import re
from decimal import Decimal

_SIGNS = {"GBP": "£", "EUR": "€", "USD": "$"}
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def show_day(day: dt.date) -> str:
    """`14 November 2026`, whatever language the machine is set to."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def show_span(first: dt.date, last: dt.date) -> str:
    """`1 to 14 November 2026`, naming month and year once where they are the same."""
    if first == last:
        return show_day(last)
    if first.year != last.year:
        return f"{show_day(first)} to {show_day(last)}"
    if first.month != last.month:
        return f"{first.day} {_MONTHS[first.month - 1]} to {show_day(last)}"
    return f"{first.day} to {show_day(last)}"


def show_minutes(minutes: int) -> str:
    """`12 h 30 min`, `2 h`, `45 min`."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02} min" if rest else f"{hours} h"


def show_remainder(minutes: int) -> str:
    """What is left of an estimate, or by how much it is overrun, in words."""
    if minutes < 0:
        return f"{show_minutes(-minutes)} over the estimate"
    return f"{show_minutes(minutes)} left of the estimate" if minutes else "The estimate is used up"


def show_money(amount: Decimal, currency: str) -> str:
    """`£1,234.50`; a currency without a sign of its own here is named before the figure."""
    sign = _SIGNS.get(currency, f"{currency} ")
    return f"{'-' if amount < 0 else ''}{sign}{abs(amount):,.2f}"


def split_paragraphs(text: str | None) -> list[list[str]]:
    """The paragraphs of a note, each a list of its lines; blank lines part paragraphs."""
    blocks = re.split(r"\n\s*\n", (text or "").replace("\r\n", "\n").strip())
    return [[line.strip() for line in block.split("\n")] for block in blocks if block]
