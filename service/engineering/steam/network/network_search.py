"""A network brought to rest without slopes: halving, for those on which Newton's method circles."""

from collections.abc import Callable
from math import exp, inf, log, sqrt

from service.engineering.saturation import LOWEST_PRESSURE
from service.engineering.steam.network.network_tree import BoilerSteam, Branch, Network, State
from service.engineering.steam.passages import (
    ExpandingSteam,
    Resistance,
    climb,
    find_expanding_steam,
)

ROUNDS = 40
"""Times the slower search renews the steam's p v; each leaves about a twentieth of
the error."""

HALVINGS = 50  # halvings of each search


def search(network: Network) -> State:
    """Bring a network as near to rest as halving does: the block pressure, within it each outlet.

    Source: Bisection: every function of the tree rises with the pressure in the block.
    """
    held, short = _search_at(network, network.pressure_limit, inf)
    if not short:
        return held
    boiler_pressure = network.pressure_limit
    for _ in range(ROUNDS):
        state, _ = _search_at(network, boiler_pressure, network.net_heat)
        before, boiler_pressure = boiler_pressure, exp(state.boiler)
        if abs(boiler_pressure - before) < 1e-13 * before:
            break
    return state


def _search_at(network: Network, estimate: float, net_heat: float) -> tuple[State, bool]:
    """The state for steam as at an estimated boiler pressure, and whether its heat is short."""
    steam = network.find_steam(estimate)

    def too_high(pressure: float) -> bool:
        parts = _search_parts(network, pressure)
        flow, inlet = _draw(network, steam, parts, pressure)
        if inlet > network.pressure_limit:
            return True
        return inlet > LOWEST_PRESSURE and flow * network.find_steam(inlet).heat > net_heat

    block = _halve(too_high, LOWEST_PRESSURE, high=network.pressure_limit)
    parts = _search_parts(network, block)
    flow, inlet = _draw(network, steam, parts, block)
    state = State(log(min(inlet, network.pressure_limit)), log(block), parts)
    return state, flow * steam.heat > network.net_heat


def _search_parts(network: Network, pressure: float) -> list[float]:
    steam = find_expanding_steam(pressure)
    return [_search_part(branch, pressure, steam) for branch in network.branches]


def _search_part(branch: Branch, pressure: float, steam: ExpandingSteam) -> float:
    most = branch.curve.find_part(pressure)
    if most <= 0.0:
        return most

    def too_high(part: float) -> bool:
        outlet, taken, *_ = branch.curve.at(part)
        return _climb(branch.segments, taken * sqrt(branch.pulsation), steam, outlet) > pressure

    return _halve(too_high, 0.0, high=most)


def _draw(
    network: Network, steam: BoilerSteam, parts: list[float], pressure: float
) -> tuple[float, float]:
    """Flow of all branches together, and the boiler pressure that drives it through the trunk."""
    flow = surge = 0.0
    for branch, part in zip(network.branches, parts, strict=True):
        taken = branch.curve.at(part)[1]
        flow += taken
        surge += (branch.pulsation - 1.0) * taken * taken
    return flow, _climb(network.trunk, sqrt(flow * flow + surge), steam.expanding, pressure)


def _halve(too_high: Callable[[float], bool], low: float, *, high: float) -> float:
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if too_high(middle):
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def _climb(segments: Resistance, flow: float, steam: ExpandingSteam, outlet: float) -> float:
    return climb(segments, flow, limit=steam.limit, viscosity=steam.viscosity, outlet=outlet)[0]
