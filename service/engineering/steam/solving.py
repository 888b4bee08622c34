"""One root finder, for functions known to rise through zero once between two known points."""

from collections.abc import Callable

from service.engineering.errors import NoSolution


def solve_rising(
    function: Callable[[float], float],
    low: float,
    *,
    high: float,
    tolerance: float = 1e-13,
) -> float:
    """The point between `low` and `high` where a rising function passes zero.

    Parameters
    ----------
    function : Callable[[float], float]
        A continuous function [-], not above 0 at `low` and not below 0 at `high`.
    low : float
        Lower end of the search [-].
    high : float
        Upper end of the search [-].
    tolerance : float
        Width of the answer as a part of `high` [-].

    Returns
    -------
    float
        The root [-], in the function's own unit.

    Raises
    ------
    NoSolution
        If the function does not pass zero between the ends.

    Source
    ------
    Anderson and Björck's form of regula falsi, BIT 13 (1973).
    """
    at_low, at_high = function(low), function(high)
    if at_low > 0 or at_high < 0:
        raise NoSolution("The equation has no root between the ends of the search.")
    if at_low == 0:
        return low
    return _close_in(function, (low, at_low), (high, at_high), tolerance * abs(high))


def _close_in(
    function: Callable[[float], float],
    kept: tuple[float, float],
    newest: tuple[float, float],
    width: float,
) -> float:
    (old, at_old), (new, at_new) = kept, newest
    for _ in range(200):
        if at_new == 0 or abs(new - old) <= width:
            return new
        point = new - at_new * (new - old) / (at_new - at_old)
        at_point = function(point)
        if abs(point - new) <= width:
            return point
        if (at_point < 0) != (at_new < 0):
            old, at_old = new, at_new
        else:
            shrink = 1.0 - at_point / at_new
            at_old *= shrink if shrink > 0 else 0.5
        new, at_new = point, at_point
    raise NoSolution("The search for a root did not settle.")
