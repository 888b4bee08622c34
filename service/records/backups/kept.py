"""The folder of backups: their names, how many are kept, and when the last good one was made."""

import datetime as dt
import re
from pathlib import Path

from service.records.backups.holdings import Holdings
from service.records.backups.writing import back_up
from service.records.errors import Conflict
from service.records.standing import BACKUP, Standing

NAME = re.compile(r"clackbox-\d{8}T\d{6}Z(-\d+)?\.zip")


def back_up_here(holdings: Holdings, *, now: dt.datetime) -> tuple[Path, dict[str, int]]:
    """Write a backup into the folder, under the first free name of this second."""
    holdings.backups.mkdir(parents=True, exist_ok=True)
    number = 1
    while True:
        end = f"-{number}" if number > 1 else ""
        target = holdings.backups / f"clackbox-{now:%Y%m%dT%H%M%SZ}{end}.zip"
        try:
            return target, back_up(holdings, target, now=now)
        except Conflict:  # another of the same second
            number += 1


def drop_old(folder: Path, *, keep: int) -> list[str]:
    """Remove all but the newest of the folder's own backups; the names of those that went."""
    ours = sorted(
        (file for file in folder.iterdir() if NAME.fullmatch(file.name)),
        key=lambda file: (file.name[:25], len(file.name), file.name),
    )
    gone = ours[:-keep]
    for file in gone:
        file.unlink()
    return [file.name for file in gone]


def last_backup(standing: Standing) -> dt.datetime | None:
    """When the last backup was made that was read back whole; None where none is known of."""
    made = []
    for line in standing.lines():
        if line["what"] == BACKUP:
            try:
                made.append(dt.datetime.fromisoformat(line["made"]).astimezone(dt.UTC))
            except (KeyError, TypeError, ValueError):
                continue
    return max(made, default=None)
