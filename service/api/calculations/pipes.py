"""Heat and water that a run of steam pipe loses."""

from typing import Any

from service.api.calculation import Calculation
from service.api.derive import schema_in, schema_out
from service.api.quantity_fields import (
    QuantityIn,
    quantity,
    si,
)
from service.api.schemas.calculations import CalculationOut
from service.engineering.kit import Kit
from service.engineering.steam.boiler import (
    PipeLoss,
    PipeRun,
    pipe_loss,
)
from service.quantities import Kind, read_given


class PipeLossIn(schema_in(PipeRun, without=("conductivity",), makes=False)):
    """A run of copper steam pipe between two fittings; `flow` is the steam that passes.

    Lagging is reckoned as string or felt, 0.06 W/m/K.
    """

    pressure = QuantityIn(Kind.PRESSURE, example="4 bar", required=True)
    air_temperature = quantity(Kind.TEMPERATURE, "20 degC", default="20 degC")
    flow = quantity(Kind.MASS_FLOW, "20 g/min")


class PipeLossOut(
    schema_out(
        PipeLoss,
        "loss_per_metre=loss_per_length bare_loss_per_metre=bare_loss_per_length heat condensate"
        " warming_condensate critical_radius least_lagging share",
    ),
    CalculationOut,
):
    """What a run of pipe costs; `least_lagging` null: no lagging to 50 mm beats the bare pipe."""


def reckon_pipe_loss(asked: dict[str, Any], _: Kit) -> PipeLoss:
    """What the run of pipe of a request costs."""
    return pipe_loss(
        read_given(PipeRun, asked),
        pressure=asked["pressure"].absolute,
        air_temperature=asked["air_temperature"].si,
        flow=si(asked["flow"]),
    )


PIPE_LOSS = Calculation(
    name="pipe-loss",
    about="Reckon heat and water lost by a run of pipe, and whether lagging would help.",
    takes=PipeLossIn,
    gives=PipeLossOut,
    reckon=reckon_pipe_loss,
    example={
        "pressure": "4 bar",
        "air_temperature": "20 degC",
        "outside_diameter": "1/4 in",
        "bore": "3/16 in",
        "length": "400 mm",
        "fittings": 2,
        "lagging": "3 mm",
        "flow": "20 g/min",
    },
)
