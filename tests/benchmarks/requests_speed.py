"""How fast requests are answered, against yardsticks of the same run.

    .venv/bin/python tests/benchmarks/requests_speed.py

Prints one line a measurement: what was measured, the figure, the yardstick, the ratio, the target.
"""

import datetime as dt
import json
import os
import random
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path
from typing import Any

from flask import Flask, Response
from iapws import IAPWS97

from service import create_app
from service.engineering.steam.engine import Engine, plant_demand
from service.records.database import Database
from service.records.history import Signature
from service.records.models import Scope
from service.records.operations.tokens import create_token
from service.records.schema import upgrade
from service.settings import Settings

COMMISSIONS, PARTS, LABOUR = 2_000, 100_000, 300_000
DEMAND = {
    "pressure": "50 psi", "feed_temperature": "15 degC", "back_pressure": "0.1 bar",
    "engines": [{"name": name, "bore": "3/4 in", "stroke": "3/4 in", "cylinders": 2,
                 "acting": "double", "speed": "600 rpm", "cut_off": 0.75, "clearance": 0.10,
                 "piston_rod": "1/8 in"} for name in ("port engine", "starboard engine")],
}  # fmt: skip
FITTING = {
    "male": {"thread": "1/4-40 UNS", "length": "1/4 in", "bore": "1/8 in", "material": "bronze",
             "owner": "customer"},
    "female": {"thread": "1/4 x 40 ME", "depth": "5/16 in", "boss": "7/16 in",
               "drilled": "7/32 in", "material": "brass", "owner": "workshop"},
    "pressure": "60 psi", "points": {"wanted": "90 deg", "found": "20 deg"},
}  # fmt: skip


def main() -> None:
    """Measure everything in turn."""
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(data=Path(folder))
        database = Database(settings.database_address)
        with database.bind.connect() as connection:  # type: ignore[union-attr]
            upgrade(connection)
        token = make_token(database)
        app = create_app(settings, database)
        measure_calculations(app, token)
        measure_steam()
        fill(settings.data / "clackbox.sqlite")
        measure_list(app, token, settings.data / "clackbox.sqlite")
        measure_start(settings)


def measure_calculations(app: Flask, token: str) -> None:
    """Server time of the two calculations everything hangs on."""
    for path, body in (("steam-demand", DEMAND), ("fitting-check", FITTING)):
        ask = asker(app, token, f"/api/v1/calculations/{path}", body)
        report(f"{path} request", best(ask, 50) * 1000, "ms", target="under 3 ms")


def measure_steam() -> None:
    """The steam calculation against the same one by the pure-Python IF97 package."""
    engines = [
        Engine(name=name, bore=0.01905, stroke=0.01905, cylinders=2, acting="double", speed=10.0,
               cut_off=0.75, clearance=0.1, condensation=None, piston_rod=0.003175)
        for name in ("port engine", "starboard engine")
    ]  # fmt: skip

    def ours() -> float:
        demand = plant_demand(
            engines, pressure=446_000.0, back_pressure=111_325.0, feed_temperature=288.15
        )
        if demand.findings:  # judged only when asked for, so asked for here
            raise SystemExit("these engines should pass without a word")
        return demand.dry_steam

    if abs(ours() / by_iapws(engines) - 1) > 1e-6:
        raise SystemExit("the yardstick does not reckon the same as we do")
    mine, yardstick = best(ours, 300), best(lambda: by_iapws(engines), 30)
    report("steam calculation", mine * 1e6, "us", yardstick=yardstick * 1e6,
           ratio=yardstick / mine, target="at least 50 times faster")  # fmt: skip


def by_iapws(engines: list[Engine]) -> float:
    """Dry steam of the engines [kg/s], all properties from the pure-Python package."""
    total = 0.0
    for engine in engines:
        live = IAPWS97(P=0.446, x=1)
        exhaust = IAPWS97(P=0.111325, x=1)
        feed = IAPWS97(T=288.15, P=0.446)
        rod = engine.piston_rod**2 / 2
        swept = 3.141592653589793 / 4 * (engine.bore**2 - rod) * engine.stroke
        strokes = engine.cylinders * 2 * engine.speed
        dry = (
            strokes
            * swept
            * ((engine.cut_off + engine.clearance) / live.v - engine.clearance / exhaust.v)
        )
        assert live.h > feed.h
        total += dry
    return total


def fill(path: Path) -> None:
    """The stated number of commissions, parts and labour entries, with the raw driver."""
    chance = random.Random(7)
    moment = dt.datetime(2026, 1, 1, tzinfo=dt.UTC).isoformat(timespec="microseconds")
    connection = sqlite3.connect(path)
    connection.execute("INSERT INTO customers (name, version, created_at, updated_at) "
                       "VALUES ('Somebody', 1, ?, ?)", (moment, moment))  # fmt: skip
    connection.executemany(
        "INSERT INTO commissions (customer_id, reference, title, stage, price_basis, hourly_rate, "
        "currency, estimate_minutes, public_notes, version, created_at, updated_at) "
        "VALUES (1, ?, ?, 'in_hand', 'estimate', 3850, 'GBP', 3600, 'A plant', 1, ?, ?)",
        ((f"X{n:05d}", f"Plant number {n}", moment, moment) for n in range(COMMISSIONS)),
    )
    connection.executemany(
        "INSERT INTO parts (commission_id, name, owner, quantity, state, ports, version, "
        "created_at, updated_at) VALUES (?, 'Union', 'customer', 1, 'received', '[]', 1, ?, ?)",
        ((chance.randint(1, COMMISSIONS), moment, moment) for _ in range(PARTS)),
    )
    connection.executemany(
        "INSERT INTO labour_entries (commission_id, operation, minutes, day, billable, person, "
        "version, created_at, updated_at) "
        "VALUES (?, 'drilling', ?, '2026-01-01', ?, 'me', 1, ?, ?)",
        (
            (chance.randint(1, COMMISSIONS), chance.randint(5, 180), n % 2, moment, moment)
            for n in range(LABOUR)
        ),
    )  # fmt: skip
    connection.commit()
    connection.close()


def measure_list(app: Flask, token: str, path: Path) -> None:
    """The list of 50 commissions with totals, against the raw driver and json in a bare view."""
    raw = raw_app(path)
    ours = asker(app, token, "/api/v1/commissions?limit=50")
    yardstick = asker(raw, token, "/list")
    if len(json.loads(ours())["items"]) != 50 or len(json.loads(yardstick())["items"]) != 50:
        raise SystemExit("a list is not 50 long")
    mine, bare = best(ours, 100), best(yardstick, 100)
    report("list of 50 with totals", mine * 1000, "ms", yardstick=bare * 1000, ratio=bare / mine,
           target="at least 0.7 of raw driver plus json")  # fmt: skip


RAW = """
SELECT commissions.*, customers.name AS customer_name,
       (SELECT coalesce(sum(minutes), 0) FROM labour_entries
        WHERE commission_id = commissions.id) AS minutes,
       (SELECT coalesce(sum(minutes), 0) FROM labour_entries
        WHERE commission_id = commissions.id AND billable = 1) AS billable_minutes,
       (SELECT count(*) FROM parts WHERE commission_id = commissions.id) AS part_lines
FROM commissions
JOIN customers ON customers.id = commissions.customer_id
ORDER BY commissions.id DESC
LIMIT 51
"""


def raw_app(path: Path) -> Flask:
    """The yardstick: one Flask view, the plain driver, the same statement, json.dumps."""
    app = Flask("yardstick")
    connection = sqlite3.connect(path, check_same_thread=False)
    connection.row_factory = sqlite3.Row

    @app.get("/list")
    def listed() -> Response:
        items = [dict(row) for row in connection.execute(RAW).fetchall()][:50]
        return Response(json.dumps({"items": items, "next": None}), mimetype="application/json")

    return app


def measure_start(settings: Settings) -> None:
    """From the command to the first answer, and the memory the server then holds."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [str(Path(sys.executable).parent / "clackbox"), "serve", "--port", str(port)]
    environment = {**os.environ, "CLACKBOX_DATA": str(settings.data)}
    began = time.perf_counter()
    with subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) as server:
        try:
            wait_for(f"http://127.0.0.1:{port}/health")
            report("serve to first answer", time.perf_counter() - began, "s", target="under 2 s")
            database = Database(settings.database_address)
            token = make_token(database)
            for path, body in (("steam-demand", DEMAND), ("fitting-check", FITTING)):
                send(f"http://127.0.0.1:{port}/api/v1/calculations/{path}", token, body)
            status = Path(f"/proc/{server.pid}/status")
            if status.exists():
                line = next(row for row in status.read_text().splitlines() if "VmRSS" in row)
                report("resident memory", int(line.split()[1]) / 1024, "MB", target="under 150 MB")
        finally:
            server.terminate()


def wait_for(address: str) -> None:
    """Ask until there is an answer."""
    for _ in range(2000):
        try:
            urllib.request.urlopen(address, timeout=5).read()
            return
        except (urllib.error.URLError, ConnectionError):
            time.sleep(0.005)
    raise SystemExit("the server never answered")


def send(address: str, token: str, body: dict[str, Any]) -> None:
    """POST one body."""
    request = urllib.request.Request(
        address,
        json.dumps(body).encode(),
        {"Authorization": f"Bearer {token}", "Content-Type": "application/json"},
    )
    urllib.request.urlopen(request, timeout=10).read()


def make_token(database: Database) -> str:
    """An owner's token."""
    with database.writing() as session:
        signed = Signature(person="benchmark", now=dt.datetime.now(dt.UTC))
        return create_token(session, name="benchmark", scope=Scope.OWNER, signed=signed)[1]


def asker(app: Flask, token: str, path: str, body: Any = None) -> Callable[[], bytes]:
    """One request as the server would hand it to the application."""
    client = app.test_client()
    headers = {"Authorization": f"Bearer {token}"}

    def ask() -> bytes:
        answer = (
            client.post(path, json=body, headers=headers)
            if body
            else client.get(path, headers=headers)
        )
        if answer.status_code != 200:
            raise SystemExit(answer.get_data(as_text=True))
        return answer.get_data()

    return ask


def best(call: Callable[[], Any], times: int, rounds: int = 5) -> float:
    """Seconds of one call: the mean of the best round."""
    call()
    spent = []
    for _ in range(rounds):
        began = time.perf_counter()
        for _ in range(times):
            call()
        spent.append((time.perf_counter() - began) / times)
    return min(spent)


def report(
    what: str,
    figure: float,
    unit: str,
    *,
    yardstick: float | None = None,
    ratio: float | None = None,
    target: str,
) -> None:
    """One line."""
    against = f"  yardstick {yardstick:8.2f} {unit}  ratio {ratio:6.2f}" if yardstick else ""
    print(f"{what:26} {figure:8.2f} {unit}{against}  ({target})", flush=True)


if __name__ == "__main__":
    main()
