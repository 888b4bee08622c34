"""Where a tree of steam passages settles: boiler, trunk, block, branches, and what draws on them.

The unknowns are the pressures of boiler and block and each outlet's place on its curve. Seen from
the block a branch is a flow and a slope, so one Newton step is one sweep over the branches and two
linear equations. Everything rises with pressure, so there is one answer; should Newton not settle,
nested bracketed searches find the same one more slowly.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import exp, log, sqrt
from typing import NamedTuple

from service.engineering.errors import NoSolution
from service.engineering.steam.demand_curve import DemandCurve
from service.engineering.steam.expansion import ExpandingSteam, find_expanding_steam
from service.engineering.steam.properties import (
    LOWEST_PRESSURE,
    saturation,
    vapour_enthalpy,
)
from service.engineering.steam.resistance import Resistance, climb

TOLERANCE = 1e-9
"""Relative error of every equation at which a network counts as settled [-]."""

PRODUCT_SLOPE = 0.06
"""Rise of ln(p v) of dry steam with ln p [-]; steers the solver only (IAPWS-IF97, 2 to 7 bar)."""

FEED_HEAT_SLOPE = 45e3
"""Rise of the heat of dry steam from feed water with ln p [J/kg]; steers the solver only."""

LATENT_HEAT_SLOPE = -115e3
"""Rise of latent heat with ln p [J/kg]; steers the solver only."""

CREEPING_PART = 2e-3
"""Part of its speed below which the solver lets an outlet come to a stand [-]."""

ROUNDS = 40
"""Times the slower search renews the steam's p v [-]; each leaves about a twentieth of
the error."""

HALVINGS = 50
"""Halvings of each search [-]."""

BEGINNINGS = 4
"""Steps of the first guess [-]."""

FIRST_DROP = 0.015
"""First guess at the drop of trunk and branch, as a logarithm [-]."""

LONGEST_STRIDE = 0.7
"""Most by which a logarithm of pressure moves in one step [-]."""


class Branch(NamedTuple):
    """One way from the block to one outlet."""

    segments: Resistance
    pulsation: float
    """Mean square over square of mean flow [-], from 1."""
    curve: DemandCurve


class BoilerSteam(NamedTuple):
    """Steam as it leaves the boiler at one pressure."""

    expanding: ExpandingSteam
    heat: float
    """Heat that makes one kilogram of it [J/kg]."""


class Drawn(NamedTuple):
    """What one outlet settles to."""

    pressure: float
    """Absolute pressure at the outlet [Pa]."""
    flow: float
    """Mass flow [kg/s]."""
    part: float
    """Place on its curve: part of its wanted speed, 0 or less when it stands [-]."""


class Settled(NamedTuple):
    """Where a network settles."""

    boiler_pressure: float
    """Absolute pressure in the boiler [Pa]."""
    block_pressure: float
    """Absolute pressure in the block [Pa]."""
    flow: float
    """Steam leaving the boiler, the sum of what is drawn [kg/s]."""
    heat: float
    """Heat that makes one kilogram of it [J/kg]."""
    heat_bound: bool
    """Whether heat is short, so that the boiler stays below its limit."""
    drawn: tuple[Drawn, ...]
    """One an outlet, in the order of the branches."""
    sweeps: int
    """Newton sweeps it took [-]; 0 when the slower search was called."""


@dataclass(frozen=True)
class Network:
    """A tree of passages with its boiler; a closed branch is simply left out."""

    trunk: Resistance
    branches: tuple[Branch, ...]
    net_heat: float
    """Heat into the water [W], above 0."""
    feed_enthalpy: float | None
    """Enthalpy of the feed [J/kg]; None while no feed pump runs."""
    pressure_limit: float
    """Absolute pressure at which burner or safety valve holds the boiler [Pa]."""

    @cached_property
    def steam_at_limit(self) -> BoilerSteam:
        """The steam at the pressure limit."""
        return self.find_steam(self.pressure_limit)

    def find_steam(self, pressure: float) -> BoilerSteam:
        """The steam the boiler gives at an absolute pressure [Pa]."""
        expanding = find_expanding_steam(pressure)
        if self.feed_enthalpy is None:
            return BoilerSteam(expanding, saturation(pressure).latent_heat)
        return BoilerSteam(expanding, vapour_enthalpy(pressure) - self.feed_enthalpy)


def settle(network: Network, *, start: Settled | None = None) -> Settled:
    """Find the pressures and flows at which a network stays.

    Parameters
    ----------
    network : Network
        The network.
    start : Settled | None
        An answer of a network like it, to start from.

    Returns
    -------
    Settled
        Pressures and flows [SI].

    Raises
    ------
    NoSolution
        If neither search settles; the message says how far off it stayed.

    Source
    ------
    Mass balance at the block, energy balance of the boiler, isothermal (p v constant) flow with
    losses (textbook of gas dynamics); Newton's method, bracketed search as a second way.
    """
    state = _begin(network) if start is None else _resume(network, start)
    found = _settle_quickly(network, state)
    if found is not None:
        return found
    state = _search(network)
    return _settle_quickly(network, state) or _accept(network, state)


class _State(NamedTuple):
    """Logarithms of boiler and block pressure, and each outlet's place."""

    boiler: float
    block: float
    parts: list[float]


class _Sweep(NamedTuple):
    """All branches seen from the block: what they draw, and how that moves with both pressures.

    d flow = gain d ln(block) - shift + drift d ln(boiler), when every branch is brought to balance;
    the surge terms are the same for the mean square of the pulses over and above the mean.
    """

    flow: float
    gain: float
    shift: float
    drift: float
    surge: float
    surge_gain: float
    surge_shift: float
    surge_drift: float
    worst: float
    rows: list[tuple[float, float, float]]
    drawn: list[Drawn]


class _Balance(NamedTuple):
    """Errors of the two outer equations and the stride that mends them."""

    worst: float
    boiler: float
    block: float
    heat_bound: bool


def _settle_quickly(network: Network, state: _State) -> Settled | None:
    limit = log(network.pressure_limit)
    for count in range(1, 41):
        at_limit = state.boiler >= limit
        steam = (
            network.steam_at_limit if at_limit else network.find_steam(exp(state.boiler))
        )
        sweep = _sweep_branches(network.branches, state, steam.expanding)
        balance = _weigh(network, state, steam, sweep)
        if sweep.worst < TOLERANCE and balance.worst < TOLERANCE:
            return _report(state, steam, sweep, heat_bound=balance.heat_bound, sweeps=count)
        ease = 1.0 if count % 8 else 0.5  # so that no kink is circled for ever
        state = _stride(network, state, sweep, balance, ease)
    return None


def _sweep_branches(
    branches: tuple[Branch, ...], state: _State, steam: ExpandingSteam
) -> _Sweep:
    product, limit, viscosity = steam
    flow = gain = shift = drift = surge = surge_gain = surge_shift = surge_drift = worst = 0.0
    rows, drawn = [], []
    for (segments, pulsation, curve), part in zip(branches, state.parts, strict=True):
        pressure, taken, rise, slope, bulk = curve.at(part, product)
        drawn.append(Drawn(pressure, taken, part))
        if taken <= 0.0:
            error, bend = log(pressure) - state.block, 0.0
            steep = rise
        else:
            inlet, share, friction = climb(
                segments, taken * sqrt(pulsation), limit=limit, viscosity=viscosity, outlet=pressure
            )
            error = log(inlet) - state.block
            steep = (share + friction) * slope / taken + (1.0 - share) * rise
            bend = PRODUCT_SLOPE * (0.5 * share - (share + friction) * bulk / taken)
        steep = steep if steep > 1e-9 else 1e-9
        rows.append((error, steep, bend))
        pull = slope / steep
        lag = pull * error
        fall = -pull * bend - PRODUCT_SLOPE * bulk
        excess = (pulsation - 1.0) * taken
        flow += taken
        gain += pull
        shift += lag
        drift += fall
        surge += excess * taken
        surge_gain += excess * pull
        surge_shift += excess * lag
        surge_drift += excess * fall
        worst = max(worst, abs(error))
    return _Sweep(
        flow, gain, shift, drift, surge, surge_gain, surge_shift, surge_drift, worst, rows, drawn
    )


def _weigh(network: Network, state: _State, steam: BoilerSteam, sweep: _Sweep) -> _Balance:
    """The trunk's and the boiler's equation, and the stride in both pressures that mends them."""
    flow = sweep.flow
    square = flow * flow + sweep.surge
    _, limit, viscosity = steam.expanding
    inlet, share, friction = climb(
        network.trunk, sqrt(square), limit=limit, viscosity=viscosity, outlet=exp(state.block)
    )
    error = log(inlet) - state.boiler
    pull = (share + friction) / square if square else 0.0
    by_block = pull * (flow * sweep.gain + sweep.surge_gain) + 1.0 - share
    by_boiler = (
        pull * (flow * sweep.drift + sweep.surge_drift) + 0.5 * PRODUCT_SLOPE * share - 1.0
    )
    wanted = pull * (flow * sweep.shift + sweep.surge_shift) - error
    room = log(network.pressure_limit) - state.boiler
    short = flow * steam.heat / network.net_heat - 1.0
    if short > 0.0 and not sweep.gain:
        return _Balance(short, *_seek_knee(network, state), True)
    if sweep.gain:
        slope = FEED_HEAT_SLOPE if network.feed_enthalpy is not None else LATENT_HEAT_SLOPE
        scale = steam.heat / network.net_heat
        heat_by_block = scale * sweep.gain
        heat_by_boiler = scale * sweep.drift + flow * slope / network.net_heat
        heat_wanted = scale * sweep.shift - short
        whole = by_block * heat_by_boiler - by_boiler * heat_by_block
        boiler = (by_block * heat_wanted - heat_by_block * wanted) / whole
        if boiler < room:
            block = (wanted * heat_by_boiler - by_boiler * heat_wanted) / whole
            return _Balance(max(abs(error), abs(short)), boiler, block, True)
    block = (wanted - by_boiler * room) / max(by_block, 1e-12)
    return _Balance(max(abs(error), abs(room)), room, block, False)


def _stride(network: Network, state: _State, sweep: _Sweep, balance: _Balance, ease: float) -> _State:
    """The next state: the step Newton asks for, kept within what the curves allow."""
    boiler_step, block_step = ease * _curb(balance.boiler), ease * _curb(balance.block)
    boiler = min(state.boiler + boiler_step, log(network.pressure_limit))
    boiler = max(boiler, log(LOWEST_PRESSURE))
    block = min(state.block + block_step, boiler)
    pressure = exp(block)
    parts = []
    for branch, part, (error, steep, bend) in zip(
        network.branches, state.parts, sweep.rows, strict=True
    ):
        most = branch.curve.find_part(pressure)
        step = (block - state.block - ease * error - bend * boiler_step) / steep
        parts.append(_move(part, step, most))
    return _State(boiler, block, parts)


def _move(part: float, step: float, most: float) -> float:
    if part <= 0.0 or (most <= 0.0 and part < CREEPING_PART):
        return most
    moved = max(part + step, part / 8)
    return min(moved, most) if most > 0.0 else moved


def _seek_knee(network: Network, state: _State) -> tuple[float, float]:
    """The stride down to where the first of the held loads lets go."""
    block = exp(state.block)
    knees = [branch.curve.knee for branch in network.branches if branch.curve.knee < block]
    fall = log(max(knees) / block) - 1e-3 if knees else -LONGEST_STRIDE
    return fall, fall


def _curb(step: float) -> float:
    return min(max(step, -LONGEST_STRIDE), LONGEST_STRIDE)


def _begin(network: Network) -> _State:
    """Where the network would settle if its passages cost next to nothing."""
    limit = log(network.pressure_limit)
    product = network.steam_at_limit.expanding.product
    wanted = network.net_heat / network.steam_at_limit.heat
    boiler = limit
    for _ in range(BEGINNINGS):
        flow = gain = 0.0
        for branch in network.branches:
            part = branch.curve.find_part(exp(boiler))
            _, taken, rise, slope, _ = branch.curve.at(part, product)
            flow += taken
            gain += slope / rise
        if not gain or (boiler == limit and flow <= wanted):
            break
        boiler = min(boiler + _curb(log(wanted / flow) * flow / gain), limit)
    block = boiler - FIRST_DROP
    pressure = exp(block - FIRST_DROP)
    return _State(boiler, block, [branch.curve.find_part(pressure) for branch in network.branches])


def _resume(network: Network, start: Settled) -> _State:
    boiler = log(min(start.boiler_pressure, network.pressure_limit))
    block = min(log(start.block_pressure), boiler)
    return _State(boiler, block, [drawn.part for drawn in start.drawn])


def _report(
    state: _State, steam: BoilerSteam, sweep: _Sweep, *, heat_bound: bool, sweeps: int
) -> Settled:
    return Settled(
        boiler_pressure=exp(state.boiler),
        block_pressure=exp(state.block),
        flow=sweep.flow,
        heat=steam.heat,
        heat_bound=heat_bound,
        drawn=tuple(sweep.drawn),
        sweeps=sweeps,
    )


# The slower way: the block pressure halved in on, within it each outlet, round p v.


def _search(network: Network) -> _State:
    """A state as near as halving brings it, for a network on which Newton circles."""
    boiler_pressure, block, parts = network.pressure_limit, 0.0, []
    for _ in range(ROUNDS):
        steam = network.find_steam(boiler_pressure)

        def too_high(pressure: float, steam: BoilerSteam = steam) -> bool:
            flow, inlet = _draw(network, steam, _search_parts(network, pressure, steam), pressure)
            return inlet > network.pressure_limit or flow * steam.heat > network.net_heat

        block = _halve(too_high, LOWEST_PRESSURE, high=network.pressure_limit)
        parts = _search_parts(network, block, steam)
        before = boiler_pressure
        boiler_pressure = min(_draw(network, steam, parts, block)[1], network.pressure_limit)
        if abs(boiler_pressure - before) < 1e-13 * before:
            break
    return _State(log(boiler_pressure), log(block), parts)


def _search_parts(network: Network, pressure: float, steam: BoilerSteam) -> list[float]:
    return [_search_part(branch, pressure, steam.expanding) for branch in network.branches]


def _search_part(branch: Branch, pressure: float, steam: ExpandingSteam) -> float:
    most = branch.curve.find_part(pressure)
    if most <= 0.0:
        return most

    def too_high(part: float) -> bool:
        outlet, taken, *_ = branch.curve.at(part, steam.product)
        return _climb(branch.segments, taken * sqrt(branch.pulsation), steam, outlet) > pressure

    return _halve(too_high, 0.0, high=most)


def _draw(
    network: Network, steam: BoilerSteam, parts: list[float], pressure: float
) -> tuple[float, float]:
    """Flow of all branches together, and the boiler pressure that drives it through the trunk."""
    flow = surge = 0.0
    for branch, part in zip(network.branches, parts, strict=True):
        taken = branch.curve.at(part, steam.expanding.product)[1]
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


def _accept(network: Network, state: _State) -> Settled:
    steam = network.find_steam(exp(state.boiler))
    sweep = _sweep_branches(network.branches, state, steam.expanding)
    balance = _weigh(network, state, steam, sweep)
    worst = max(sweep.worst, balance.worst)
    if worst > TOLERANCE:
        raise NoSolution(
            "The network did not settle: its equations stay"
            f" {worst:.1e} apart at {exp(state.boiler) / 1e5:.2f} bar absolute in the boiler."
        )
    return _report(state, steam, sweep, heat_bound=balance.heat_bound, sweeps=0)
