"""A plant at its limits: the inspector's pressure, valves, supply, and what the passages take."""

from dataclasses import replace
from math import log, pi

import pytest

from service.engineering.errors import NoSolution, OutOfRange
from service.engineering.kit import Kit
from service.engineering.saturation import saturation
from service.engineering.steam.engine import Engine, steam_demand
from service.engineering.steam.safety_valve import SafetyValve as MeasuredValve
from service.engineering.steam.safety_valve.safety_valve import find_capacity
from service.plant.check import PlantCheck, check_plant
from service.plant.graph import Boiler, End, Item, Joint, Plant, Port, SafetyValve, SteamWay
from service.plant.workable import require_workable
from service.quantities import parse_thread
from service.quantities.wording import describe_figure, figures_in

AIR = 101_325.0
WORKING = AIR + 3e5
LIMIT = AIR + 4e5
FORTY = parse_thread("1/4 x 40 ME")
ENGINE = Engine(
    name="engine",
    bore=0.02,
    stroke=0.02,
    cylinders=1,
    acting="double",
    speed=8.0,
    cut_off=0.75,
    clearance=0.1,
    condensation=0.5,
)
BAND = replace(ENGINE, condensation=None)


def boiler(evaporation: float | None = None, *, limit: float = LIMIT) -> Item:
    bush = Port("bush", "female", FORTY, length=6e-3)
    return Item("boiler", "boiler", "customer", (bush,), boiler=Boiler(limit, evaporation))


def valve(setting: float = 3.5e5, **stated: object) -> Item:
    data = SafetyValve(AIR + setting, **stated)  # type: ignore[arg-type]
    return Item("safety valve", "safety_valve", "workshop", (), safety_valve=data)


def engine(built: Engine = ENGINE) -> Item:
    inlet = Port("inlet", "male", FORTY, length=6e-3)
    return Item("engine", "engine", "customer", (inlet,), engine=built)


def plant(*items: Item, joined: bool = False, working: float = WORKING, **changes: object) -> Plant:
    joints: tuple[Joint, ...] = ()
    if joined:  # the engine screwed straight into the boiler, the first and the last of the items
        first, last = items[0], items[-1]
        joints = (Joint(1, End(last, last.ports[0]), End(first, first.ports[0])),)
    stated = Plant("P", working, 1.11e5, 288.15, items, joints)
    return replace(stated, **changes)  # type: ignore[arg-type]


def levels(check: PlantCheck) -> dict[str, str]:
    return {one.finding.code: one.finding.level for one in check.judged}


def demand(built: Engine, pressure: float = WORKING):
    return steam_demand(built, pressure=pressure, back_pressure=1.11e5, feed_temperature=288.15)


@pytest.mark.parametrize(
    ("pascal", "above"), [(-0.1, False), (0.0, False), (0.1, True), (1.0, True)]
)
def test_no_plant_works_above_what_the_inspector_stated(pascal: float, above: bool) -> None:
    found = levels(check_plant(plant(boiler(), valve(4e5), working=LIMIT + pascal)))

    assert (found.get("above-inspector-pressure") == "fail") is above


@pytest.mark.parametrize(
    ("setting", "code", "level"),
    [
        (4e5 + 0.1, "valve-above-limit", "fail"),
        (4e5, "valve-setting", "ok"),
        (4e5 - 0.1, "valve-setting", "ok"),
        (3e5 + 0.1, "valve-setting", "ok"),
        (3e5, "valve-setting", "ok"),
        (3e5 - 0.1, "valve-below-working", "fail"),
    ],
)
def test_a_valve_lifts_from_the_working_to_the_stated_pressure(
    setting: float, code: str, level: str
) -> None:
    check = check_plant(plant(boiler(), valve(setting)))

    found = {key: value for key, value in levels(check).items() if key.startswith("valve-")}
    assert found == {code: level}
    (finding,) = [one.finding for one in check.judged if one.finding.code == code]
    assert finding.value == pytest.approx(setting)
    assert finding.limit == pytest.approx(3e5 if code == "valve-below-working" else 4e5)


@pytest.mark.parametrize(
    ("end", "share", "code", "level"),
    [
        ("low", 1 - 1e-9, "supply-short", "fail"),
        ("low", 1.0, "supply-close", "caution"),
        ("high", 1 - 1e-9, "supply-close", "caution"),
        ("high", 1.0, "supply-enough", "ok"),
    ],
)
def test_the_supply_is_short_below_the_low_and_enough_from_the_high_demand(
    end: str, share: float, code: str, level: str
) -> None:
    stated = share * getattr(demand(BAND).steam, end)

    found = levels(check_plant(plant(boiler(stated), valve(), engine(BAND))))

    assert {key: value for key, value in found.items() if key.startswith("supply-")} == {
        code: level
    }


@pytest.mark.parametrize(
    ("share", "code", "level"),
    [(1 - 1e-6, "enough-on-paper", "ok"), (1 + 1e-6, "too-small", "fail")],
)
def test_a_measured_valve_must_pass_what_all_boilers_make(
    share: float, code: str, level: str
) -> None:
    """3.5 bar and 10 % make 3.85 bar gauge; a flat seat of 4 mm lifting 0.2 mm, at 0.6."""
    least = find_capacity(pi * 4e-3 * 2e-4, AIR + 3.85e5, coefficient=0.6).least
    measured = valve(accumulation=0.10, measured=MeasuredValve(4e-3, 2e-4))
    second = replace(boiler(share * least / 4), name="second")

    check = check_plant(plant(boiler(share * least * 3 / 4), second, measured))

    assert levels(check)[code] == level
    assert len({"enough-on-paper", "too-small"} & levels(check).keys()) == 1
    assert check.evaporation == pytest.approx(share * least)


@pytest.mark.parametrize("stated", [{"accumulation": 0.1}, {"measured": MeasuredValve(4e-3, 2e-4)}])
def test_a_valve_of_which_too_little_is_known_is_not_reckoned(stated: dict[str, object]) -> None:
    found = levels(check_plant(plant(boiler(1e-3), valve(**stated))))

    assert not {"enough-on-paper", "too-small"} & found.keys()


def loss_for(share: float) -> float:
    """K of 3 mm that takes a share of the gauge pressure from an engine that is not throttled.

    (p1² - p2²)/(1.2 G² p v) - 2 ln(p1/p2): one double-acting cylinder pulses by 1.2.
    """
    chest = WORKING - share * 3e5
    flux = demand(ENGINE, chest).steam.likely / (pi / 4 * 3e-3**2)
    product = WORKING * saturation(WORKING).vapour_volume
    return (WORKING**2 - chest**2) / (1.2 * flux**2 * product) - 2 * log(WORKING / chest)


@pytest.mark.parametrize(
    ("share", "code", "level"),
    [(0.0999, "passages-sound", "ok"), (0.1001, "passages-take-much", "caution")],
)
def test_passages_may_take_a_tenth_of_the_boilers_gauge_pressure(
    share: float, code: str, level: str
) -> None:
    """The boiler's own way is a short bore, whose loss is taken off the stated loss."""
    entry = 0.0696 * 1.622**2 + 0.622**2 + 1  # sharp entry by Rennels, and one velocity head
    way = SteamWay(3e-3, 0.0, loss_for(share) - entry)
    source = replace(boiler(1e-2), steam_way=way)

    check = check_plant(plant(source, valve(), engine(), joined=True))

    found = {one.finding.code: one.finding for one in check.judged if one.subject == "engine"}
    assert found[code].level == level
    assert found[code].value == pytest.approx(share, rel=1e-6)
    assert len({"passages-sound", "passages-take-much"} & found.keys()) == 1


@pytest.mark.parametrize(("share", "sags"), [(1 + 1e-6, False), (1 - 1e-6, True)])
def test_the_pressure_sags_when_less_is_made_than_drawn(share: float, sags: bool) -> None:
    stated = share * demand(ENGINE).steam.likely

    check = check_plant(plant(boiler(stated), valve(), engine(), joined=True))

    assert (levels(check).get("pressure-sags") == "caution") is sags
    for judged in check.judged:
        if judged.finding.code == "pressure-sags":
            assert judged.finding.limit == pytest.approx(WORKING - AIR)
            assert judged.finding.value < judged.finding.limit
    assert check.running is not None
    assert check.running.heat_bound is sags


def test_an_engine_that_too_little_reaches_stalls() -> None:
    """At 0.2 bar above its exhaust it does not overcome 0.3 bar of friction."""
    weak = plant(
        boiler(1e-2), valve(), engine(), joined=True, working=AIR + 0.2e5, back_pressure=AIR
    )

    check = check_plant(weak)

    assert levels(check)["engine-stalls"] == "fail"
    assert "passages-sound" not in levels(check)


def test_a_plant_that_does_not_settle_says_so_and_keeps_its_other_findings() -> None:
    vacuum = plant(boiler(1e-2), valve(), engine(), joined=True, working=AIR - 1e4,
                  back_pressure=0.5e5)  # fmt: skip

    check = check_plant(vacuum)

    assert levels(check)["does-not-settle"] == "caution"
    assert check.running is None


def test_the_worst_of_all_is_the_level_of_the_plant() -> None:
    sound = check_plant(plant(boiler(1e-2), valve(), engine(), joined=True))
    above = check_plant(plant(boiler(1e-2), valve(4.5e5), engine(), joined=True))

    assert above.level == "fail"
    assert sound.level != "fail"
    assert above.judged[0].finding.code == "valve-above-limit"


@pytest.mark.parametrize(
    ("item", "field"),
    [
        (replace(boiler(), steam_way=SteamWay(1.9e-4, 0.01)), "steam_way.bore"),
        (replace(boiler(), steam_way=SteamWay(3e-3, 101.0)), "steam_way.length"),
        (replace(boiler(), steam_way=SteamWay(3e-3, 0.01, 100_001.0)), "steam_way.loss"),
        (
            valve(0.6e5, accumulation=0.1, measured=MeasuredValve(4e-3, 2e-4)),
            "safety_valve.set_pressure",
        ),
        (valve(accumulation=0.34, measured=MeasuredValve(4e-3, 2e-4)), "safety_valve.accumulation"),
        (
            Item("f", "fitting", "workshop", (Port("a", "male", FORTY, bore=1.9e-4),)),
            "ports.0.bore",
        ),
    ],
)
def test_what_no_check_could_reckon_is_refused_as_the_records_name_it(
    item: Item, field: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        require_workable(plant(item))
    assert refusal.value.field == field


def test_an_engine_is_tried_on_the_plants_own_steam() -> None:
    """0.51/v at the chest against 1.1/v at 1.5 bar: more than held back at 4 bar, less at 3."""
    stuffed = engine(replace(ENGINE, cut_off=0.01, clearance=0.5, exhaust_closure=0.6))

    require_workable(plant(stuffed, working=4e5, back_pressure=1.5e5))
    with pytest.raises(NoSolution) as refusal:
        require_workable(plant(stuffed, working=3e5, back_pressure=1.5e5))
    assert refusal.value.field == "engine.exhaust_closure"


def test_the_exhaust_must_be_below_the_working_pressure() -> None:
    require_workable(plant(engine(), working=1.1101e5))
    with pytest.raises(OutOfRange) as refusal:
        require_workable(plant(engine(), working=1.11e5))
    assert refusal.value.field == "back_pressure"


@pytest.mark.parametrize(
    ("setting", "code", "called"),
    [
        (4.5e5, "valve-above-limit", ("lifts", "stated")),
        (2.5e5, "valve-below-working", ("lifts", "working")),
        (3.5e5, "valve-setting", ("lifts", "stated")),
    ],
)
def test_a_pressure_has_one_reading_in_figure_and_in_words(
    setting: float, code: str, called: tuple[str, str]
) -> None:
    check = check_plant(plant(boiler(), valve(setting)))
    (finding,) = [one.finding for one in check.judged if one.finding.code == code]

    figures = dict(figures_in(finding.text))
    assert finding.unit == "Pa gauge"
    assert finding.value == pytest.approx(setting)
    shown = [describe_figure(figures[name])["value"] for name in called]
    assert shown == pytest.approx([finding.value / 1e5, finding.limit / 1e5])


def test_a_joint_is_reckoned_anew_when_anything_it_depends_on_changes() -> None:
    metric = Port("inlet", "male", parse_thread("M6 x 0.75"), length=6e-3, bore=3e-3)
    bush = Port("bush", "female", FORTY, length=6e-3, boss=0.011)

    def minutes(end: Port = metric, **times: float) -> float:
        fitting = Item("valve", "valve", "workshop", (end,))
        block = Item("block", "fitting", "workshop", (bush,))
        joint = Joint(1, End(fitting, end), End(block, bush))
        kept = Kit(times=times)
        (checked,) = check_plant(plant(fitting, block, joints=(joint,)), kept).joints
        return sum(remedy.minutes for remedy in checked.fitting.remedies)

    # Some remedy gauges what it made: half an hour more for that is half an hour more for each.
    usual = minutes()
    assert minutes(gauge=32.0) - minutes(gauge=2.0) >= 30.0 * (1 - 1e-9)
    assert minutes() == usual

    longer = replace(metric, length=9e-3)
    assert minutes(longer) != usual


@pytest.mark.parametrize("rise", [0.0, 1.0])
def test_a_rise_may_be_anything_from_none_to_the_whole(rise: float) -> None:
    held = valve(accumulation=rise).safety_valve
    assert held is not None
    assert held.accumulation == rise


@pytest.mark.parametrize("rise", [-1e-6, 1.0 + 1e-6])
def test_a_rise_beyond_the_whole_is_refused(rise: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        valve(accumulation=rise)
    assert refusal.value.field == "accumulation"


def test_water_is_fed_at_15_degrees_where_nothing_else_is_stated() -> None:
    """As it comes in a workshop (common practice)."""
    assert Plant("P", WORKING, items=(), joints=()).feed_temperature == pytest.approx(288.15)
