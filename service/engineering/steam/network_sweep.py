"""A network brought to rest by Newton's method.

Seen from the block a branch is a flow and a slope: one step is one sweep over the branches and two
linear equations, for the pressures of boiler and block.
"""

from math import exp, log, sqrt
from typing import NamedTuple

from service.engineering.steam.expansion import ExpandingSteam
from service.engineering.steam.network_tree import (
    BoilerSteam,
    Branch,
    Drawn,
    Network,
    Settled,
    State,
)
from service.engineering.steam.properties import LOWEST_PRESSURE
from service.engineering.steam.resistance import climb

CLOSE = 1e-6
"""Relative error of every equation after which one more stride settles a network [-]: a stride
leaves about a thousandth, so a few times 1e-9."""

PRODUCT_SLOPE = 0.06
"""Rise of ln(p v) of dry steam with ln p [-]; steers the solver only (IAPWS-IF97, 2 to 7 bar)."""

FEED_HEAT_SLOPE = 45e3
"""Rise of the heat of dry steam from feed water with ln p [J/kg]; steers the solver only."""

LATENT_HEAT_SLOPE = -115e3
"""Rise of latent heat with ln p [J/kg]; steers the solver only."""

CREEPING_PART = 2e-3
"""Part of its speed below which the solver lets an outlet come to a stand [-]."""

SMALL_STEP = 0.05
"""Step of an outlet, over its place, that needs no curb [-]."""

BEGINNINGS = 4
"""Steps of the first guess [-]."""

FIRST_DROP = 0.015
"""First guess at the drop of trunk and branch, as a logarithm [-]."""

LONGEST_STRIDE = 0.7
"""Most by which a logarithm of pressure moves in one step [-]."""


def settle_quickly(network: Network, state: State) -> Settled | None:
    """Bring a network to rest by Newton's method.

    Parameters
    ----------
    network : Network
        The network.
    state : State
        Where to start.

    Returns
    -------
    Settled | None
        Pressures and flows [SI]; None if it does not settle in 40 sweeps.

    Source
    ------
    Newton's method on mass balance, energy balance and pressure drops, see `network.settle`.
    """
    for count in range(1, 41):
        steam = _find_steam(network, state)
        sweep = _sweep_branches(network.branches, state, steam.expanding)
        balance = _weigh(network, state, steam, sweep)
        close = sweep.worst < CLOSE and balance.worst < CLOSE
        ease = 1.0 if close or count % 8 else 0.5  # so that no kink is circled for ever
        state = _stride(network, state, sweep, balance, ease)
        if close:
            return _report(network, state, heat_bound=balance.heat_bound, sweeps=count)
    return None


def begin(network: Network) -> State:
    """Where a network would settle if its passages cost next to nothing: a first guess.

    Parameters
    ----------
    network : Network
        The network.

    Returns
    -------
    State
        The guess, logarithms of absolute pressures in Pa [-].

    Source
    ------
    Boiler and outlets without passages, by Newton's method.
    """
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
        step = _curb(log(wanted / flow) * flow / gain)
        boiler = min(boiler + step, limit)
        if abs(step) < FIRST_DROP:
            break
    block = boiler - FIRST_DROP
    pressure = exp(block - FIRST_DROP)
    return State(boiler, block, [branch.curve.find_part(pressure) for branch in network.branches])


def resume(network: Network, start: Settled) -> State:
    """The answer of a network like it, as a first guess.

    Parameters
    ----------
    network : Network
        The network.
    start : Settled
        The other's answer, with the same outlets.

    Returns
    -------
    State
        The guess, logarithms of absolute pressures in Pa [-].

    Source
    ------
    The project's own way of saving sweeps.
    """
    boiler = log(min(start.boiler_pressure, network.pressure_limit))
    block = min(log(start.block_pressure), boiler)
    return State(boiler, block, [drawn.part for drawn in start.drawn])


def assess(network: Network, state: State) -> tuple[Settled, float]:
    """What a state says, and the largest relative error of any of its equations.

    Parameters
    ----------
    network : Network
        The network.
    state : State
        The state.

    Returns
    -------
    tuple[Settled, float]
        Pressures and flows [SI], and the error [-].

    Source
    ------
    As `settle_quickly`.
    """
    steam = _find_steam(network, state)
    sweep = _sweep_branches(network.branches, state, steam.expanding)
    balance = _weigh(network, state, steam, sweep)
    settled = _report(network, state, heat_bound=balance.heat_bound, sweeps=0)
    return settled, max(sweep.worst, balance.worst)


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


class _Balance(NamedTuple):
    """Errors of the two outer equations and the stride that mends them."""

    worst: float
    boiler: float
    block: float
    heat_bound: bool


def _sweep_branches(branches: tuple[Branch, ...], state: State, steam: ExpandingSteam) -> _Sweep:
    product, limit, viscosity = steam
    flow = gain = shift = drift = surge = surge_gain = surge_shift = surge_drift = worst = 0.0
    rows = []
    for (segments, pulsation, curve), part in zip(branches, state.parts, strict=True):
        pressure, taken, rise, slope, bulk = curve.at(part, product)
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
        flow, gain, shift, drift, surge, surge_gain, surge_shift, surge_drift, worst, rows
    )


def _weigh(network: Network, state: State, steam: BoilerSteam, sweep: _Sweep) -> _Balance:
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
    by_boiler = pull * (flow * sweep.drift + sweep.surge_drift) + 0.5 * PRODUCT_SLOPE * share - 1.0
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


def _stride(network: Network, state: State, sweep: _Sweep, balance: _Balance, ease: float) -> State:
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
        step = (block - state.block - ease * error - bend * boiler_step) / steep
        if abs(step) < SMALL_STEP * part:
            parts.append(part + step)
        else:
            parts.append(_move(part, step, branch.curve.find_part(pressure)))
    return State(boiler, block, parts)


def _move(part: float, step: float, most: float) -> float:
    if part <= 0.0 or (most <= 0.0 and part < CREEPING_PART):
        return most
    moved = max(part + step, part / 8)
    return min(moved, most) if most > 0.0 else moved


def _seek_knee(network: Network, state: State) -> tuple[float, float]:
    """The stride down to where the first of the held loads lets go."""
    block = exp(state.block)
    knees = [branch.curve.knee for branch in network.branches if branch.curve.knee < block]
    fall = log(max(knees) / block) - 1e-3 if knees else -LONGEST_STRIDE
    return fall, fall


def _curb(step: float) -> float:
    return min(max(step, -LONGEST_STRIDE), LONGEST_STRIDE)


def _find_steam(network: Network, state: State) -> BoilerSteam:
    pressure = exp(state.boiler)
    if pressure >= network.pressure_limit * (1.0 - 1e-14):
        return network.steam_at_limit
    return network.find_steam(pressure)


def _report(network: Network, state: State, *, heat_bound: bool, sweeps: int) -> Settled:
    steam = _find_steam(network, state)
    flow = surge = 0.0
    drawn = []
    for (_, pulsation, curve), part in zip(network.branches, state.parts, strict=True):
        pressure, taken, *_ = curve.at(part, steam.expanding.product)
        drawn.append(Drawn(pressure, taken, part))
        flow += taken
        surge += (pulsation - 1.0) * taken * taken
    return Settled(
        boiler_pressure=min(exp(state.boiler), network.pressure_limit),
        block_pressure=exp(state.block),
        flow=flow,
        effective_flow=sqrt(flow * flow + surge),
        heat=steam.heat,
        heat_bound=heat_bound,
        drawn=tuple(drawn),
        sweeps=sweeps,
    )
