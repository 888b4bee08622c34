"""The check of a plant on the wire."""

from typing import Any

from marshmallow import fields

from service.api.calculations.balance_answer import CaseOut
from service.api.calculations.engines import SteamDemandOut
from service.api.calculations.joint_answer import EngagementOut, IndexingOut, OverlayOut, RemedyOut
from service.api.fields import Words
from service.api.quantity_fields import QuantityOut
from service.api.schemas.base import Out
from service.api.schemas.calculations import (
    FINDINGS,
    JUDGED,
    WORKINGS,
    FindingsField,
    WorkingsField,
    show_finding,
)
from service.api.vocabularies import Term
from service.plant.check import Judged
from service.quantities import Kind


class JudgedField(fields.Field[Any]):
    """Findings with the part of the plant each is about."""

    def _serialize(self, value: Any, *_: Any, **__: Any) -> list[dict[str, Any]]:
        return [self.show(one) for one in value]

    def show(self, judged: Judged) -> dict[str, Any]:
        """One finding with its subject in front."""
        return {"subject": judged.subject, **show_finding(judged.finding)}


class JointCheckOut(Out):
    """One joint: its verdict, and what makes it good."""

    joint_id = fields.Integer(required=True, attribute="joint.key")
    joint = Words(required=True, attribute="joint.label")
    male = Words(required=True, attribute="joint.male.port.thread.designation")
    female = Words(required=True, attribute="joint.female.port.thread.designation")
    level = Term("Level", required=True)
    verdict = Term("Verdict", required=True, attribute="fitting.verdict")
    overlay = fields.Nested(OverlayOut, required=True, attribute="fitting.overlay")
    engagement = fields.Nested(EngagementOut, required=True, attribute="fitting.engagement")
    remedies = fields.List(fields.Nested(RemedyOut), required=True, attribute="fitting.remedies")
    indexing = fields.Nested(IndexingOut, required=True, allow_none=True)
    findings = FindingsField(required=True, metadata=FINDINGS)


class PlantCheckOut(Out):
    """The check of a plant: joints and findings worst first."""

    level = Term("Level", required=True)
    name = Words(required=True, attribute="plant.name")
    joints = fields.List(fields.Nested(JointCheckOut), required=True)
    demand = fields.Nested(SteamDemandOut, required=True, allow_none=True)
    running = fields.Nested(CaseOut, required=True, allow_none=True)
    evaporation = QuantityOut(Kind.MASS_FLOW, required=True, allow_none=True)
    findings = JudgedField(required=True, attribute="judged", metadata=JUDGED)
    workings = WorkingsField(required=True, metadata=WORKINGS)
    cautions = fields.List(Words(), required=True)
