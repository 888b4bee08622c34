"""What an engaged thread carries: shear areas, loads on it, and the length that it needs."""

from service.engineering.threads.strength.engagement import (
    LEAST_TURNS,
    PRESSURE_FACTOR,
    SPANNER_FACTOR,
    Engagement,
    end_load,
    engagement,
    needed_length,
    spanner_load,
)

__all__ = [
    "LEAST_TURNS",
    "PRESSURE_FACTOR",
    "SPANNER_FACTOR",
    "Engagement",
    "end_load",
    "engagement",
    "needed_length",
    "spanner_load",
]
