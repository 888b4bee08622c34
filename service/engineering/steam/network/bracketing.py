"""Where a network settles, found for certain: every unknown is held between two bounds.

Newton's method on all unknowns at once is quicker, but may circle where loads let go or steam
hardly flows. Here the pressure at the block is the one unknown. At each, every branch settles by
itself, and the trunk's equation and the fire's rise with it; so a step that leaves the bounds, or
does not close in, is replaced by a halving. What is found is near enough for Newton to end on.
"""

from collections.abc import Callable
from functools import partial
from math import exp, log, sqrt
from typing import NamedTuple

from service.engineering.steam.network.network_tree import BoilerSteam, Branch, Network, State
from service.engineering.steam.passages import ExpandingSteam, climb, find_expanding_steam

LEAST_SLOPE = 1e-12  # slope taken for one that vanishes
MOST_STEPS = 100  # of one search; halving alone would need about fifty
NEAR_ENOUGH = 1e-14  # step, over the unknown, after which a search of the block ends
SMALL_ERROR = 1e-9  # error above which a small step only tells of a leap
SETTLED = 1e-11  # the same for a branch, and relative change of the boiler's pressure
ROUNDS = 20  # times the boiler's own steam is renewed; each leaves a twentieth of the error
COARSE = 16.0  # upper over lower bound from which halving goes by ratio

Rising = Callable[[float], tuple[float, float]]
"""A function that rises through nought once, and its slope."""


class Drawing(NamedTuple):
    """What all branches draw together from one pressure at the block."""

    pressure: float  # absolute pressure at the block [Pa]
    parts: list[float]
    flow: float  # [kg/s]
    gain: float  # slope of the flow along ln p
    surge: float  # mean square of the pulses over and above the square of the mean flow
    surge_gain: float


def search(network: Network, state: State) -> State:
    """Bring a network near to rest, from any state.

    Source: Mass balance at the block, energy balance of the boiler, isothermal (p v constant)
    flow with losses (textbook of gas dynamics); Newton's method kept between bounds.
    """
    limit = network.pressure_limit
    start = min((branch.curve.at(0.0)[0] for branch in network.branches), default=limit)
    if start >= limit:
        return _stand_still(network, limit)
    rest = _Rest(network, start, list(state.parts))
    guess = sqrt(max(exp(state.block) / start - 1.0, 0.0))
    bounds = _close_in(rest.weigh, high=sqrt(limit / start - 1.0), near=NEAR_ENOUGH, guess=guess)
    return rest.describe(*bounds)


def _stand_still(network: Network, pressure: float) -> State:
    """Nothing draws: one pressure stands everywhere."""
    parts = [branch.curve.find_part(pressure) for branch in network.branches]
    return State(log(pressure), log(pressure), parts)


class _Rest:
    """A network at any pressure of its block: start (1 + place²), so that flow begins evenly."""

    def __init__(self, network: Network, start: float, parts: list[float]) -> None:
        self.network, self.start = network, start
        self.last = Drawing(start, parts, 0.0, 0.0, 0.0, 0.0)
        self.below, self.above = self.last, self.last

    def weigh(self, place: float) -> tuple[float, float]:
        """By how much either the boiler's limit or its fire is exceeded, and the slope of that.

        Both rise with the pressure at the block, so where the first of them is met all is at rest.
        """
        self.last = drawn = self._draw(place)
        widen = 2.0 * place / (1.0 + place * place)  # slope of ln p along the place
        error, slope = self._judge(drawn)
        if error > 0.0:
            self.above = drawn
        else:
            self.below = drawn
        return error, slope * widen

    def describe(self, low: float, high: float) -> State:
        """The state of the network between two places next to each other.

        A wide hole on a small fire opens between two numbers for the pressure; what it draws then
        lies between what it draws at either.
        """
        drawn = self._draw(high) if low == high else self._mix()
        boiler, _ = self._find_boiler(drawn)
        return State(log(boiler), log(drawn.pressure), drawn.parts)

    def _mix(self) -> Drawing:
        mix = partial(_mix, self.network.branches, self.below, self.above)

        def weigh(share: float) -> tuple[float, float]:
            return self._judge(mix(share))[0], 0.0

        share, _ = _close_in(weigh, high=1.0, near=NEAR_ENOUGH, guess=1.0)
        return mix(share)

    def _judge(self, drawn: Drawing) -> tuple[float, float]:
        """As `weigh`, along ln p of the block."""
        network = self.network
        inlet, slope = self._reach(drawn, network.steam_at_limit)
        over = log(inlet / network.pressure_limit)
        heat = self._find_boiler(drawn)[1].heat / network.net_heat
        short = drawn.flow * heat - 1.0
        return (over, slope) if over > short else (short, drawn.gain * heat)

    def _draw(self, place: float) -> Drawing:
        pressure = min(self.start * (1.0 + place * place), self.network.pressure_limit)
        return _draw(self.network.branches, pressure, self.last.parts)

    def _reach(self, drawn: Drawing, steam: BoilerSteam) -> tuple[float, float]:
        """Pressure before the trunk, and the slope of its ln along that of the block."""
        square = drawn.flow * drawn.flow + drawn.surge
        inlet, share, friction = _climb_trunk(self.network, steam, drawn)
        pull = (share + friction) / square if square else 0.0
        return inlet, pull * (drawn.flow * drawn.gain + drawn.surge_gain) + 1.0 - share

    def _find_boiler(self, drawn: Drawing) -> tuple[float, BoilerSteam]:
        """The boiler's pressure, at most its limit, and its steam, which has a say in it."""
        network, steam = self.network, self.network.steam_at_limit
        boiler = network.pressure_limit
        for _ in range(ROUNDS):
            before, inlet = boiler, _climb_trunk(network, steam, drawn)[0]
            if inlet >= network.pressure_limit:
                return network.pressure_limit, network.steam_at_limit
            boiler, steam = inlet, network.find_steam(inlet)
            if abs(boiler - before) <= SETTLED * before:
                break
        return boiler, steam


def _climb_trunk(
    network: Network, steam: BoilerSteam, drawn: Drawing
) -> tuple[float, float, float]:
    _, limit, viscosity = steam.expanding
    flow = sqrt(drawn.flow * drawn.flow + drawn.surge)
    return climb(network.trunk, flow, limit=limit, viscosity=viscosity, outlet=drawn.pressure)


def _draw(branches: tuple[Branch, ...], pressure: float, guesses: list[float]) -> Drawing:
    steam = find_expanding_steam(pressure)
    flow = gain = surge = surge_gain = 0.0
    parts = []
    for branch, guess in zip(branches, guesses, strict=True):
        part, taken, pull = _settle_branch(branch, pressure, steam, guess)
        excess = (branch.pulsation - 1.0) * taken
        parts.append(part)
        flow += taken
        gain += pull
        surge += excess * taken
        surge_gain += excess * pull
    return Drawing(pressure, parts, flow, gain, surge, surge_gain)


def _mix(branches: tuple[Branch, ...], below: Drawing, above: Drawing, share: float) -> Drawing:
    """What is drawn between two pressures that are all but the same; the slopes are not known."""
    parts = [
        max(low, 0.0) + share * (high - max(low, 0.0)) if high > 0.0 else high
        for low, high in zip(below.parts, above.parts, strict=True)
    ]
    flow = surge = 0.0
    for branch, part in zip(branches, parts, strict=True):
        taken = branch.curve.at(part)[1]
        flow += taken
        surge += (branch.pulsation - 1.0) * taken * taken
    return Drawing(above.pressure, parts, flow, 0.0, surge, 0.0)


def _settle_branch(
    branch: Branch, pressure: float, steam: ExpandingSteam, guess: float
) -> tuple[float, float, float]:
    """The place of one outlet, its flow, and the slope of its flow along ln p of the block."""
    most = branch.curve.find_part(pressure)
    if most <= 0.0:
        return most, 0.0, 0.0
    wanted, swell = log(pressure), sqrt(branch.pulsation)
    taken = pull = 0.0

    def weigh(part: float) -> tuple[float, float]:
        nonlocal taken, pull
        outlet, taken, steep, slope = branch.curve.at(part)
        inlet, share, friction = climb(
            branch.segments,
            taken * swell,
            limit=steam.limit,
            viscosity=steam.viscosity,
            outlet=outlet,
        )
        if taken > 0.0:
            steep = (share + friction) * slope / taken + (1.0 - share) * steep
        steep = max(steep, LEAST_SLOPE)
        pull = slope / steep
        return log(inlet) - wanted, steep

    _, part = _close_in(weigh, high=most, near=SETTLED, guess=guess)
    return part, taken, pull


def _close_in(rising: Rising, *, high: float, near: float, guess: float) -> tuple[float, float]:
    """Where a rising function passes nought, from 0 to `high`: Newton's method between bounds.

    One place twice, or the two numbers next to each other between which it leaps.
    """
    low, place, stride = 0.0, guess if 0.0 < guess < high else high, high
    is_top_tried = False
    for _ in range(MOST_STEPS):
        error, slope = rising(place)
        is_top_tried |= place == high
        low, high = (low, place) if error > 0.0 else (place, high)
        step = -error / slope if slope > 0.0 else high
        moved = place + step
        if abs(step) <= near * place and abs(error) <= SMALL_ERROR:
            moved = min(max(moved, low), high)
            return moved, moved
        if moved >= high and not is_top_tried:
            place, stride = high, high
            continue
        if not low < moved < high or abs(step) > 0.5 * stride or moved == place:
            moved = _part_bounds(low, high)
        if moved in (low, high):
            break
        stride, place = abs(moved - place), moved
    return low, high


def _part_bounds(low: float, high: float) -> float:
    """A place between two bounds: half way, or by ratio where they lie far apart."""
    if low <= 0.0:
        return high / COARSE
    return sqrt(low * high) if high > COARSE * low else 0.5 * (low + high)
