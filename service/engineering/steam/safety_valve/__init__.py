"""What a safety valve passes on paper, against the steam it must pass."""

from service.engineering.steam.safety_valve.safety_valve import (
    ReliefCheck,
    SafetyValve,
    check_relief_area,
    check_safety_valve,
    find_greatest_evaporation,
    find_relieving_pressure,
)

__all__ = [
    "ReliefCheck",
    "SafetyValve",
    "check_relief_area",
    "check_safety_valve",
    "find_greatest_evaporation",
    "find_relieving_pressure",
]
