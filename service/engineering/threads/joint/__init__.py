"""The whole check of one joint, and the shims that make a fitting point the right way."""

from service.engineering.threads.joint.fitting_check import CAUTIONS, FittingCheck, check_fitting
from service.engineering.threads.joint.indexing import POINTING_TOLERANCE, Indexing, index_fitting

__all__ = [
    "CAUTIONS",
    "POINTING_TOLERANCE",
    "FittingCheck",
    "Indexing",
    "check_fitting",
    "index_fitting",
]
