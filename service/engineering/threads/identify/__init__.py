"""Which thread is this: candidates from what was measured, and what to measure next."""

from service.engineering.threads.identify.advice import Advice
from service.engineering.threads.identify.identify import Candidate, identify_thread, write_workings
from service.engineering.threads.identify.judgement import judge_candidates
from service.engineering.threads.identify.marks import Mark
from service.engineering.threads.identify.measurement import Measurement

__all__ = [
    "Advice",
    "Candidate",
    "Mark",
    "Measurement",
    "identify_thread",
    "judge_candidates",
    "write_workings",
]
