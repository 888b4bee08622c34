"""The data folder is its owner's alone: folders 700, files 600, whatever the machine's habit is.

Windows keeps a user's files by the rights of their folder, and is left alone.
"""

import os
import stat
from collections.abc import Iterable, Iterator
from pathlib import Path

OURS = ("clackbox.sqlite*", "*-progress-report.*", "blobs", "blobs/**/*", "backups", "backups/*")
"""What the service writes into the data folder; the folder may hold other people's things too."""
OTHERS = stat.S_IRWXG | stat.S_IRWXO
"""The rights of the group and of everybody."""


def open_data_folder(folder: Path) -> None:
    """Make the data folder if need be, and let this process write for nobody but its user."""
    os.umask(OTHERS)
    folder.mkdir(mode=stat.S_IRWXU, parents=True, exist_ok=True)


def close_to_others(folder: Path) -> list[str]:
    """Take the rights of others from the folder and what is ours in it; what stays open, told."""
    if os.name == "nt":
        return []
    if folder.stat().st_mode & stat.S_ISVTX:
        return [f"{folder} is a folder that many write in, and was left as it is: choose another."]
    return list(_tighten({folder, *(found for each in OURS for found in folder.glob(each))}))


def _tighten(paths: Iterable[Path]) -> Iterator[str]:
    for path in sorted(paths):
        try:
            mode = path.lstat().st_mode
            if mode & OTHERS and not stat.S_ISLNK(mode):
                path.chmod(stat.S_IMODE(mode) & ~OTHERS)
        except FileNotFoundError:  # another process has just taken it away
            continue
        except OSError as problem:
            yield f"{path} can be reached by other users of this machine ({problem.strerror})."
