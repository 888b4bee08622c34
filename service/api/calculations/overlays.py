"""Two threads laid over each other."""

from typing import Any

from service.api.calculation import Calculation, Picture
from service.api.calculations.joint_answer import PicturedOverlayOut, show_overlay
from service.api.fields import ThreadIn
from service.api.preferences import measure
from service.api.quantity_fields import DrillIn, QuantityIn, si
from service.api.schemas.base import Asked
from service.api.schemas.calculations import (
    CalculationOut,
)
from service.api.vocabularies import Term
from service.documents.drawing import Sheet
from service.documents.overlay_picture import draw_profiles
from service.engineering.kit import Kit
from service.engineering.threads.fit import (
    match_threads,
)
from service.engineering.threads.overlay import Overlay, overlay
from service.quantities import Kind


class PairIn(Asked):
    """A male and a female thread."""

    male = ThreadIn(required=True)
    female = ThreadIn(required=True)
    drilled = DrillIn(load_default=None)


class OverlayIn(PairIn):
    """Two threads to be laid over each other along a length."""

    engaged_length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    fit = Term("Fit", load_default="basic", metadata={"example": "basic"})


class OverlayCalculationOut(CalculationOut, PicturedOverlayOut):
    """Where two threads foul, and by how much."""


def lay(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """The overlay that a request asks for, and how its threads match."""
    match = match_threads(
        asked["male"],
        asked["female"],
        engaged_length=asked["engaged_length"].si,
        drilled=si(asked["drilled"]),
    )
    return show_overlay(_lay(asked)) | {"findings": match.findings}


def _lay(asked: dict[str, Any]) -> Overlay:
    return overlay(
        asked["male"],
        asked["female"],
        engaged_length=asked["engaged_length"].si,
        drilled=si(asked["drilled"]),
        fit=asked["fit"],
    )


def draw_overlay(asked: dict[str, Any], _: Kit, __: dict[str, Any]) -> Sheet:
    """The overlay that a request asks for, drawn."""
    return draw_profiles(_lay(asked), measure=measure())


THREAD_OVERLAY = Calculation(
    name="thread-overlay",
    about="Lay a male over a female: where they foul, by how much, and what play is left.",
    takes=OverlayIn,
    gives=OverlayCalculationOut,
    reckon=lay,
    example={
        "male": "1/4-40 UNS",
        "female": "1/4 x 40 ME",
        "engaged_length": "1/4 in",
        "fit": "basic",
    },
    pictures={"picture": Picture(draw_overlay, about="Draw a male in a female, to scale.")},
)
