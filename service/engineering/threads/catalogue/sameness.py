"""Whether two threads are one by two names."""

from math import radians

from service.engineering.threads.catalogue.forms import Thread

SAME_DIAMETER = 10e-6  # difference of diameter that the rounding of tables can make [m]
SAME_PITCH = 1e-4  # relative difference of pitch that the rounding of tables can make
SAME_ANGLE = radians(0.01)


def is_same_thread(thread: Thread, other: Thread) -> bool:
    """Whether two threads are one, whatever they are called.

    thread: the one.
    other: the other.
    Returns: true if hand, diameter, pitch, angle, depth and taper agree within the rounding of
        tables.
    Source: Geometry.
    """
    return (
        abs(thread.major_diameter - other.major_diameter) <= SAME_DIAMETER
        and abs(thread.effective_diameter - other.effective_diameter) <= SAME_DIAMETER
        and has_same_pitch(thread, other)
        and has_same_angle(thread, other)
        and thread.taper == other.taper
        and thread.hand == other.hand
    )


def has_same_pitch(thread: Thread, other: Thread) -> bool:
    """Whether two pitches agree within the rounding of tables.

    thread: the one.
    other: the other.
    Returns: true if they agree to one part in ten thousand.
    Source: Geometry.
    """
    return abs(thread.pitch - other.pitch) <= SAME_PITCH * other.pitch


def has_same_angle(thread: Thread, other: Thread) -> bool:
    """Whether two flank angles agree.

    thread: the one.
    other: the other.
    Returns: true if they agree to a hundredth of a degree.
    Source: Geometry.
    """
    return abs(thread.form.included_angle - other.form.included_angle) <= SAME_ANGLE
