"""Stress in the wall of a tube under pressure from inside."""

LAME = "Lame, thick cylinder; indicative"


def hoop_stress(pressure: float, radius: float, *, wall: float) -> float:
    """Hoop stress at the inside of a thick tube, where it is greatest.

    pressure: inside, above that outside [Pa].
    radius: of the inside [m].
    wall: its thickness [m], above 0.
    Returns: [Pa].
    Source: Lame's thick cylinder, any textbook of strength of materials.
    """
    outside = radius + wall
    return pressure * (outside**2 + radius**2) / (outside**2 - radius**2)
