"""What was closed, withdrawn or numbered after a backup was made, applied to what it brought."""

from collections import defaultdict

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.history import Signature, amend
from service.records.models import Commission, PaperNumber, Report, ReportState, Token
from service.records.models.paper_numbers import ANY
from service.records.operations.reports import PAPER
from service.records.operations.tokens import revoke_token
from service.records.standing import (
    LINK_WITHDRAWN,
    PAPER_ISSUED,
    REPORT_REVOKED,
    TOKEN_REVOKED,
    Line,
)


def apply_standing(
    session: Session, lines: list[Line], *, issued: int | None, signed: Signature
) -> int:
    """Close what was closed, and keep numbers that were given out; how many doors were closed."""
    _keep_numbers(session, lines, issued)
    return _revoke_tokens(session, lines, signed) + _withdraw_links(session, lines, signed)


def live_tokens(session: Session) -> list[str]:
    """The tokens that open something after a restore, for an owner to look through."""
    live = sa.select(Token).where(Token.revoked_at.is_(None)).order_by(Token.id)
    return [f"{token.id} {token.scope} {token.name}" for token in session.scalars(live)]


def _revoke_tokens(session: Session, lines: list[Line], signed: Signature) -> int:
    hashes = _hashes(lines, TOKEN_REVOKED)
    live = session.scalars(sa.select(Token).where(Token.revoked_at.is_(None))).all()
    found = [token for token in live if token.hash in hashes]
    for token in found:
        revoke_token(session, token.id, signed=signed)
    return len(found)


def _withdraw_links(session: Session, lines: list[Line], signed: Signature) -> int:
    revoked = _hashes(lines, REPORT_REVOKED)
    withdrawn = _hashes(lines, LINK_WITHDRAWN) | revoked
    linked = session.scalars(sa.select(Report).where(Report.link_hash.is_not(None))).all()
    found = [report for report in linked if report.link_hash in withdrawn]
    for report in found:
        ends = {"state": ReportState.REVOKED} if report.link_hash in revoked else {}
        amend(session, report, {"link_hash": None, **ends}, signed=signed)
    return len(found)


def _keep_numbers(session: Session, lines: list[Line], issued: int | None) -> None:
    """Enter the numbers that are above what the rows and earlier restores bear."""
    highest: dict[str, int] = defaultdict(int)
    if issued:
        highest[ANY] = issued
    for line in lines:
        series, number = line.get("series"), line.get("number")
        if (line["what"], line.get("paper")) != (PAPER_ISSUED, PAPER):
            continue
        if isinstance(series, str) and isinstance(number, int):
            highest[series] = max(highest[series], number)
    borne = {row.reference: row.number for row in session.execute(_HIGHEST)}
    present = {row.series: row for row in session.scalars(sa.select(PaperNumber))}
    for series, number in highest.items():
        row = present.get(series) or PaperNumber(paper=PAPER, series=series, highest=0)
        if number > max(row.highest, borne.get(series, 0)):
            row.highest = number
            session.add(row)


_HIGHEST = (
    sa.select(Commission.reference, sa.func.max(Report.number).label("number"))
    .join(Report, Report.commission_id == Commission.id)
    .group_by(Commission.reference)
)


def _hashes(lines: list[Line], what: str) -> set[object]:
    return {line.get("hash") for line in lines if line["what"] == what}
