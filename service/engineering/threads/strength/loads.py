"""Loads along the axis of a screwed joint: the push of the pressure, the pull of the spanner."""

from math import pi

from service.engineering.errors import require
from service.engineering.threads.catalogue import Thread

NUT_FACTOR = 0.2  # torque over load times diameter: dry thread and face; Machinery's Handbook
SPANNER_LENGTH = 14.0
SPANNER_PULL = 4000.0
"""Length of a spanner per diameter and pull on it per metre of diameter [N/m]; from memory."""


def end_load(across: Thread | float, pressure: float) -> float:
    """Push of the pressure on a fitting.

    across: diameter that the pressure can reach [m]; of a thread its major diameter, on the safe
        side.
    pressure: pressure above the outside [Pa], 0 or more.
    Returns: load along the axis [N].
    Raises OutOfRange: a diameter not above 0 or a negative pressure.
    Source: Pressure times area.
    """
    diameter = across.major_diameter if isinstance(across, Thread) else across
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    require(pressure >= 0, "pressure", "The pressure above the outside cannot be negative.")
    return pressure * pi / 4 * diameter**2


def spanner_load(diameter: float, *, torque: float | None = None) -> float:
    """Pull along the axis from nipping a thread up with a spanner.

    diameter: major diameter of the thread [m].
    torque: torque [N m]; None: a spanner 14 diameters long, pulled with 4 N per mm of diameter.
    Returns: load T / (0.2 D) [N].
    Raises OutOfRange: a diameter not above 0 or a negative torque.
    Source: T = K F D with K = 0.2 for dry metal: Machinery's Handbook. The usual pull is from
        memory.
    """
    require(diameter > 0, "diameter", "The diameter must be above 0.")
    if torque is None:
        torque = SPANNER_LENGTH * diameter * SPANNER_PULL * diameter
    require(torque >= 0, "torque", "The torque cannot be negative.")
    return torque / (NUT_FACTOR * diameter)
