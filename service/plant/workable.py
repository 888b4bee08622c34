"""What a plant must be for its check to be reckoned at all; refused already when it is entered.

A refusal names its field as the records do: `working_pressure`, `ports.0.bore`, `engine.cut_off`.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from service.engineering.errors import EngineeringError
from service.engineering.materials import find_material
from service.engineering.steam.engine import find_steam_conditions, steam_demand
from service.engineering.threads.fit import FemaleEnd, MaleEnd, check_female, check_male
from service.plant.graph import Item, Plant, Port
from service.plant.supply import check_relief
from service.plant.ways import pass_item, pass_port

SOME_STEAM = 1e-3  # an evaporation to try a safety valve with [kg/s]
OWN_NAMES = {
    "pressure": "working_pressure",
    "temperature": "feed_temperature",
    "depth": "length",
    "diameter": "bore",
    "k": "loss",
}
"""What the records call an argument of the engineering floor."""


def require_workable(plant: Plant) -> None:
    """Raise what a check of `plant` would be refused for: its conditions, its items one by one."""
    with _standing_in(""):
        find_steam_conditions(
            plant.working_pressure,
            back_pressure=plant.back_pressure,
            feed_temperature=plant.feed_temperature,
        )
    for item in plant.items:
        _require_workable_item(item, plant)


def _require_workable_item(item: Item, plant: Plant) -> None:
    for number, port in enumerate(item.ports):
        with _standing_in(f"ports.{number}"):
            _require_workable_port(port)
    with _standing_in("steam_way"):
        pass_item(item)
    if item.safety_valve is not None:
        with _standing_in("safety_valve"):
            check_relief(item.safety_valve, SOME_STEAM)
    if item.engine is not None:
        with _standing_in("engine"):
            steam_demand(
                item.engine,
                pressure=plant.working_pressure,
                back_pressure=plant.back_pressure,
                feed_temperature=plant.feed_temperature,
            )


def _require_workable_port(port: Port) -> None:
    find_material(port.material)
    if port.gender == "male":
        check_male(MaleEnd(thread=port.thread, length=port.length, bore=port.bore))
        pass_port(port)
    else:
        check_female(
            FemaleEnd(thread=port.thread, depth=port.length, boss=port.boss, drilled=port.drilled)
        )


@contextmanager
def _standing_in(section: str) -> Iterator[None]:
    try:
        yield
    except EngineeringError as error:
        name = OWN_NAMES.get(error.field or "", error.field)
        error.field = ".".join(part for part in (section, name) if part)
        raise
