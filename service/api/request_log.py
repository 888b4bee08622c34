"""One line of the log for every request, and no line that tells a value or forges another.

A line names the route and not the address, which may hold a customer's link; bodies, queries,
headers and the values of statements are never logged.
"""

import logging
import re
import traceback
from collections.abc import Iterator
from pathlib import Path
from time import gmtime, perf_counter, strftime
from typing import Any

from flask import Flask, Response, g, request

from service.api.headers import request_id

REQUESTS = "clackbox.requests"
MEMBERS = ("id", "token", "method", "route", "status", "ms")
SOUND = re.compile(r"[A-Za-z0-9_./:<>-]+")
"""A value that is written as it is; any other is quoted."""
ESCAPES = {number: f"\\x{number:02x}" for number in (*range(32), 127)}
SERVER_PATH = re.compile(r"(?<=while serving ).*")
"""The address at the end of what the server says of a request."""

_log = logging.getLogger(REQUESTS)


def log_requests(app: Flask) -> None:
    """Log every request once its answer stands; to be called before whatever changes answers."""

    @app.before_request
    def begin() -> None:
        g.began = perf_counter()

    @app.after_request
    def tell(response: Response) -> Response:
        milliseconds = 1000 * (perf_counter() - g.get("began", perf_counter()))
        route = request.url_rule.rule if request.url_rule else "-"
        log_request(response.status_code, id=request_id(), token=_token(), method=request.method,
                    route=route, ms=round(milliseconds))  # fmt: skip
        return response

    def tell_failure(exc_info: Any) -> None:
        app.logger.error("request %s failed", request_id(), exc_info=exc_info)

    app.log_exception = tell_failure  # type: ignore[method-assign]  # Flask's own tells the address


def log_request(status: int, **told: object) -> None:
    """One line about one request."""
    values = {"status": status, **told}
    line = " ".join(f"{name}={_quote(str(values.get(name, '-')))}" for name in MEMBERS)
    _log.log(logging.ERROR if status >= 500 else logging.INFO, "%s", line)


def write_log(level: str) -> None:
    """Write the log to standard error, our own lines from `level` up, others' from warnings up."""
    handler = logging.StreamHandler()
    handler.setFormatter(OneLine())
    lowest: int = logging.getLevelNamesMapping()[level.upper()]
    logging.basicConfig(level=max(lowest, logging.WARNING), handlers=[handler], force=True)
    logging.getLogger("clackbox").setLevel(lowest)


class OneLine(logging.Formatter):
    """A record as one line of printable ASCII; of an exception its kinds and its frames alone."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        time = f"{strftime('%Y-%m-%dT%H:%M:%S', gmtime(record.created))}.{record.msecs:03.0f}Z"
        said = SERVER_PATH.sub("a request", record.getMessage())
        parts = [time, record.levelname.lower(), record.name, said]
        if record.exc_info and record.exc_info[1]:
            parts += ["|", *_describe(record.exc_info[1])]
        line = " ".join(parts).encode("ascii", "backslashreplace").decode()
        return line.translate(ESCAPES)


def _describe(error: BaseException) -> Iterator[str]:
    """The kinds of an exception and of its causes, and where it came from, without its words."""
    cause: BaseException | None = error
    while cause is not None:
        yield f"{type(cause).__name__}{_reason(cause)}"
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)
    for frame in traceback.extract_tb(error.__traceback__):
        yield f"{'/'.join(Path(frame.filename).parts[-2:])}:{frame.lineno}:{frame.name}"


def _reason(error: BaseException) -> str:
    """The name that the system or the database has for what went wrong; it bears no value."""
    if isinstance(error, OSError) and error.strerror:
        return f"({error.strerror})"
    known = getattr(error, "sqlite_errorname", None) or getattr(error, "sqlstate", None)
    return f"({known})" if known else ""


def _token() -> str:
    return g.asker.name if "asker" in g else "-"


def _quote(value: str) -> str:
    return value if SOUND.fullmatch(value) else ascii(value)
