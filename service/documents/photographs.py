"""Photographs: whatever a phone sends becomes a plain, upright, bounded JPEG that tells no tales.

`picture_drawing` does it, in a process of its own; here is the door to it: one at a time, so that a
handful of large ones cannot take the machine's memory between them.
"""

import json
import logging
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from service.documents import picture_drawing
from service.documents.picture_drawing import DAMAGED, TOO_MUCH, CleanPicture, UnusablePicture

__all__ = ["LONGEST_SIDE", "Busy", "CleanPicture", "UnusablePicture", "clean_photograph"]

LONGEST_SIDE = 2048
WAITING = 3  # pictures that wait while one is drawn; the other threads serve what is no picture
PATIENCE = 10.0  # seconds that one waits for its turn
LONGEST = 60.0  # seconds in which one is drawn, on a machine that has other things to do

_TOO_MUCH = {"message": TOO_MUCH, "code": "picture-too-large"}
_BROKEN = {"message": DAMAGED, "code": "picture-damaged"}
_STOPPED = {getattr(signal, name, 0) for name in ("SIGXCPU", "SIGKILL")}
"""What ends a program that takes more than its share; a reader that is broken ends otherwise."""

_log = logging.getLogger(__name__)
_places = threading.BoundedSemaphore(1 + WAITING)
_turn = threading.Lock()


class Busy(Exception):
    """Other pictures are being read; this one may be sent again in a moment."""

    code = "busy"
    message = "Other pictures are being read just now. Send this one again in a moment."
    headers = {"Retry-After": "5"}  # noqa: RUF012


def clean_photograph(data: bytes, *, longest: int = LONGEST_SIDE) -> CleanPicture:
    """The picture upright, in sRGB on white, at most `longest` pixels long, all metadata dropped.

    Raises `UnusablePicture` for anything but a whole, still JPEG, PNG, WebP or HEIC that measures
    no more than is said there, and `Busy` when its turn does not come.
    """
    with _taking_turns():
        told, drawn = _draw_apart(data, longest)
    if "message" in told:
        raise UnusablePicture(told["message"], code=told["code"])
    return CleanPicture(drawn, **told)


@contextmanager
def _taking_turns() -> Iterator[None]:
    if not _places.acquire(blocking=False):
        raise Busy
    try:
        if not _turn.acquire(timeout=PATIENCE):
            raise Busy
        try:
            yield
        finally:
            _turn.release()
    finally:
        _places.release()


def _draw_apart(data: bytes, longest: int) -> tuple[dict[str, Any], bytes]:
    """What the program tells of a picture, and its bytes; or why it came to no end."""
    command = [sys.executable, "-P", "-W", "ignore", picture_drawing.__file__, str(longest)]
    try:
        ran = subprocess.run(  # noqa: S603  (our own file, by our own interpreter)
            command, input=data, capture_output=True, timeout=LONGEST, check=False
        )
    except subprocess.TimeoutExpired:
        return _TOO_MUCH, b""
    except OSError:  # the machine has no process to give
        raise Busy from None
    if ran.returncode == 0:
        head, _, drawn = ran.stdout.partition(b"\n")
        return json.loads(head), drawn
    said = ran.stderr[-2000:].decode(errors="replace")
    _log.warning("a picture was not drawn: %d %s", ran.returncode, said)
    return (_TOO_MUCH if -ran.returncode in _STOPPED else _BROKEN), b""
