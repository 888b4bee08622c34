"""Connections that send nothing, or half a request a byte at a time: others are served still.

The crowd is met by the `clackbox` command in a process of its own; the times and the order of
leaving are tried on a server of little patience.
"""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import Any

import pytest
import requests
from waitress import wasyncore

from service.connections import Patience, open_server
from tests.clients.conftest import Workshop, open_workshop

CROWD = 500
BEGINNINGS = {
    "nothing": b"",
    "half a head": b"POST /api/v1/labour HTTP/1.1\r\nHost: workshop\r\nX-Slow: ",
    "half a body": (
        b"POST /api/v1/labour HTTP/1.1\r\nHost: workshop\r\nContent-Type: application/json\r\n"
        b"Content-Length: 900000\r\n\r\n{"
    ),
}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with open_workshop(tmp_path_factory.mktemp("crowded")) as opened:
        yield opened


@pytest.mark.parametrize("beginning", BEGINNINGS.values(), ids=BEGINNINGS)
def test_five_hundred_half_open_connections_shut_nobody_out(
    workshop: Workshop, beginning: bytes
) -> None:
    with ExitStack() as crowd:
        sockets = [crowd.enter_context(call(workshop.port, beginning)) for _ in range(CROWD)]
        crowd.enter_context(dribbling(sockets if beginning else []))

        for _ in range(3):  # each waits less than any of the crowd is waited for
            answer = requests.get(f"{workshop.address}/health/live", timeout=Patience().seconds / 2)
            assert answer.json() == {"live": True}


Serve = Callable[..., int]


@pytest.fixture
def serve() -> Iterator[Serve]:
    """A server of a small application, with the patience it is given; the port."""
    with ExitStack() as servers:
        yield lambda **patience: servers.enter_context(served(Patience(**patience)))


@contextmanager
def served(patience: Patience) -> Iterator[int]:
    server: Any = open_server(echo, patience=patience, host="127.0.0.1", port=0, threads=2)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        yield int(server.effective_port)
    finally:
        server.trigger.pull_trigger(lambda: wasyncore.close_all(server._map, ignore_all=True))
        thread.join()
        server.task_dispatcher.shutdown()


may_go_on = threading.Event()


def echo(environ: dict[str, Any], start_response: Any) -> list[bytes]:
    """Give the body back; at /slowly once it is told to go on."""
    if environ["PATH_INFO"] == "/slowly":
        may_go_on.wait(20)
    body = environ["wsgi.input"].read()
    start_response("200 OK", [("Content-Length", str(len(body)))])
    return [body]


@pytest.mark.parametrize("beginning", BEGINNINGS.values(), ids=BEGINNINGS)
def test_whoever_dribbles_is_not_waited_for(serve: Serve, beginning: bytes) -> None:
    with call(serve(seconds=0.5), beginning) as slow, dribbling([slow] if beginning else []):
        assert is_closed(slow)


def test_a_body_that_keeps_the_rate_has_its_time(serve: Serve) -> None:
    port, pieces = serve(seconds=0.5, rate=100.0), 10
    with call(port, b"POST / HTTP/1.1\r\nHost: w\r\nContent-Length: 1000\r\n\r\n") as sender:
        for _ in range(pieces):  # two seconds in all, four times what a head has
            sender.sendall(b"x" * (1000 // pieces))
            time.sleep(0.2)
        assert read_to(sender, b"x" * 1000).startswith(b"HTTP/1.1 200 OK")


def test_a_connection_is_kept_for_the_next_request(serve: Serve) -> None:
    with call(serve(seconds=3.0), b"") as kept:
        for _ in range(3):
            time.sleep(1.2)  # beyond three seconds in all
            kept.sendall(b"POST / HTTP/1.1\r\nHost: w\r\nContent-Length: 1\r\n\r\nx")
            assert b"200 OK" in read_to(kept, b"\r\n\r\nx")


def test_the_longest_waited_for_makes_room_and_nobody_who_is_served(serve: Serve) -> None:
    port = serve(most=3, seconds=60)
    may_go_on.clear()
    with ExitStack() as crowd:
        working, first, second, newest = (
            crowd.enter_context(call_and_settle(port, beginning))
            for beginning in (WHOLE.replace(b"/", b"/slowly", 1), b"GET", b"GET", WHOLE)
        )

        assert b"200 OK" in read_to(newest, b"\r\n\r\n")
        assert is_closed(first)
        may_go_on.set()
        assert b"200 OK" in read_to(working, b"\r\n\r\n")
        second.settimeout(0.5)
        with pytest.raises(TimeoutError):  # open still
            second.recv(1)


def test_unfinished_bodies_are_kept_up_to_a_measure(serve: Serve) -> None:
    port, head = serve(bodies=500_000, seconds=60), b"POST / HTTP/1.1\r\nHost: w\r\n"
    half = head + b"Content-Length: 210000\r\n\r\n" + b"x" * 200_000
    with ExitStack() as crowd:
        first, second, third = (crowd.enter_context(call_and_settle(port, half)) for _ in range(3))
        assert is_closed(first)
        for each in (second, third):
            each.sendall(b"x" * 10_000)
            assert b"200 OK" in read_to(each, b"x" * 210_000)


WHOLE = b"GET / HTTP/1.1\r\nHost: w\r\n\r\n"


def call_and_settle(port: int, beginning: bytes) -> socket.socket:
    """The same, once what it sent was surely read."""
    connection = call(port, beginning)
    time.sleep(0.2)
    return connection


def call(port: int, beginning: bytes) -> socket.socket:
    """A connection that has sent the beginning of something."""
    connection = socket.create_connection(("127.0.0.1", port), timeout=20)
    connection.sendall(beginning)
    return connection


@contextmanager
def dribbling(sockets: list[socket.socket]) -> Iterator[None]:
    """Each of them sends a byte several times a second."""
    ended = threading.Event()

    def dribble() -> None:
        while not ended.wait(0.3):
            for each in sockets:
                with suppress(OSError):  # closed to us, as is hoped
                    each.sendall(b" ")

    thread = threading.Thread(target=dribble)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def is_closed(connection: socket.socket) -> bool:
    """Whether the other end closes it within the socket's own time."""
    with suppress(ConnectionError):
        return connection.recv(1) == b""
    return True


def read_to(connection: socket.socket, end: bytes) -> bytes:
    """What is answered, up to its end."""
    read = b""
    while not read.endswith(end):
        piece = connection.recv(65536)
        assert piece, read
        read += piece
    return read
