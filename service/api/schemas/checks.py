"""The check of a plant on the wire."""

from typing import Any

from flask import g
from marshmallow import fields

from service.api.calculations.balances import CaseOut
from service.api.calculations.engines import SteamDemandOut
from service.api.calculations.joints import (
    EngagementOut,
    IndexingOut,
    OverlayOut,
    RemedyOut,
    SealingOut,
    StepOut,
)
from service.api.fields import Words
from service.api.quantity_fields import QuantityOut
from service.api.schemas.base import In, Out
from service.api.schemas.calculations import (
    FINDINGS,
    JUDGED,
    WORKINGS,
    Reasons,
    show_finding,
    show_working,
)
from service.api.vocabularies import Term
from service.engineering.findings import Finding
from service.plant.check import Judged
from service.quantities import Kind


class CheckQuery(In):
    """How much is told of each joint."""

    joints = Term("CheckedJoints", load_default="summary", metadata={"example": "full"})


def _show_once(finding: Finding) -> dict[str, Any]:
    """A finding of a joint stands in the plant's list too; its words are made once a request."""
    kept: dict[int, tuple[Finding, dict[str, Any]]] = g.setdefault("shown_findings", {})
    if id(finding) not in kept:
        kept[id(finding)] = finding, show_finding(finding)
    return kept[id(finding)][1]


def _show_judged(one: Judged) -> dict[str, Any]:
    """A finding with the part of the plant it is about in front."""
    return {"subject": one.subject, **_show_once(one.finding)}


class JointRemedyOut(RemedyOut):
    """One way to make a joint good; `doubts` are those of its checks that are not ok."""

    level = Term("Level", required=True)
    doubts = Reasons(show_finding, metadata=FINDINGS)
    steps = fields.List(fields.Nested(StepOut))
    metal_checks = Reasons(show_finding, required=False, metadata=FINDINGS)
    sealing = fields.Nested(SealingOut)


class JointCheckOut(Out):
    """One joint: its verdict, and what makes it good; the overlay and the engagement if full."""

    joint_id = fields.Integer(required=True, attribute="joint.key")
    joint = Words(required=True, attribute="joint.label")
    male = Words(required=True, attribute="joint.male.port.thread.designation")
    female = Words(required=True, attribute="joint.female.port.thread.designation")
    level = Term("Level", required=True)
    verdict = Term("Verdict", required=True, attribute="fitting.verdict")
    overlay = fields.Nested(OverlayOut, attribute="fitting.overlay")
    engagement = fields.Nested(EngagementOut, attribute="fitting.engagement")
    remedies = fields.List(
        fields.Nested(JointRemedyOut), required=True, attribute="fitting.remedies"
    )
    indexing = fields.Nested(IndexingOut, required=True, allow_none=True)
    findings = Reasons(_show_once, metadata=FINDINGS)


class PlantCheckOut(Out):
    """The check of a plant: joints and findings worst first."""

    level = Term("Level", required=True)
    name = Words(required=True, attribute="plant.name")
    joints = fields.List(fields.Nested(JointCheckOut), required=True)
    demand = fields.Nested(SteamDemandOut, required=True, allow_none=True)
    running = fields.Nested(CaseOut, required=True, allow_none=True)
    evaporation = QuantityOut(Kind.MASS_FLOW, required=True, allow_none=True)
    findings = Reasons(_show_judged, attribute="judged", metadata=JUDGED)
    workings = Reasons(show_working, metadata=WORKINGS)
    cautions = fields.List(Words(), required=True)


CHECKS = {
    "summary": PlantCheckOut(
        exclude=(
            "joints.overlay",
            "joints.engagement",
            "joints.remedies.steps",
            "joints.remedies.metal_checks",
            "joints.remedies.sealing",
        )
    ),
    "full": PlantCheckOut(),
}
"""How a check is shown, by what is asked of its joints."""
