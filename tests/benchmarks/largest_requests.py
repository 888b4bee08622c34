"""How long the largest question of every calculation takes, in each form in which it is answered.

    PYTHONPATH=. .venv/bin/python tests/benchmarks/largest_requests.py [PART OF A NAME]

Every list is as long as it may be and every member of it as hard as was found. Each line is
processor time, and that over the yardstick of the same run; a second is the aim, whatever is asked.
"""

import copy
import datetime as dt
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from time import process_time
from typing import Any

import sqlalchemy as sa
from iapws import IAPWS97

from service import create_app
from service.api.calculation import Calculation
from service.api.calculations import CALCULATIONS
from service.documents.drawing.writing import ENDINGS
from service.records.database import Database
from service.records.history import Signature
from service.records.models import Scope
from service.records.operations.tokens import create_token
from service.records.schema import upgrade
from service.settings import Settings

Body = dict[str, Any]
Send = Callable[..., Any]

AIM = 1.0  # seconds of the server, whatever is asked
LONG_NAME = "port engine of the launch " * 7
JOINTS = 200


def main(wanted: str = "") -> None:
    """Ask every largest question in turn, the plant's check last."""
    yardstick = best(lambda: IAPWS97(P=0.45, x=1))
    print(f"yardstick: one state of steam by IF97 in Python {yardstick * 1e3:.2f} ms")
    slow = 0
    with tempfile.TemporaryDirectory() as folder:
        send = make_sender(Path(folder))
        for calculation in (each for one in CALCULATIONS for each in (one, *one.also)):
            if wanted in calculation.name:
                for what, path, body, accept in list_views(calculation):
                    began = process_time()
                    answer = send("POST", path, json=body, headers={"Accept": accept})
                    slow += tell(what, process_time() - began, yardstick, answer)
        if wanted in "plant-check":
            slow += time_plant_check(send, yardstick)
    raise SystemExit(f"{slow} over {AIM} s" if slow else 0)


def list_views(calculation: Calculation) -> Iterator[tuple[str, str, Body, str]]:
    """Every address of a calculation with each of its largest questions."""
    json_type = "application/json"
    for number, body in enumerate(make_largest(calculation)):
        name = f"{calculation.name} {number}"
        yield name, calculation.address, body, json_type
        yield f"{name} text", calculation.address, body, "text/plain"
        yield f"{name} sheet", f"{calculation.address}/sheet.pdf", body, "*/*"
        for picture in calculation.pictures:
            yield f"{name} {picture}", f"{calculation.address}/{picture}.svg", body, "*/*"
        if calculation.pictures and calculation.name == "steam-balance":
            kind = "?kind=pressure-line"
            yield f"{name}{kind}", f"{calculation.address}/picture.svg{kind}", body, "*/*"
        for ending in ENDINGS if calculation.drawings else ():
            yield f"{name} {ending}", f"{calculation.address}/drawing.{ending}", body, "*/*"


def make_largest(calculation: Calculation) -> list[Body]:
    """The largest questions of a calculation; its example where nothing in it can grow."""
    body = copy.deepcopy(calculation.example)
    match calculation.name:
        case "steam-demand":
            body["engines"] = [
                {**body["engines"][0], "name": f"{n} {LONG_NAME}"} for n in range(20)
            ]
        case "steam-balance/changes":
            grown = grow_balance(body, "900 W")
            return [grown | {"cases": grown["cases"][:2]}]
        case "steam-balance":
            one = grow_balance(body, "900 W")
            return [
                *(grow_balance(body, heat) for heat in ("5 W", "900 W", "60 kW")),
                one | {"cases": one["cases"][:1]},
            ]
        case "passage":
            body["elements"] = make_way(40)
            drop = {key: value for key, value in body.items() if key != "outlet_pressure"}
            return [body, drop | {"flow": "0.5 g/min"}]
        case "blowdown":
            body |= {"elements": make_way(40), "water": "500 kg"}
        case "indexing":
            shims = [f"{0.01 + 0.013 * number:.3f} mm" for number in range(24)]
            body |= {
                "shims": shims,
                "found": "17.3 deg",
                "wanted": "24.1 deg",
                "tolerance": "0 deg",
            }
        case "distribution-block":
            return [grow_block(body, pressure) for pressure in ("60 psi", "250 psi")]
        case "thread-identify":
            rough = {"caliper_error": "1 mm", "wear": "1 mm"}
            return [{"gender": "male", "diameter": size, **rough} for size in ("6.3 mm", "60 mm")]
        case "thread-overlay":
            body |= {"male": "1/8-27 NPT", "female": "1/8 BSP", "engaged_length": "40 mm"}
        case "fitting-check":
            return [body | {"male": {"thread": male, "length": "60 mm"}, "female": {
                "thread": female, "depth": "60 mm"}} for male, female in (
                    ("1/4-40 UNS", "1/8-27 NPT"), ("M6 x 0.75", "1/4 x 40 ME"))]  # fmt: skip
    return [body]


def make_way(count: int) -> list[Body]:
    """Parts of a passage, no two of one bore side by side."""
    kinds: list[Body] = [
        {"kind": "pipe", "diameter": "3 mm", "length": "300 mm"},
        {"kind": "stop_valve", "diameter": "4 mm", "lift": "1 mm"},
        {"kind": "bend", "diameter": "3.5 mm", "radius": "8 mm"},
        {"kind": "valve", "diameter": "4 mm", "kv": 0.1764},
        {"kind": "tee", "diameter": "3 mm", "run_diameter": "4 mm", "share": 0.5},
    ]
    return [kinds[place % len(kinds)] for place in range(count)]


def grow_balance(body: Body, heat: str) -> Body:
    """Twenty engines and twenty holes behind all the parts there may be, in twenty-four cases."""
    names = [f"{number} {LONG_NAME}" for number in range(40)]
    loads = ("propeller", "governed", "fixed_torque")
    engines = [
        {**body["engines"][0], "name": name, "bore": f"{8 + number} mm", "passages": make_way(9),
         "condensation": None,
         "load": {**body["engines"][0]["load"], "kind": loads[number % 3],
                  "at_pressure": f"{1 + 0.15 * number:.2f} bar"}}
        for number, name in enumerate(names[:20])
    ]  # fmt: skip
    outlets = [
        {"name": name, "area": f"{0.05 * 1.5**number:.3f} mm2", "passages": make_way(9)}
        for number, name in enumerate(names[20:])
    ]
    cases = [{"name": f"{n} {LONG_NAME}", "running": names[n % 21 :][:20]} for n in range(24)]
    boiler = {**body["boiler"], "net_heat": {
        "low": f"{0.8 * float(heat.split()[0])} {heat.split()[1]}", "likely": heat,
        "high": f"{1.2 * float(heat.split()[0])} {heat.split()[1]}"}}  # fmt: skip
    return {**body, "boiler": boiler, "engines": engines, "outlets": outlets, "cases": cases,
            "trunk": make_way(40)}  # fmt: skip


def grow_block(body: Body, pressure: str) -> Body:
    """Twelve outlets, twelve cases, two hundred bars and drills."""
    outlets = [
        {"thread": "1/4 x 40 ME", "name": f"outlet {n}", "spacing": "20 mm"} for n in range(12)
    ]
    flows = [{"case": f"case {n}", "steam": ["9 g/min"] * 12} for n in range(12)]
    sizes = [(f"{10 + n * 0.11:.2f} mm", f"{10 + n * 0.2:.1f} mm") for n in range(200)]
    bars = [{"shape": "rectangle", "width": width, "height": height} for width, height in sizes]
    drills = [f"{1 + n * 0.1:.1f} mm" for n in range(130)] + ["5.6 mm"] * 70
    return {**body, "outlets": outlets, "flows": flows, "sections": bars, "drills": drills,
            "pressure": pressure}  # fmt: skip


def time_plant_check(send: Send, yardstick: float) -> int:
    """A plant of 200 joints, each of a pair of threads that has something to say."""
    plant = make_plant(send)
    slow = 0
    for what, path, accept in (
        ("first", "", "application/json"), ("again", "", "application/json"),
        ("in full", "?joints=full", "application/json"), ("text", "", "text/plain"),
    ):  # fmt: skip
        began = process_time()
        answer = send("GET", f"/plants/{plant}/check{path}", headers={"Accept": accept})
        slow += tell(
            f"plant-check {JOINTS} joints {what}", process_time() - began, yardstick, answer
        )
    return slow


def make_plant(send: Send) -> int:
    """The plant: one item with a female port for each male of the next."""
    customer = send("POST", "/customers", json={"name": "M"}).json["id"]
    commission = send(
        "POST",
        "/commissions",
        json={"customer_id": customer, "title": "T", "price_basis": "time_and_materials"},
    ).json
    plant = send(
        "POST", f"/commissions/{commission['id']}/plants",
        json={"name": "P", "working_pressure": "50 psi"},
    ).json["id"]  # fmt: skip
    threads = ["1/4 x 40 ME", "1/4-40 UNS", "M6 x 0.75", "1/8 BSP", "1/8-27 NPT", "3/16 x 40 ME"]
    for number in range(JOINTS // 20):
        items = [
            send("POST", f"/plants/{plant}/items", json={
                "kind": "fitting", "name": f"{gender} {number}",
                "ports": [{"name": f"p{port}", "gender": gender,
                           "thread": threads[(port + number * turn) % len(threads)],
                           "length": f"{5 + 0.1 * port:.1f} mm"} for port in range(20)],
            }).json
            for turn, gender in enumerate(("male", "female"))
        ]  # fmt: skip
        for male, female in zip(items[0]["ports"], items[1]["ports"], strict=True):
            ends = {"male_port_id": male["id"], "female_port_id": female["id"]}
            send("POST", f"/plants/{plant}/joints", json=ends)
    return int(plant)


def make_sender(folder: Path) -> Send:
    """Asks an application of its own as its owner would."""
    database = Database(f"sqlite:///{folder / 'largest.sqlite'}")
    assert isinstance(database.bind, sa.Engine)
    with database.bind.connect() as connection:
        upgrade(connection)
    with database.writing() as session:
        signed = Signature(person="benchmark", now=dt.datetime.now(dt.UTC))
        secret = create_token(session, name="benchmark", scope=Scope.OWNER, signed=signed)[1]
    client = create_app(Settings(data=folder), database).test_client()

    def send(method: str, path: str, *, headers: dict[str, str] | None = None, **more: Any) -> Any:
        own = {"Authorization": f"Bearer {secret}", **(headers or {})}
        return client.open(f"/api/v1{path}", method=method, headers=own, **more)

    return send


def tell(what: str, seconds: float, yardstick: float, answer: Any) -> bool:
    """One line; whether it took longer than it should."""
    over = seconds > AIM
    refused = "" if answer.status_code < 400 else f" {str(answer.json.get('errors'))[:90]}"
    print(
        f"{what[:44]:44} {seconds * 1e3:8.0f} ms {seconds / yardstick:8.0f} x  {answer.status_code}"
        f" {len(answer.data):9,} bytes{' OVER' if over else ''}{refused}",
        flush=True,
    )
    return over


def best(call: Callable[[], Any], rounds: int = 20) -> float:
    """Seconds of processor for one call when nothing else has the machine."""
    spent = []
    for _ in range(rounds):
        began = process_time()
        call()
        spent.append(process_time() - began)
    return min(spent)


if __name__ == "__main__":
    main(*sys.argv[1:])
