"""One root finder, for functions known to rise through zero once between two known points."""

from collections.abc import Callable

from service.engineering.errors import NoSolution


def solve_rising(
    function: Callable[[float], float], low: float, *, high: float, tolerance: float = 1e-13
) -> float:
    """The point between `low` and `high` where a rising function passes zero.

    function: a continuous function, not above 0 at `low` and not below 0 at `high`.
    low: lower end of the search.
    high: upper end of the search.
    tolerance: width of the answer as a part of `high`.
    Returns: the root, in the function's own unit.
    Raises NoSolution: if the function does not pass zero between the ends.
    Source: Chandrupatla, Advances in Engineering Software 28 (1997), begun with a chord.
    """
    at_low, at_high = function(low), function(high)
    if at_low > 0 or at_high < 0:
        raise NoSolution("The equation has no root between the ends of the search.")
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    return _close_in(function, (low, at_low), (high, at_high), tolerance * abs(high))


def _close_in(
    function: Callable[[float], float],
    low: tuple[float, float],
    high: tuple[float, float],
    width: float,
) -> float:
    (new, at_new), (old, at_old) = low, high
    part = at_new / (at_new - at_old)
    for _ in range(200):
        point = new + part * (old - new)
        at_point = function(point)
        if (at_point < 0) == (at_new < 0):
            third, at_third = new, at_new
        else:
            third, at_third, old, at_old = old, at_old, new, at_new
        new, at_new = point, at_point
        best, at_best = (new, at_new) if abs(at_new) < abs(at_old) else (old, at_old)
        least = (width + 4e-16 * abs(best)) / abs(old - new) if old != new else 1.0
        if at_best == 0 or least > 0.5:
            return best
        part = _choose_part((new, at_new), (old, at_old), (third, at_third))
        part = min(max(part, least), 1.0 - least)
    raise NoSolution("The search for a root did not settle.")


def _choose_part(
    new: tuple[float, float], old: tuple[float, float], third: tuple[float, float]
) -> float:
    """Where to look next, from `new` to `old`: a parabola through all three if it is safe."""
    (a, fa), (b, fb), (c, fc) = new, old, third
    place, height = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if height * height >= place or (1 - height) ** 2 >= 1 - place:
        return 0.5
    return fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
