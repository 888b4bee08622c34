"""The invented commission: its parts, plant, hours and notes."""

from typing import Any

from service.quantities.wording import Measure
from service.records.models import Gender, ItemKind, Operation, Owner

WORKSHOP: dict[str, Any] = {
    "name": "Gull Yard Works",
    "address": "Gull Yard, Northwold",
    "email": "works@example.org",
    "phone": "01632 960 140",
    "measure": Measure.IMPERIAL,
}

PARTS: tuple[tuple[str, Owner, int, str, str], ...] = (
    ("Vertical boiler, copper, 4 in", Owner.CUSTOMER, 1, "Clean; papers seen", "shelf 1"),
    ("Port engine, twin", Owner.CUSTOMER, 1, "Free; glands dry", "shelf 1"),
    ("Starboard engine, twin", Owner.CUSTOMER, 1, "Tight at top centre", "shelf 1"),
    ("Stop valve, imported", Owner.CUSTOMER, 2, "Threads good, gland packing gone", "box B"),
    ("Whistle", Owner.CUSTOMER, 1, "Good", "box B"),
    ("Safety valve", Owner.CUSTOMER, 1, "Seat marked", "box B"),
    ("Union, 1/8 in, imported", Owner.CUSTOMER, 2, "Good", "box B"),
    ("Water gauge", Owner.CUSTOMER, 1, "Glass cracked in the post", "box B"),
    ("Brass square bar, 3/4 in", Owner.WORKSHOP, 1, "New", "rack"),
    ("Pressure gauge, 0 to 100 psi", Owner.BOUGHT, 1, "New", "drawer 4"),
)


def _port(name: str, gender: Gender, thread: str, **sizes: str) -> dict[str, Any]:
    return {"name": name, "gender": gender, "thread": thread, **sizes}


def _male(name: str, thread: str, **sizes: str) -> dict[str, Any]:
    return _port(name, Gender.MALE, thread, **{"length": "1/4 in", **sizes})


def _female(name: str, thread: str, **sizes: str) -> dict[str, Any]:
    return _port(name, Gender.FEMALE, thread, **{"length": "5/16 in", **sizes})


def _way(bore: str, length: str, loss: float) -> dict[str, Any]:
    return {"bore": bore, "length": length, "loss": loss}


def _engine(bore: str, stroke: str, speed: str) -> dict[str, Any]:
    return {
        "engine": {
            "bore": bore, "stroke": stroke, "cylinders": 2, "acting": "double", "speed": speed,
            "cut_off": 0.75, "clearance": 0.10, "condensation": None, "piston_rod": "1/8 in",
            "diagram_factor": None, "exhaust_closure": 0.0,
        }
    }  # fmt: skip


ITEMS: tuple[tuple[ItemKind, str, str | None, dict[str, Any], list[dict[str, Any]]], ...] = (
    (
        ItemKind.BOILER,
        "boiler",
        "Vertical boiler, copper, 4 in",
        {
            "material": "bronze",
            "boiler": {"inspector_pressure": "60 psi", "evaporation": "57 g/min"},
        },
        [
            _female("steam bush", "3/8 x 32 ME", boss="5/8 in"),
            _female("safety valve bush", "3/8 x 32 ME", boss="5/8 in"),
            _female("upper gauge bush", "1/4 x 40 ME", boss="7/16 in"),
            _female("lower gauge bush", "1/4 x 40 ME", boss="7/16 in"),
            _female("gauge syphon bush", "1/8 BSP", boss="5/8 in"),
            _female("blowdown bush", "1/4 x 26 brass", boss="7/16 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "main stop valve",
        None,
        {"material": "brass", "steam_way": _way("3/16 in", "1 1/4 in", 13.0)},
        [
            _male("inlet", "3/8 x 32 ME", bore="3/16 in"),
            _male("outlet", "1/4 x 40 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.DISTRIBUTION_BLOCK,
        "distribution block",
        "Brass square bar, 3/4 in",
        {"material": "brass", "steam_way": _way("3/16 in", "2 1/2 in", 1.2)},
        [
            _female("inlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("port outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("starboard outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
            _female("whistle outlet", "1/4 x 40 ME", drilled="7/32 in", boss="3/4 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "port stop valve",
        "Stop valve, imported",
        {"material": "bronze", "steam_way": _way("1/8 in", "1 in", 13.0)},
        [
            _male("inlet", "1/4-40 UNS", bore="1/8 in"),
            _female("outlet", "1/8-27 NPT", boss="5/8 in"),
        ],
    ),
    (
        ItemKind.STOP_VALVE,
        "starboard stop valve",
        "Stop valve, imported",
        {"material": "bronze", "steam_way": _way("1/8 in", "1 in", 13.0)},
        [_male("inlet", "1/4 x 40 ME", bore="1/8 in"), _female("outlet", "1/8 BSP", boss="5/8 in")],
    ),
    (
        ItemKind.WHISTLE,
        "whistle",
        "Whistle",
        {"material": "brass"},
        [_male("foot", "M6 x 0.75", bore="3/32 in")],
    ),
    (
        ItemKind.SAFETY_VALVE,
        "safety valve",
        "Safety valve",
        {
            "material": "bronze",
            "safety_valve": {
                "set_pressure": "55 psi",
                "accumulation": 0.1,
                "seat": "4 mm",
                "lift": "0.3 mm",
                "seat_angle": "90 deg",
                "discharge_coefficient": 0.6,
            },
        },
        [_male("inlet", "3/8 x 26 brass", bore="3/16 in")],
    ),
    (
        ItemKind.WATER_GAUGE,
        "water gauge",
        "Water gauge",
        {"material": "brass"},
        [
            _male("upper", "1/4 x 40 ME", bore="3/32 in"),
            _male("lower", "1/4 x 40 ME", bore="3/32 in"),
        ],
    ),
    (
        ItemKind.PRESSURE_GAUGE,
        "pressure gauge syphon",
        "Pressure gauge, 0 to 100 psi",
        {"material": "brass"},
        [_male("foot", "1/8 BSP", bore="3/32 in")],
    ),
    (
        ItemKind.BLOWDOWN_VALVE,
        "blowdown valve",
        None,
        {"material": "bronze"},
        [_male("inlet", "1/4 x 40 ME", bore="1/8 in")],
    ),
    (
        ItemKind.UNION,
        "port union",
        "Union, 1/8 in, imported",
        {"material": "brass", "steam_way": _way("1/8 in", "8 in", 1.0)},
        [
            _male("tail", "1/8-27 NPT", bore="5/32 in"),
            _male("cone end", "1/4 x 32 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.UNION,
        "starboard union",
        "Union, 1/8 in, imported",
        {"material": "brass", "steam_way": _way("1/8 in", "8 in", 1.0)},
        [
            _male("tail", "1/8-27 NPT", bore="5/32 in"),
            _male("cone end", "1/4 x 32 ME", bore="1/8 in"),
        ],
    ),
    (
        ItemKind.ENGINE,
        "port engine",
        "Port engine, twin",
        {"material": "gunmetal", **_engine("5/8 in", "5/8 in", "500 rpm")},
        [_female("steam inlet", "1/4 x 32 ME", boss="7/16 in")],
    ),
    (
        ItemKind.ENGINE,
        "starboard engine",
        "Starboard engine, twin",
        {"material": "gunmetal", **_engine("5/8 in", "5/8 in", "500 rpm")},
        [_female("steam inlet", "1/4-28 UNF", boss="7/16 in")],
    ),
)

JOINTS: tuple[tuple[str, str, str, str, str | None, str | None], ...] = (
    ("main stop valve", "inlet", "boiler", "steam bush", None, None),
    ("main stop valve", "outlet", "distribution block", "inlet", None, None),
    ("port stop valve", "inlet", "distribution block", "port outlet", "90 deg", "20 deg"),
    (
        "starboard stop valve",
        "inlet",
        "distribution block",
        "starboard outlet",
        "90 deg",
        "200 deg",
    ),
    ("whistle", "foot", "distribution block", "whistle outlet", None, None),
    ("safety valve", "inlet", "boiler", "safety valve bush", None, None),
    ("water gauge", "upper", "boiler", "upper gauge bush", None, None),
    ("water gauge", "lower", "boiler", "lower gauge bush", None, None),
    ("pressure gauge syphon", "foot", "boiler", "gauge syphon bush", None, None),
    ("blowdown valve", "inlet", "boiler", "blowdown bush", None, None),
    ("port union", "tail", "port stop valve", "outlet", None, None),
    ("starboard union", "tail", "starboard stop valve", "outlet", None, None),
    ("port union", "cone end", "port engine", "steam inlet", None, None),
    ("starboard union", "cone end", "starboard engine", "steam inlet", None, None),
)


LABOUR: tuple[tuple[int, Operation, int, str, bool], ...] = (
    (12, Operation.MEASURING, 95, "threads of the whole box, gauges and callipers", True),
    (11, Operation.ORDERING, 25, "bar and packing", False),
    (9, Operation.MARKING_OUT, 40, "block, from one datum corner", True),
    (8, Operation.DRILLING, 90, "block drilled", True),
    (7, Operation.THREADING, 70, "block tapped 1/4 x 40, three outlets and inlet", True),
    (5, Operation.TURNING, 110, "two blanks for adapters", True),
    (3, Operation.REWORK, 30, "one adapter scrapped, my own slip", False),
    (1, Operation.FITTING, 55, "main stop valve to boiler and block", True),
)

NOTES: tuple[tuple[int, str, bool, str | None, tuple[int, ...]], ...] = (
    (
        12,
        "Every thread in the box was measured. Five of the fittings are not what the boiler and "
        "block want; the list is in the check.",
        True,
        None,
        (1,),
    ),
    (
        10,
        "Supplier of the imported fittings is slow to answer; do not wait for them.",
        False,
        None,
        (),
    ),
    (
        7,
        "The distribution block is squared, drilled and tapped for the three outlets.",
        True,
        None,
        (0,),
    ),
    (
        2,
        "The whistle's foot is metric, so it needs an adapter whichever way it stands.",
        True,
        "Shall the whistle stand upright beside the funnel, or lie along the deck?",
        (),
    ),
)
"""Days ago, the note, whether the customer may read it, what is asked, which pictures it shows."""

CAPTIONS = ("The distribution block on the drilling table", "The boiler from its front end")
