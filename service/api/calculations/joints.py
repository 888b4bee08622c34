"""Screwed joints: does it go, what fouls, what carries it, and which way does it point."""

from typing import Any

from marshmallow import fields, missing, validate

from service.api.calculation import Calculation, Picture, with_more
from service.api.derive import field_in, read, schema_in
from service.api.fields import ThreadIn, Whole, Words
from service.api.preferences import measure, wants_pictures
from service.api.quantity_fields import DrillIn, QuantityIn, QuantityOut, quantity, si
from service.api.schemas.base import Asked, Out
from service.api.schemas.calculations import (
    FINDINGS,
    CalculationOut,
    FindingField,
    FindingsField,
    standing_at,
)
from service.documents.drawing import Sheet, write_svg
from service.documents.overlay_picture import draw_profiles
from service.engineering.errors import UnknownMaterial
from service.engineering.kit import Kit
from service.engineering.materials import find_material, materials
from service.engineering.saturation import saturation_temperature
from service.engineering.threads.catalogue import Thread
from service.engineering.threads.fit import (
    FemaleEnd,
    MaleEnd,
    check_female,
    check_male,
    match_threads,
)
from service.engineering.threads.joint import (
    POINTING_TOLERANCE,
    FittingCheck,
    Indexing,
    check_fitting,
    index_fitting,
)
from service.engineering.threads.overlay import Overlay, overlay
from service.engineering.threads.strength import Engagement, engagement
from service.quantities import Kind

MOST_SHIMS = 24
FITS = ["basic", "tightest", "middle", "loosest"]


class PointsIn(Asked):
    """Where the fitting should point and where it stops, clockwise seen from its end."""

    wanted = QuantityIn(Kind.ANGLE, example="90 deg", required=True)
    found = QuantityIn(Kind.ANGLE, example="20 deg", required=True)


MaleEndIn = schema_in(MaleEnd, makes=False)
FemaleEndIn = schema_in(FemaleEnd, instead={"drilled": DrillIn(allow_none=True)}, makes=False)


class FittingCheckIn(Asked):
    """A male end and a female end; the pressure is gauge."""

    male = fields.Nested(MaleEndIn, required=True)
    female = fields.Nested(FemaleEndIn, required=True)
    pressure = quantity(Kind.PRESSURE, "60 psi")
    points = fields.Nested(PointsIn, load_default=None)


class OverlayOut(Out):
    """The two profiles laid over each other at basic size; pictured where that is preferred."""

    diametral_interference = QuantityOut(Kind.LENGTH, fine=True, required=True)
    radial_overlap = QuantityOut(Kind.LENGTH, fine=True, required=True)
    axial_overlap_per_flank = QuantityOut(Kind.LENGTH, fine=True, required=True)
    touches = Words(required=True)
    touches_member = Words(required=True)
    play = QuantityOut(Kind.LENGTH, fine=True, required=True)
    contact_ratio = fields.Float(required=True)
    flank_angle_difference = QuantityOut(Kind.ANGLE, required=True)
    pitch_difference = QuantityOut(Kind.LENGTH, fine=True, required=True)
    growth_per_turn = QuantityOut(Kind.LENGTH, fine=True, required=True)
    turns = fields.Float(required=True)
    turns_before_binding = fields.Float(required=True, allow_none=True)
    wedge_depth = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)


def _picture(overlay: Overlay) -> str:
    return write_svg(draw_profiles(overlay, measure=measure()))


class PicturedOverlayOut(OverlayOut):
    """The same with its picture."""

    picture = fields.Function(
        lambda overlay: _picture(overlay) if wants_pictures() else missing,
        metadata={"type": "string", "description": "SVG, to scale; with `Prefer: pictures`."},
    )


class EngagementOut(Out):
    """What carries the joint."""

    turns = fields.Float(required=True)
    shear_area_male = QuantityOut(Kind.AREA, required=True)
    shear_area_female = QuantityOut(Kind.AREA, required=True)
    tensile_area = QuantityOut(Kind.AREA, required=True)
    end_load = QuantityOut(Kind.FORCE, required=True)
    spanner_load = QuantityOut(Kind.FORCE, required=True)
    factor = fields.Float(required=True, allow_none=True)
    spanner_factor = fields.Float(required=True, allow_none=True)
    governing = Words(required=True)
    governing_load = Words(required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)


class StepOut(Out):
    """One step in bench order."""

    number = fields.Integer(required=True)
    text = Words(required=True)
    tool = Words(required=True)
    size = Words(required=True)
    speed_class = Words(required=True)
    minutes = fields.Float(required=True)


class SealingOut(Out):
    """How the joint is sealed, and how hot the seal may get."""

    method = Words(required=True)
    temperature_limit = QuantityOut(Kind.TEMPERATURE, required=True)
    steam_temperature = QuantityOut(Kind.TEMPERATURE, required=True, allow_none=True)
    reversible = fields.Boolean(required=True)
    source = Words(required=True)


class RemedyOut(Out):
    """One way to make a joint good; a refused one carries the figure that refuses it."""

    kind = Words(required=True)
    title = Words(required=True)
    summary = Words(required=True)
    steps = fields.List(fields.Nested(StepOut), required=True)
    minutes = fields.Float(required=True)
    wall_left = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)
    metal_checks = FindingsField(required=True, metadata=FINDINGS)
    alters_customers_property = fields.Boolean(required=True)
    decision_wanted = fields.Boolean(required=True)
    reversible = fields.Boolean(required=True)
    sealing = fields.Nested(SealingOut, required=True)
    refused = fields.Boolean(required=True)
    refusal = FindingField(required=True, allow_none=True)


class IndexingOut(CalculationOut):
    """The shims or the cut that make it point right."""

    thickness = QuantityOut(Kind.LENGTH, fine=True, required=True)
    stack = fields.List(QuantityOut(Kind.LENGTH, fine=True), required=True)
    points_at = QuantityOut(Kind.ANGLE, required=True)
    error = QuantityOut(Kind.ANGLE, required=True)
    facing_cut = QuantityOut(Kind.LENGTH, fine=True, required=True)
    shim_with_cut = fields.List(QuantityOut(Kind.LENGTH, fine=True), required=True, allow_none=True)
    turns_lost = fields.Float(required=True)
    flats_back = fields.Float(required=True, allow_none=True)


class FittingCheckOut(CalculationOut):
    """The verdict on a joint, and what makes it good, best first."""

    verdict = Words(
        required=True,
        metadata={
            "enum": ["goes", "goes_with_care", "make_good", "does_not_go"],
            "description": "goes: one thread and nothing against its metal; goes_with_care: "
            "something wants care; make_good: not as it is, but some remedy passes its checks; "
            "does_not_go: none does",
        },
    )
    overlay = fields.Nested(PicturedOverlayOut, required=True)
    engagement = fields.Nested(EngagementOut, required=True)
    wall_over_bore = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)
    boss_wall = QuantityOut(Kind.LENGTH, fine=True, required=True, allow_none=True)
    remedies = fields.List(fields.Nested(RemedyOut), required=True)
    indexing = fields.Nested(IndexingOut, allow_none=True)


def check_joint(asked: dict[str, Any], kit: Kit) -> dict[str, Any]:
    """The check of the joint of a request, and its indexing where that was asked."""
    pressure = asked["pressure"].absolute if asked["pressure"] else None
    check: FittingCheck = check_fitting(
        read_male(asked["male"]),
        read_female(asked["female"]),
        pressure=pressure,
        steam_temperature=None if pressure is None else saturation_temperature(pressure),
        kit=kit,
    )
    return with_more(check, indexing=_index(asked["male"]["thread"], asked["points"], kit))


def read_male(end: dict[str, Any]) -> MaleEnd:
    """The male end of a request; a refusal names the field within it."""
    male: MaleEnd = read(MaleEnd, end)
    with standing_at("male"):
        check_male(male)
        find_material(male.material)
    return male


def read_female(end: dict[str, Any]) -> FemaleEnd:
    """The female end of a request; a refusal names the field within it."""
    female: FemaleEnd = read(FemaleEnd, end)
    with standing_at("female"):
        check_female(female)
        find_material(female.material)
    return female


def _index(thread: Thread, points: dict[str, Any] | None, kit: Kit) -> Indexing | None:
    if points is None:
        return None
    return index_fitting(
        thread,
        found=points["found"].si,
        wanted=points["wanted"].si,
        shims=kit.shims,
        tolerance=POINTING_TOLERANCE,
    )


def draw_joint(asked: dict[str, Any], _: Kit, __: dict[str, Any]) -> Sheet:
    """The two profiles of the joint of a request, laid over each other."""
    male, female = read_male(asked["male"]), read_female(asked["female"])
    length = min([end for end in (male.length, female.depth) if end] or [male.thread.pitch * 5])
    laid = overlay(male.thread, female.thread, engaged_length=length, drilled=female.drilled)
    return draw_profiles(laid, measure=measure())


FITTING_CHECK = Calculation(
    name="fitting-check",
    about="Tell whether a male goes into a female, and what makes it good.",
    takes=FittingCheckIn,
    gives=FittingCheckOut,
    reckon=check_joint,
    example={
        "male": {
            "thread": "1/4-40 UNS",
            "length": "1/4 in",
            "bore": "1/8 in",
            "material": "bronze",
            "owner": "customer",
        },
        "female": {
            "thread": "1/4 x 40 ME",
            "depth": "5/16 in",
            "boss": "7/16 in",
            "drilled": "7/32 in",
            "material": "brass",
            "owner": "workshop",
        },
        "pressure": "60 psi",
        "points": {"wanted": "90 deg", "found": "20 deg"},
    },
    pictures={"picture": Picture(draw_joint, about="Draw a male in a female, to scale.")},
    leave_out_of_sheet=("remedies", "indexing"),
)


class PairIn(Asked):
    """A male and a female thread."""

    male = ThreadIn(required=True)
    female = ThreadIn(required=True)
    drilled = DrillIn(load_default=None)


class OverlayIn(PairIn):
    """Two threads to be laid over each other along a length."""

    engaged_length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    fit = fields.String(
        load_default="basic",
        validate=validate.OneOf(FITS),
        metadata={
            "description": "basic sizes, the largest male in the smallest female, the middle of "
            "the limits, or the smallest male in the largest female",
            "example": "basic",
        },
    )


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
    laid = _lay(asked)
    picture = {"picture": _picture(laid)} if wants_pictures() else {}
    return with_more(laid, findings=match.findings, **picture)


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


class EngagementIn(PairIn):
    """A screwed joint to be reckoned; the pressure is gauge, the torque a spanner's."""

    length = QuantityIn(Kind.LENGTH, example="1/4 in", required=True)
    bore = quantity(Kind.LENGTH, "1/8 in", default="0 mm")
    male_material = field_in(MaleEnd, "material", load_default="brass")
    female_material = field_in(FemaleEnd, "material", load_default="brass")
    pressure = QuantityIn(Kind.PRESSURE, example="60 psi", required=True)
    torque = quantity(Kind.TORQUE, "2 N m")


class NeededOut(Out):
    """The engagement wanted with the female of one metal."""

    material = Words(required=True)
    needed_length = QuantityOut(Kind.LENGTH, required=True, allow_none=True)
    turns = fields.Float(required=True, allow_none=True)


class EngagementCalculationOut(CalculationOut, EngagementOut):
    """What carries the joint, and the engagement wanted in each metal of the female."""

    needed_in = fields.List(fields.Nested(NeededOut), required=True)


def reckon_engagement(asked: dict[str, Any], _: Kit) -> dict[str, Any]:
    """The engagement of the joint of a request, and that wanted in each metal."""
    for field in ("male_material", "female_material"):
        _require_material(asked[field], field)
    found = _engage(asked, asked["female_material"])
    needed = [_need(asked, metal.name) for metal in materials()]
    return with_more(found, workings=found.workings, needed_in=needed)


def _engage(asked: dict[str, Any], female_material: str) -> Engagement:
    return engagement(
        asked["male"],
        asked["female"],
        length=asked["length"].si,
        bore=asked["bore"].si,
        drilled=si(asked["drilled"]),
        male_material=asked["male_material"],
        female_material=female_material,
        pressure=asked["pressure"].si,
        torque=si(asked["torque"]),
    )


def _require_material(name: str, field: str) -> None:
    """Refuse a metal that the table has not, by the field that names it."""
    try:
        find_material(name)
    except UnknownMaterial as error:
        error.field = field
        raise


def _need(asked: dict[str, Any], female_material: str) -> dict[str, Any]:
    """The engagement wanted with the female of one metal."""
    length = _engage(asked, female_material).needed_length
    return {
        "material": female_material,
        "needed_length": length,
        "turns": None if length is None else length / asked["male"].pitch,
    }


ENGAGEMENT = Calculation(
    name="engagement",
    about="Reckon a joint's shear areas and loads, and the engagement wanted in each metal.",
    takes=EngagementIn,
    gives=EngagementCalculationOut,
    reckon=reckon_engagement,
    example={
        "male": "1/4 x 40 ME",
        "female": "1/4 x 40 ME",
        "drilled": "7/32 in",
        "length": "1/4 in",
        "bore": "1/8 in",
        "male_material": "bronze",
        "female_material": "brass",
        "pressure": "60 psi",
    },
)


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
