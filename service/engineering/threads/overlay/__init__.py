"""Two thread profiles laid over each other: where they touch, what overlaps, what plays."""

from service.engineering.threads.overlay.overlay import GEOMETRY, MOST_PITCHES, Overlay, overlay
from service.engineering.threads.overlay.profile import (
    Points,
    Profile,
    female_profile,
    male_profile,
)

__all__ = [
    "GEOMETRY",
    "MOST_PITCHES",
    "Overlay",
    "Points",
    "Profile",
    "female_profile",
    "male_profile",
    "overlay",
]
