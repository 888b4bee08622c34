"""What holds whatever is restored: a small file beside the backups, only ever added to.

A backup remembers a token that was revoked after it was made, a link that was withdrawn, a paper
number that was not yet given out. Each is noted here as it happens, and applied to what is brought
back. Whoever carries the backups to another machine carries this file along.
"""

import json
import logging
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

FILE = "standing.jsonl"
BACKUP = "backup"  # made, file
TOKEN_REVOKED, LINK_WITHDRAWN, REPORT_REVOKED = "token-revoked", "link-withdrawn", "report-revoked"
"""Each with the hash of what opens nothing any more."""
PAPER_ISSUED = "paper-issued"  # paper, series, number

_log = logging.getLogger(__name__)

Line = dict[str, Any]


def note(session: Session, what: str, **particulars: Any) -> None:
    """Let this be kept beside the backups when the session's transaction ends well."""
    session.info.setdefault("standing", []).append({"what": what, **particulars})


@dataclass(frozen=True, slots=True)
class Standing:
    """The file in one folder."""

    folder: Path

    def keep_noted(self, session: Session) -> None:
        """Keep what the session noted, before its commit: a withdrawal is lost by no crash.

        A transaction that fails after this leaves a line too many, which closes a token or a link
        after a restore that an owner makes anew; that is the safer side. A disk that is full must
        not hold up a withdrawal, so it is only told of.
        """
        if not (lines := session.info.pop("standing", [])):
            return
        try:
            self.keep(*lines)
        except OSError as problem:
            _log.error("%s cannot be written: %s", FILE, problem.strerror)

    def keep(self, *lines: Line) -> None:
        """Add lines; when this returns they are on the disk."""
        self.folder.mkdir(parents=True, exist_ok=True)
        text = "".join(json.dumps(line) + "\n" for line in lines)
        handle = os.open(self.folder / FILE, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(handle, text.encode())
            os.fsync(handle)
        finally:
            os.close(handle)

    def keep_new(self, lines: list[Line]) -> None:
        """Add what is not there yet."""
        present = self.lines()
        if new := [line for line in lines if line not in present]:
            self.keep(*new)

    def lines(self) -> list[Line]:
        """Every line that can be read; one that a crash cut short says nothing."""
        try:
            texts = (self.folder / FILE).read_text(encoding="utf-8", errors="replace").splitlines()
        except FileNotFoundError:
            return []
        return [line for line in map(_read_line, texts) if line]


def _read_line(text: str) -> Line:
    try:
        line = json.loads(text)
    except ValueError:
        return {}
    return line if isinstance(line, dict) and isinstance(line.get("what"), str) else {}
