"""Which way a fitting points, and what makes it point right."""

from typing import Any

from marshmallow import fields, validate

from service.api.calculation import Calculation
from service.api.calculations.joint_answer import IndexingOut
from service.api.fields import ThreadIn, Whole
from service.api.quantity_fields import QuantityIn, quantity
from service.api.schemas.base import Asked
from service.engineering.kit import Kit
from service.engineering.threads.joint import (
    Indexing,
    index_fitting,
)
from service.quantities import Kind

MOST_SHIMS = 24


class IndexingIn(Asked):
    """Where a fitting stops and where it should point; angles clockwise from the fitting's end."""

    thread = ThreadIn(required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)
    wanted = QuantityIn(Kind.ANGLE, example="110 deg", required=True)
    shims = fields.List(
        QuantityIn(Kind.LENGTH, example="0.05 mm"),
        load_default=None,
        validate=validate.Length(1, MOST_SHIMS),
        metadata={
            "description": "Thicknesses on hand; without any the workshop's own table.",
            "example": ["0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm"],
        },
    )
    tolerance = quantity(Kind.ANGLE, "5 deg", default="5 deg")
    crush = quantity(Kind.LENGTH, "0.02 mm", default="0 mm")
    flats = Whole(load_default=None, metadata={"example": 6})


def reckon_indexing(asked: dict[str, Any], kit: Kit) -> Indexing:
    """The shims or the cut that make the fitting of a request point as wanted."""
    return index_fitting(
        asked["thread"],
        found=asked["found"].si,
        wanted=asked["wanted"].si,
        shims=[shim.si for shim in asked["shims"]] if asked["shims"] else kit.shims,
        tolerance=asked["tolerance"].si,
        crush=asked["crush"].si,
        flats=asked["flats"],
    )


INDEXING = Calculation(
    name="indexing",
    about="Find the shims or the facing cut that make a fitting point as wanted.",
    takes=IndexingIn,
    gives=IndexingOut,
    reckon=reckon_indexing,
    example={
        "thread": "1/4 x 40 ME",
        "found": "20 deg",
        "wanted": "110 deg",
        "shims": ["0.05 mm", "0.1 mm", "0.2 mm", "0.5 mm"],
        "tolerance": "5 deg",
        "crush": "0.02 mm",
    },
)
