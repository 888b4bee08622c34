"""Which thread is this: candidates from what was measured, and what to measure next."""

from service.engineering.threads.identify.identify import (
    identify_thread,
    judge_candidates,
    write_workings,
)
from service.engineering.threads.identify.measurement import Measurement

__all__ = ["Measurement", "identify_thread", "judge_candidates", "write_workings"]
