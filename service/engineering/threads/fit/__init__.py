"""Whether two ends go together and what metal is left around them."""

from service.engineering.threads.fit.joint_ends import (
    FemaleEnd,
    MaleEnd,
    Owner,
    check_ends,
    check_female,
    check_male,
    engaged_length,
)
from service.engineering.threads.fit.joint_metal import (
    JointMetal,
    inspect_joint,
    judge_wall,
    measure_joint,
    wanted_wall,
)
from service.engineering.threads.fit.match import Match, match_threads

__all__ = [
    "FemaleEnd",
    "JointMetal",
    "MaleEnd",
    "Match",
    "Owner",
    "check_ends",
    "check_female",
    "check_male",
    "engaged_length",
    "inspect_joint",
    "judge_wall",
    "match_threads",
    "measure_joint",
    "wanted_wall",
]
