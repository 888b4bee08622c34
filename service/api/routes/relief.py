"""Safety valves over HTTP."""

from typing import Any

from flask.views import MethodView

from service.api.access import calculating
from service.api.blueprint import Blueprint
from service.api.schemas.relief import (
    RELIEF_EXAMPLE,
    ReliefIn,
    ReliefOut,
    read_safety_valve,
)
from service.engineering.saturation import require_pressure
from service.engineering.steam.safety_valve import (
    ReliefCheck,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
    find_relieving_pressure,
)
from service.records.models import Scope

blp = Blueprint("relief", __name__, description="Relief: what a safety valve passes on paper.")


@blp.route("/calculations/safety-valve")
class SafetyValveCalculation(MethodView):
    """A safety valve against the steam it must pass."""

    @calculating
    @blp.operation("check_safety_valve", Scope.CALCULATE, "calculates")
    @blp.arguments(ReliefIn, example=RELIEF_EXAMPLE)
    @blp.response(200, ReliefOut)
    def post(self, data: dict[str, Any]) -> ReliefCheck:
        """Compare what a safety valve passes, by three rules, with the steam it must pass."""
        return check_relief(data)


def check_relief(data: dict[str, Any]) -> ReliefCheck:
    """The check of the valve that a request describes."""
    asked: dict[str, Any] = {
        "set_pressure": data["set_pressure"].absolute,
        "accumulation": data["accumulation"],
        "evaporation": _find_evaporation(data),
        "rule": data["rule"],
    }
    if data["area"] is None:
        return check_safety_valve(read_safety_valve(data), **asked)
    return check_relief_area(
        data["area"].si, discharge_coefficient=data["discharge_coefficient"], **asked
    )


def _find_evaporation(data: dict[str, Any]) -> float:
    if data["evaporation"] is not None:
        return float(data["evaporation"].si)
    pressure = find_relieving_pressure(data["set_pressure"].absolute, data["accumulation"])
    require_pressure(pressure, field="set_pressure")
    return find_greatest_evaporation(data["heat"].si, relieving_pressure=pressure)
