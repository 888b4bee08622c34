"""What makes a joint good: re-cut, turn down, open out, bush, adapter, shim, with its steps."""

from service.engineering.threads.remedies.adapters import AdapterEnd, AdapterPlan, plan_adapter
from service.engineering.threads.remedies.bars import density_of, hexagon_bars
from service.engineering.threads.remedies.job_sheet import JobSheet, Step, check_table_of_times
from service.engineering.threads.remedies.ranking import find_remedies
from service.engineering.threads.remedies.remedy import Remedy

__all__ = [
    "AdapterEnd",
    "AdapterPlan",
    "JobSheet",
    "Remedy",
    "Step",
    "check_table_of_times",
    "density_of",
    "find_remedies",
    "hexagon_bars",
    "plan_adapter",
]
