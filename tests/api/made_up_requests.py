"""Requests made up from the description, sent to a server, and the answers held to it.

The description is taken from this tree, so that the cases are known before a server runs. The tests
send a sample; more, as 10,000 to each database, is sent by

    .venv/bin/python -m tests.api.made_up_requests --cases 10000
"""

import argparse
import functools
import io
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import hypothesis
import requests
import schemathesis
from hypothesis import HealthCheck, given
from PIL import Image
from schemathesis import GenerationMode
from schemathesis.config import SchemathesisConfig

from tests.api.test_golden_description import describe
from tests.real_server import RealServer, make_database_beside, run_postgresql, serve_demo

CONFIG = SchemathesisConfig.from_dict(
    {
        "checks": {
            "ignored_auth": {"enabled": False},  # who may do what is tried in test_tokens.py
            # What fits the description may still be refused: a unit, a thread, a version, a rule.
            "positive_data_acceptance": {
                "expected-statuses": ["2xx", 400, 404, 409, 412, 415, 422]
            },
            "missing_required_header": {"expected-statuses": [400, 404, 415, 422, 428]},
            # Wrong data for a record that is not there, or without a version, is refused for that.
            "negative_data_rejection": {
                "expected-statuses": [400, 401, 403, 404, 409, 412, 413, 415, 422, 428]
            },
        }
    }
)
SCHEMA = schemathesis.openapi.from_dict(describe(), config=CONFIG)
OPERATIONS = {result.ok().label: result.ok() for result in SCHEMA.get_all_operations()}
CALCULATIONS = [label for label in OPERATIONS if "/calculations" in label]
RECORDS = [label for label in OPERATIONS if label not in CALCULATIONS]
Record = dict[str, Any]


@dataclass
class Sender:
    """Somebody who sends what was made up, and counts the answers by their status."""

    server: RealServer
    connection: requests.Session = field(default_factory=requests.Session)
    answers: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.connection.headers.update(self.server.headers)
        self.connection.trust_env = False  # a proxy or a .netrc of the machine is not meant

    def try_operation(
        self, label: str, mode: GenerationMode, *, examples: int, seed: int | None = None
    ) -> None:
        """Send as many requests; raise at the first answer that is not as it is described."""
        operation, records = OPERATIONS[label], Records(self)

        @hypothesis.settings(
            max_examples=examples,
            derandomize=seed is None,
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode))
        def send(case: Any) -> None:
            self.send(case, records if mode is GenerationMode.POSITIVE else None)

        (hypothesis.seed(seed)(send) if seed is not None else send)()

    def send(self, case: Any, records: "Records | None") -> None:
        """One request: with `records` for one that is there, at the version that it is at."""
        headers = dict(self.server.headers)  # in place of whatever was made up
        if records is not None and case.path_parameters:
            case.path_parameters = records.numbers(case)
        if records is not None and "If-Match" in (case.headers or {}):
            headers["If-Match"] = self._version(case)
        if (case.path_parameters or {}).get("token_id") == self.server.token_id:
            return  # it would shut out what it asks with
        response = case.call(
            base_url=self.server.address, session=self.connection, headers=headers, timeout=60
        )
        status = response.status_code
        self.answers[status] = self.answers.get(status, 0) + 1
        assert status < 500, response.text
        # An answer under "default" would pass for described, whatever it was.
        assert str(status) in case.operation.responses.status_codes, (status, response.text)
        case.validate_response(response)

    def _version(self, case: Any) -> str:
        """The ETag of the record that is to be changed."""
        address = case.formatted_path
        for action in ("/issue", "/link", "/revoke", "/logo"):
            address = address.removesuffix(action)
        read = self.connection.get(self.server.address + address, timeout=60)
        return read.headers.get("ETag", '"1"')

    def make(self, path: str, body: Any, **extra: Any) -> Record:
        """POST and insist on 201; the new record."""
        content = {"data": body} if isinstance(body, bytes) else {"json": body}
        answer = self.connection.post(
            f"{self.server.address}/api/v1{path}", timeout=60, **content, **extra
        )
        assert answer.status_code == 201, answer.text
        record: Record = answer.json()
        return record


class Records:
    """The records that made-up requests are about, made over HTTP when they are first wanted."""

    def __init__(self, sender: Sender) -> None:
        self._make = sender.make
        self._made: dict[str, int] = {}

    def numbers(self, case: Any) -> dict[str, int]:
        """The number of each record in the address; a new one where this may be the last of it."""
        if case.method == "DELETE" or case.path.endswith(("/issue", "/link", "/revoke")):
            self._made.clear()
        return {name: self._number(name) for name in case.path_parameters}

    def _number(self, name: str) -> int:
        if name not in self._made:
            self._made[name] = int(self._MAKERS[name](self)["id"])
        return self._made[name]

    def _of_commission(self, path: str, **body: Any) -> Record:
        return self._make(path, {"commission_id": self._number("commission_id"), **body})

    def _make_customer(self) -> Record:
        return self._make("/customers", {"name": "Maud Ellery"})

    def _make_commission(self) -> Record:
        customer = self._number("customer_id")
        return self._make(
            "/commissions", {"customer_id": customer, "title": "Launch", "price_basis": "estimate"}
        )

    def _make_plant(self) -> Record:
        commission = self._number("commission_id")
        return self._make(
            f"/commissions/{commission}/plants",
            {"name": "Launch plant", "working_pressure": "50 psi"},
        )

    def _make_item(self, gender: str = "female") -> Record:
        port = {"name": "end", "gender": gender, "thread": "1/4 x 40 ME"}
        return self._make(
            f"/plants/{self._number('plant_id')}/items",
            {"kind": "stop_valve", "name": f"{gender} end", "ports": [port]},
        )

    def _make_joint(self) -> Record:
        male, female = (self._make_item(gender)["ports"][0]["id"] for gender in ("male", "female"))
        return self._make(
            f"/plants/{self._number('plant_id')}/joints",
            {"male_port_id": male, "female_port_id": female},
        )

    def _make_picture(self) -> Record:
        commission = self._number("commission_id")
        return self._make(
            f"/pictures?commission_id={commission}",
            draw_picture(),
            headers={"Content-Type": "image/png"},
        )

    _MAKERS: dict[str, Callable[["Records"], Record]] = {  # noqa: RUF012
        "customer_id": _make_customer,
        "commission_id": _make_commission,
        "plant_id": _make_plant,
        "item_id": _make_item,
        "joint_id": _make_joint,
        "picture_id": _make_picture,
        "part_id": lambda self: self._of_commission("/parts", name="Whistle"),
        "entry_id": lambda self: self._of_commission("/labour", operation="filing", minutes=5),
        "note_id": lambda self: self._of_commission("/progress", text="squared"),
        "report_id": lambda self: self._of_commission(
            "/reports", from_day="2026-11-01", to_day="2026-11-14"
        ),
        "token_id": lambda self: self._make("/tokens", {"name": "x", "scope": "calculate"}),
    }


@functools.cache
def draw_picture() -> bytes:
    """A small PNG."""
    written = io.BytesIO()
    Image.new("RGB", (40, 30), "navy").save(written, "PNG")
    return written.getvalue()


ROUND = 10
"""Cases of an operation in a round; each round draws others."""


def send_many(server: RealServer, cases: int, seed: int) -> list[str]:
    """Send at least as many cases, round by round; what was answered otherwise than described."""
    sender, violations, start = Sender(server), [], time.monotonic()
    while sum(sender.answers.values()) < cases:
        for label in OPERATIONS:
            for mode in GenerationMode:
                try:
                    sender.try_operation(label, mode, examples=ROUND, seed=seed)
                except Exception as problem:
                    violations.append(f"{label} {mode.value} seed {seed}: {problem}")
        seed += 1
    counted = ", ".join(f"{status} x {times}" for status, times in sorted(sender.answers.items()))
    print(f"{sum(sender.answers.values())} cases in {time.monotonic() - start:.0f} s: {counted}")
    print(f"{len(violations)} answers otherwise than described", flush=True)
    return violations


def main() -> int:
    """Both databases, one after the other."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--cases", type=int, default=10_000, help="for each database")
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    violations = []
    with tempfile.TemporaryDirectory(prefix="clackbox-") as folder:
        print("SQLite", flush=True)
        with serve_demo(Path(folder) / "sqlite") as server:
            violations += send_many(server, given.cases, given.seed)
        print("PostgreSQL", flush=True)
        with (
            run_postgresql() as address,
            make_database_beside(address, "made_up") as own,
            serve_demo(Path(folder) / "postgresql", own) as server,
        ):
            violations += send_many(server, given.cases, given.seed)
    print("\n\n".join(violations))
    return bool(violations)


if __name__ == "__main__":
    sys.exit(main())
