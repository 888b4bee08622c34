"""Imperial units that rules of the trade are written in."""

INCH = 0.0254
"""One inch [m], exactly (ISO 80000-3)."""

POUND = 0.45359237
"""One pound [kg], exactly (ISO 80000-4)."""

POUND_PER_SQUARE_INCH = 6894.757293168361
"""One pound-force per square inch [Pa] (ISO 80000-4)."""
