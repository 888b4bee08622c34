"""Every answer, of whatever kind and status, bears the headers that defend whoever opens it."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.routing import Rule

from service import create_app
from service.records.database import Database
from service.settings import Settings
from tests.api.conftest import EXAMPLES
from tests.conftest import ONE_DATABASE, Caller

CLOSED = {"default-src 'none'", "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'"}
EVIL = "evil.example"


def addresses(app: Flask, numbers: dict[str, int], link: str) -> Iterator[tuple[str, str, Rule]]:
    """Every route of the application with every method it takes, and some that there are not."""
    own: dict[str, Any] = {"secret": link, "sha256": "0" * 64, "filename": "report.css"}
    for rule in app.url_map.iter_rules():
        built = rule.build({name: (own | numbers)[name] for name in rule.arguments})
        address = built[1] if built else ""
        for method in sorted(rule.methods or ()):
            yield method, address, rule


def is_defended(answer: Any) -> None:
    """The headers that everything bears, and a policy that fits the kind."""
    headers = answer.headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert headers["Permissions-Policy"]
    assert headers["Cache-Control"]
    policy = set(headers["Content-Security-Policy"].split("; "))
    assert policy >= CLOSED
    assert not any("script" in each or "*" in each for each in policy)
    assert ("sandbox" in policy) is (answer.mimetype not in {"text/html", "application/pdf"})
    assert not any(name.startswith("Access-Control-") for name in headers.keys())  # noqa: SIM118


def test_every_route_answers_with_the_headers_whoever_asks(
    app: Flask, owner: Caller, stranger: Caller, one_of_each: dict[str, int]
) -> None:
    link = owner.post(
        f"/reports/{one_of_each['report_id']}/link", headers={"If-Match": "*"}
    ).json["link"].rpartition("/")[2]  # fmt: skip
    kinds = set()
    walked = list(addresses(app, one_of_each, link))
    for method, address, _ in walked:
        for caller in (stranger, owner):
            own = {"Authorization": f"Bearer {caller.token}"} if caller.token else {}
            answer = caller.client.open(
                address, method=method, headers={**own, "Host": EVIL, "If-Match": "*"}
            )
            is_defended(answer)
            assert EVIL.encode() not in f"{answer.headers}".encode() + answer.data, address
            kinds.add(answer.mimetype)
            answer.close()

    assert len(walked) > 200
    assert kinds >= {"text/html", "text/css", "application/json", "application/problem+json",
                     "application/pdf", "image/jpeg"}  # fmt: skip


@pytest.mark.parametrize(
    ("address", "kind"),
    [
        ("steam-balance/picture.svg", "image/svg+xml"),
        ("distribution-block/drawing.dxf", "image/vnd.dxf"),
        ("distribution-block/drawing.pdf", "application/pdf"),
        ("pipe-loss/sheet.pdf", "application/pdf"),
    ],
)
def test_drawings_and_papers_bear_them(calculator: Caller, address: str, kind: str) -> None:
    question = EXAMPLES[address.partition("/")[0]]
    answer = calculator.post(f"/calculations/{address}", question)

    assert (answer.status_code, answer.mimetype) == (200, kind)
    is_defended(answer)


@ONE_DATABASE
@pytest.mark.parametrize(
    ("path", "status"),
    [("/nowhere", 404), ("/r/x/y/z", 404), ("//r/x", 404), ("/api/v1//customers", 404),
     ("/static/../settings.py", 404), ("/api/docs/", 200), ("/favicon.ico", 404)],
)  # fmt: skip
def test_what_is_not_there_bears_them_and_no_address_is_made_of_the_host(
    stranger: Caller, path: str, status: int
) -> None:
    answer = stranger.client.get(path, headers={"Host": EVIL})

    assert answer.status_code == status
    assert "Location" not in answer.headers
    assert EVIL not in answer.get_data(as_text=True)
    is_defended(answer)


@pytest.mark.parametrize(
    "host", [EVIL, "evil.example:8361", "works.example.evil.example", "", "a b"]
)
def test_a_host_that_is_not_trusted_is_refused_and_not_repeated(host: str, tmp_path: Path) -> None:
    client = app_with(tmp_path, trusted_hosts=("works.example",))

    answer = client.get("/", headers={"Host": host})
    assert answer.status_code == 400
    assert not host or host not in answer.get_data(as_text=True)
    is_defended(answer)
    assert client.get("/", headers={"Host": "works.example"}).status_code == 200


def app_with(data: Path, **said: Any) -> FlaskClient:
    """A client of an application with settings of its own, and a page that tells what it sees."""
    app = create_app(Settings(data=data, **said), Database("sqlite://"))

    @app.get("/seen")
    def seen() -> dict[str, Any]:
        from flask import request

        return {"scheme": request.scheme, "host": request.host, "address": request.remote_addr}

    return app.test_client()


FORWARDED = {
    "X-Forwarded-For": "203.0.113.9",
    "X-Forwarded-Proto": "https",
    "X-Forwarded-Host": "works.example",
    "X-Forwarded-Prefix": "/elsewhere",
    "Forwarded": "for=203.0.113.9;proto=https;host=works.example",
}


@pytest.mark.parametrize("proxies", [(), ("192.0.2.7",)])
def test_what_is_forwarded_by_nobody_named_is_not_believed(
    tmp_path: Path, proxies: tuple[str, ...]
) -> None:
    seen = app_with(tmp_path, proxies=proxies).get("/seen", headers=FORWARDED).json

    assert seen == {"scheme": "http", "host": "localhost", "address": "127.0.0.1"}


def test_what_a_named_proxy_forwards_is_believed(tmp_path: Path) -> None:
    client = app_with(tmp_path, proxies=("192.0.2.7", "127.0.0.1"))
    seen = client.get("/seen", headers=FORWARDED).json

    assert seen == {"scheme": "https", "host": "works.example", "address": "203.0.113.9"}


def test_only_the_last_of_the_forwarded_addresses_is_believed(tmp_path: Path) -> None:
    """What stands before it was written by whoever asked the proxy."""
    client = app_with(tmp_path, proxies=("127.0.0.1",))
    seen = client.get("/seen", headers={"X-Forwarded-For": "10.0.0.1, 203.0.113.9"}).json

    assert seen["address"] == "203.0.113.9"


def test_a_forwarded_host_is_held_to_the_trusted_ones(tmp_path: Path) -> None:
    client = app_with(tmp_path, proxies=("127.0.0.1",), trusted_hosts=("works.example",))

    assert client.get("/seen", headers=FORWARDED).status_code == 200
    evil = client.get("/seen", headers={**FORWARDED, "X-Forwarded-Host": EVIL})
    assert evil.status_code == 400
    assert EVIL not in evil.get_data(as_text=True)


def test_the_customers_link_begins_with_the_public_address(
    app: Flask, owner: Caller, one_of_each: dict[str, int]
) -> None:
    answer = owner.post(
        f"/reports/{one_of_each['report_id']}/link",
        headers={"If-Match": "*", "Host": EVIL, **FORWARDED},
    )

    base = app.extensions["clackbox"].settings.base_address
    assert answer.json["link"].startswith(f"{base}/r/")
