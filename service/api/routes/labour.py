"""Labour over HTTP."""

from service.api.blueprint import Blueprint
from service.api.noun import Noun
from service.api.schemas.labour import LabourIn, LabourOut, LabourPage, LabourPatch, LabourQuery
from service.records.models import LabourEntry, Scope
from service.records.operations.labour import list_labour, log_labour, update_labour

blp = Blueprint("labour", __name__, description="Minutes at the bench.")

labour = Noun(blp, LabourEntry, LabourOut, "/labour", "/labour/<number:entry_id>")
labour.lists(list_labour, LabourPage, "List labour entries, newest first.", LabourQuery)
labour.creates(log_labour, LabourIn, "Log minutes of one operation.", Scope.BENCH)
labour.reads("get_labour", "Read a labour entry.")
labour.amends(update_labour, LabourPatch, "Correct a labour entry.")
