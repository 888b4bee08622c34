"""How findings write quantities for the bench: millimetres, bar, grams a minute."""

from math import gcd

from service.engineering.constants import INCH


def difference_text(difference: float) -> str:
    """A difference of pressures.

    Source: ISO 80000-4.
    """
    return f"{difference / 1e5:.2f} bar"


def length_text(length: float) -> str:
    """A length in millimetres, with the inch fraction where it is one to within 0.01 mm.

    Source: 1 in = 25.4 mm, exactly (ISO 80000-3).
    """
    text = f"{length * 1e3:.2f}".rstrip("0").rstrip(".") + " mm"
    sixty_fourths = round(length / INCH * 64)
    if sixty_fourths < 1 or abs(sixty_fourths * INCH / 64 - length) > 1e-5:
        return text
    return f"{text} ({_inch_text(sixty_fourths)} in)"


def flow_text(flow: float) -> str:
    """A mass flow in grams a minute.

    Source: 1 kg/s = 60 000 g/min.
    """
    grams = flow * 60e3
    return f"{grams:.0f} g/min" if grams >= 100 else f"{grams:.1f} g/min"


def _inch_text(sixty_fourths: int) -> str:
    whole, rest = divmod(sixty_fourths, 64)
    if not rest:
        return str(whole)
    shared = gcd(rest, 64)
    fraction = f"{rest // shared}/{64 // shared}"
    return f"{whole} {fraction}" if whole else fraction
