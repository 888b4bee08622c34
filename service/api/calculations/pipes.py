"""Heat and water that a run of steam pipe loses."""

from typing import Any

from marshmallow import fields

from service.api.calculation import Calculation
from service.api.derive import schema_in
from service.api.quantity_fields import (
    QuantityIn,
    QuantityOut,
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


class PipeLossOut(CalculationOut):
    """What a run of pipe costs; `least_lagging` null: no lagging to 50 mm beats the bare pipe."""

    loss_per_metre = QuantityOut(Kind.POWER, required=True, attribute="loss_per_length")
    bare_loss_per_metre = QuantityOut(Kind.POWER, required=True, attribute="bare_loss_per_length")
    heat = QuantityOut(Kind.POWER, required=True)
    condensate = QuantityOut(Kind.MASS_FLOW, required=True)
    warming_condensate = QuantityOut(Kind.MASS, required=True)
    critical_radius = QuantityOut(Kind.LENGTH, required=True)
    least_lagging = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    share = fields.Float(required=True, allow_none=True)


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
