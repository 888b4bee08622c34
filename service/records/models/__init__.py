"""Every table, so that one import shows the migrations the whole schema."""

from service.records.models.audit import AuditLine
from service.records.models.commissions import Commission, PriceBasis, Stage
from service.records.models.customers import Customer
from service.records.models.idempotency import IdempotencyKey
from service.records.models.labour import LabourEntry, Operation
from service.records.models.paper_numbers import PaperNumber
from service.records.models.parts import Movement, Owner, Part, PartState
from service.records.models.pictures import Picture
from service.records.models.plants import Gender, Item, ItemKind, Joint, Plant, Port
from service.records.models.progress import ProgressNote, ProgressPicture
from service.records.models.reports import Report, ReportState
from service.records.models.tokens import Scope, Token
from service.records.models.workshop import Workshop

__all__ = [
    "AuditLine", "Commission", "Customer", "Gender", "IdempotencyKey", "Item", "ItemKind",
    "Joint", "LabourEntry", "Movement", "Operation", "Owner", "PaperNumber", "Part", "PartState",
    "Picture", "Plant", "Port", "PriceBasis", "ProgressNote", "ProgressPicture", "Report",
    "ReportState", "Scope", "Stage", "Token", "Workshop",
]  # fmt: skip
