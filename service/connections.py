"""Connections: nobody who sends nothing, or half a request, keeps others from being served.

waitress closes a connection that is silent, but a byte a second is no silence to it. Here a request
has its time, which its body lengthens by what has come of it; and where connections run short the
one that has been waited for longest makes room for the newest.
"""

import select
import time
from dataclasses import dataclass
from functools import partial
from typing import Any

from waitress.channel import HTTPChannel
from waitress.server import BaseWSGIServer, MultiSocketServer, create_server

LONGEST_HEAD = 32_768  # bytes of a request's line and headers
IN_MEMORY = 65_536  # bytes of a body that are kept in memory; more goes to a file


@dataclass(frozen=True, slots=True)
class Patience:
    """How many connections are kept, and how long one is waited for."""

    most: int = 400
    """Open at once; more would be too many files for a usual shell, or for select on Windows."""
    bodies: int = 200_000_000
    """Bytes of unfinished bodies in all: they lie on the disk, whoever sends them."""
    seconds: float = 10.0
    """For the next request to begin, and from its first byte to the end of its head."""
    rate: float = 1_000.0
    """Bytes a second that a body brings at the least, taken over all of it."""


def open_server(
    app: Any, *, patience: Patience | None = None, **adjustments: Any
) -> BaseWSGIServer | MultiSocketServer:
    """A waitress server that waits no longer than `patience`; it serves once it is run."""
    patience = patience or Patience()
    sockets: dict[int, Any] = {}
    server = create_server(
        app,
        map=sockets,
        connection_limit=patience.most + 100,  # never reached: one makes room before
        channel_timeout=60,  # for an answer that nobody takes
        cleanup_interval=10,
        asyncore_use_poll=hasattr(select, "poll"),
        max_request_header_size=LONGEST_HEAD,
        inbuf_overflow=IN_MEMORY,
        ident=None,
        **adjustments,
    )
    for listening in sockets.values():
        if isinstance(listening, BaseWSGIServer):
            listening.channel_class = partial(Channel, patience=patience)  # type: ignore[assignment]
    return server


class Channel(HTTPChannel):
    """One connection, and since when it is waited for."""

    def __init__(self, *args: Any, patience: Patience, **kwargs: Any) -> None:
        self.patience = patience
        self.waited_since = time.monotonic()
        super().__init__(*args, **kwargs)
        self._make_room()

    def received(self, data: bytes) -> bool:
        """As waitress's; the time of a request begins with its first byte."""
        if self.request is None:
            self.waited_since = time.monotonic()
        taken: bool = super().received(data)
        if self.received_of_body > IN_MEMORY:
            self._make_room()
        return taken

    @property
    def received_of_body(self) -> int:
        """Bytes of the body that is not whole yet."""
        return self.request.body_bytes_received if self.request else 0

    def service(self) -> None:
        """As waitress's; the time of the next request begins with the end of this one."""
        super().service()
        self.waited_since = time.monotonic()

    def handle_close(self) -> None:
        """As waitress's, which leaves the file of an unfinished body open."""
        if self.request is not None and self.received_of_body > IN_MEMORY:
            self.request.close()
        super().handle_close()

    def writable(self) -> bool:
        """As waitress's, which asks this of every connection at least once a second."""
        if self._is_late():
            self.will_close = True
        return bool(super().writable())

    def _is_late(self) -> bool:
        if self.requests or self.total_outbufs_len:  # it waits for us
            return False
        allowed = self.patience.seconds + self.received_of_body / self.patience.rate
        return time.monotonic() - self.waited_since > allowed

    def _make_room(self) -> None:
        channels: Any = self.server.active_channels
        staying = [each for each in channels.values() if not each.will_close]
        bodies = sum(each.received_of_body for each in staying)
        if len(staying) <= self.patience.most and bodies <= self.patience.bodies:
            return
        if leaving := [each for each in staying if each is not self and not each.requests]:
            # Closed in the loop's next round: its number must not be given away in this one.
            min(leaving, key=_order_of_leaving).will_close = True


def _order_of_leaving(channel: Any) -> tuple[bool, float]:
    """Whoever still takes an answer goes last."""
    return bool(channel.total_outbufs_len), channel.waited_since
