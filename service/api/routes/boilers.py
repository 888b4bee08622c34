"""Boilers over HTTP: supply, pipes, shell, cold-water test, blowdown."""

from typing import Any

from flask.views import MethodView

from service.api.access import calculating, reading
from service.api.blueprint import Blueprint
from service.api.paging import envelope
from service.api.schemas.boilers import (
    BLOWDOWN_EXAMPLE,
    BOILER_SUPPLY_EXAMPLE,
    HYDRAULIC_TEST_EXAMPLE,
    PIPE_LOSS_EXAMPLE,
    SHELL_EXAMPLE,
    BlowdownIn,
    BlowdownOut,
    BoilerSupplyIn,
    BoilerSupplyOut,
    HydraulicTestIn,
    HydraulicTestOut,
    PipeLossIn,
    PipeLossOut,
    RegimePage,
    ShellIn,
    ShellOut,
    read_boiler,
    read_cylinder,
    read_pipe_run,
)
from service.api.schemas.steam_fields import si
from service.engineering.steam.boiler import (
    Blowdown,
    BoilerSupply,
    PipeLoss,
    blow_down,
    boiler_supply,
    pipe_loss,
)
from service.engineering.steam.shell import (
    HydraulicTest,
    ShellCheck,
    check_shell,
    find_hydraulic_test,
    list_regimes,
)
from service.records.models import Scope

blp = Blueprint("boilers", __name__, description="Boilers: supply, pipes, shell, tests, blowdown.")


@blp.route("/calculations/boiler-supply")
class BoilerSupplyCalculation(MethodView):
    """What a boiler gives."""

    @calculating
    @blp.operation("calculate_boiler_supply", Scope.CALCULATE, "calculates")
    @blp.arguments(BoilerSupplyIn, example=BOILER_SUPPLY_EXAMPLE)
    @blp.response(200, BoilerSupplyOut)
    def post(self, data: dict[str, Any]) -> BoilerSupply:
        """Reckon the steam a boiler gives, how long it lasts, and how long it takes to raise."""
        return boiler_supply(
            read_boiler(data),
            pressure=data["pressure"].absolute,
            feed_temperature=data["feed_temperature"].si,
            air_temperature=data["air_temperature"].si,
        )


@blp.route("/calculations/pipe-loss")
class PipeLossCalculation(MethodView):
    """What a run of pipe costs."""

    @calculating
    @blp.operation("calculate_pipe_loss", Scope.CALCULATE, "calculates")
    @blp.arguments(PipeLossIn, example=PIPE_LOSS_EXAMPLE)
    @blp.response(200, PipeLossOut)
    def post(self, data: dict[str, Any]) -> PipeLoss:
        """Reckon heat and water lost by a run of pipe, and whether lagging would help."""
        return pipe_loss(
            read_pipe_run(data),
            pressure=data["pressure"].absolute,
            air_temperature=data["air_temperature"].si,
            flow=si(data["flow"]),
        )


@blp.route("/calculations/shell")
class ShellCalculation(MethodView):
    """The hoop stress of a plain cylinder."""

    @calculating
    @blp.operation("check_shell", Scope.CALCULATE, "calculates")
    @blp.arguments(ShellIn, example=SHELL_EXAMPLE)
    @blp.response(200, ShellOut)
    def post(self, data: dict[str, Any]) -> ShellCheck:
        """Look at the hoop stress of a plain copper cylinder; indicative, and no permission."""
        return check_shell(read_cylinder(data), pressure=data["pressure"].absolute)


@blp.route("/hydraulic-tests")
class Regimes(MethodView):
    """The regimes that are offered."""

    @reading(Scope.CALCULATE)
    @blp.operation("list_hydraulic_tests", Scope.CALCULATE, "lists")
    @blp.response(200, RegimePage)
    def get(self) -> dict[str, Any]:
        """List the cold-water test regimes offered, each with its source and edition."""
        return envelope(list(list_regimes()), None)


@blp.route("/calculations/hydraulic-test")
class HydraulicTestCalculation(MethodView):
    """The cold-water test pressure of one regime."""

    @calculating
    @blp.operation("find_hydraulic_test", Scope.CALCULATE, "calculates")
    @blp.arguments(HydraulicTestIn, example=HYDRAULIC_TEST_EXAMPLE)
    @blp.response(200, HydraulicTestOut)
    def post(self, data: dict[str, Any]) -> HydraulicTest:
        """Give the cold-water test pressures that a named regime commonly asks."""
        return find_hydraulic_test(
            data["regime"],
            working_pressure=data["working_pressure"].absolute,
            stress_ratio=data["stress_ratio"],
        )


@blp.route("/calculations/blowdown")
class BlowdownCalculation(MethodView):
    """The blowing down of a boiler."""

    @calculating
    @blp.operation("calculate_blowdown", Scope.CALCULATE, "calculates")
    @blp.arguments(BlowdownIn, example=BLOWDOWN_EXAMPLE)
    @blp.response(200, BlowdownOut)
    def post(self, data: dict[str, Any]) -> Blowdown:
        """Reckon how fast boiling water leaves through cock and drain, and how hard it pushes."""
        return blow_down(
            data["elements"], pressure=data["pressure"].absolute, water=data["water"].si
        )
