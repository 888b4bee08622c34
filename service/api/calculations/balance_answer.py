"""Where a plant settles, and what to change, as it goes over the wire."""

from marshmallow import fields

from service.api.fields import Words
from service.api.quantity_fields import (
    BandOut,
    GaugeBandOut,
    GaugeOut,
    QuantityOut,
)
from service.api.schemas.base import Out
from service.api.schemas.calculations import CalculationOut
from service.api.vocabularies import Term
from service.quantities import Kind


class RunningEngineOut(Out):
    """Where one engine settles; `stalls` likely, `may_stall` with everything soft against it."""

    name = Words(required=True)
    pressure = GaugeBandOut(required=True)
    speed = BandOut(Kind.SPEED, required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)
    wanted_speed = QuantityOut(Kind.SPEED, required=True)
    load_pressure = GaugeOut(required=True)
    stalls = fields.Boolean(required=True)
    may_stall = fields.Boolean(required=True)


class OpenOutletOut(Out):
    """What blows from one open outlet."""

    name = Words(required=True)
    pressure = GaugeBandOut(required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)


class SoftInputOut(Out):
    """What one soft input alone does: spans over the wanted speed and over the likely steam."""

    name = Words(required=True)
    speed_spread = fields.Float(required=True)
    steam_spread = fields.Float(required=True)
    engine = Words(required=True, allow_none=True)


class CaseOut(Out):
    """Where the plant settles in one case; soft inputs that make the spread, the widest first."""

    name = Words(required=True)
    boiler_pressure = GaugeBandOut(required=True)
    block_pressure = GaugeBandOut(required=True)
    steam = BandOut(Kind.MASS_FLOW, required=True)
    surplus = BandOut(Kind.MASS_FLOW, required=True)
    heat_bound = fields.Boolean(required=True)
    engines = fields.List(fields.Nested(RunningEngineOut), required=True)
    outlets = fields.List(fields.Nested(OpenOutletOut), required=True, attribute="open_outlets")
    soft_inputs = fields.List(fields.Nested(SoftInputOut), required=True)


class SteamBalanceOut(CalculationOut):
    """Where the plant settles, case by case."""

    cases = fields.List(fields.Nested(CaseOut), required=True)


class PlaceOut(Out):
    """One part on a way; `smallest_diameter` null: no bore of this part alone is enough."""

    stretch = Term("PassageStretch", required=True)
    number = fields.Integer(required=True)
    kind = Words(required=True, attribute="element.kind")
    diameter = QuantityOut(Kind.LENGTH, required=True, attribute="element.diameter")
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    share = fields.Float(required=True)
    smallest_diameter = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class PathOut(Out):
    """The way to one engine at its wanted speed; an `allowed` below 0: it is out of reach."""

    case = Words(required=True)
    engine = Words(required=True)
    flow = QuantityOut(Kind.MASS_FLOW, required=True)
    chest_pressure = GaugeOut(required=True)
    boiler_pressure = GaugeOut(required=True)
    drop = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    allowed = QuantityOut(Kind.PRESSURE_DIFFERENCE, required=True)
    within = fields.Boolean(required=True)
    costliest = fields.Nested(PlaceOut, required=True, allow_none=True)
    places = fields.List(fields.Nested(PlaceOut), required=True)


class ChangesOut(CalculationOut):
    """What to open out, way by way."""

    paths = fields.List(fields.Nested(PathOut), required=True)
