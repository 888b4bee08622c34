"""Where a tree of steam passages settles: boiler, trunk, block, branches, and what draws on them.

The unknowns are the pressures of boiler and block and each outlet's place on its curve. Seen from
the block a branch is a flow and a slope, so one Newton step is one sweep over the branches and two
linear equations. Everything rises with pressure, so there is one answer; should Newton's method
circle, a search between bounds finds the same one more slowly.
"""

from math import exp, log, sqrt
from typing import NamedTuple

from service.engineering.errors import NoSolution
from service.engineering.saturation import LOWEST_PRESSURE
from service.engineering.saying import number, say
from service.engineering.saying import pressure as gauge
from service.engineering.steam.network.bracketing import LEAST_SLOPE, search
from service.engineering.steam.network.demand_curve import DemandCurve
from service.engineering.steam.network.network_tree import (
    BoilerSteam,
    Branch,
    Drawn,
    Network,
    Settled,
    State,
)
from service.engineering.steam.passages import climb, find_expanding_steam

CLOSE = 1e-6  # relative error of every equation from which the next stride may be the last
TOLERANCE = 1e-9  # relative error expected after the last stride
FEED_HEAT_SLOPE = 45e3  # rise of heat of steam from feed with ln p [J/kg]; steers the solver only
LATENT_HEAT_SLOPE = -115e3  # rise of latent heat with ln p [J/kg]; steers the solver only
JUST_ACROSS = 1e-9  # how far beyond the knee of its curve an outlet may step at once
ROUNDING = 4e-15  # error of a logarithm of pressure that is only its last figures
CREEPING_PART = 2e-3  # part of its speed below which the solver lets an outlet come to a stand
SMALL_STEP = 0.05  # step of an outlet, over its place, that needs no curb
BEGINNINGS = 4  # steps of the first guess
ROUGH_STEP = 0.06  # step of the first guess, as ln p, that need not be followed by another
FIRST_DROP = 0.015  # first guess at the drop of the trunk, and of each branch, as a logarithm
LONGEST_STRIDE = 0.7  # most by which a logarithm of pressure moves in one step

ACCEPTED = 1e-7  # relative error accepted when only the slower search gets that far
LOWEST = log(LOWEST_PRESSURE) + 1e-12  # lest it be less again when it is made a pressure
SWEEPS = 24  # sweeps after which Newton's method is taken to circle


def settle(network: Network, *, start: Settled | None = None) -> Settled:
    """Find the pressures and flows at which a network stays.

    Source: Mass balance at the block, energy balance of the boiler, isothermal (p v constant)
    flow with losses (textbook of gas dynamics); Newton's method, bounded as a second way.
    """
    state = begin(network) if start is None else resume(network, start)
    found = settle_quickly(network, state)
    if found is None:
        state = search(network, state)
        found = settle_quickly(network, state)
    if found is not None:
        return found
    settled, worst = assess(network, state)
    if worst > ACCEPTED:
        apart = say("its equations stay ", number(worst * 1e6), " millionths apart at ")
        boiler = say(gauge(exp(state.boiler)), " in the boiler. Give more heat or smaller holes.")
        raise NoSolution(say("The network did not settle: ", apart, *boiler), field="net_heat")
    return settled


def settle_quickly(network: Network, state: State) -> Settled | None:
    """Bring a network to rest by Newton's method."""
    before = 1e-3
    for count in range(1, SWEEPS + 1):
        steam = _find_steam(network, state)
        sweep = _sweep_branches(network.branches, state)
        balance = _weigh(network, state, steam, sweep)
        worst = max(sweep.worst, balance.worst)
        close = worst < CLOSE and worst * worst < TOLERANCE * before  # it falls as it last fell
        ease = 1.0 if close or count % 8 else 0.5  # so that no kink is circled for ever
        state = _stride(network, state, sweep, balance, ease)
        if close:
            return _report(network, state, heat_bound=balance.heat_bound, sweeps=count)
        before = worst
    return None


def begin(network: Network) -> State:
    """Where a network would settle if its passages cost little and all alike: a first guess.

    Source: Boiler and outlets without passages, by Newton's method.
    """
    limit = log(network.pressure_limit) - 2.0 * FIRST_DROP
    wanted = network.net_heat / network.steam_at_limit.heat
    outlet = limit
    for _ in range(BEGINNINGS):
        flow = gain = 0.0
        pressure = exp(outlet)
        for branch in network.branches:
            _, taken, rise, slope = branch.curve.at(branch.curve.find_part(pressure))
            flow += taken
            gain += slope / rise
        if not gain or (outlet == limit and flow <= wanted):
            break
        step = _curb(log(wanted / flow) * flow / gain)
        outlet = min(outlet + step, limit)
        if abs(step) < ROUGH_STEP:
            break
    pressure = exp(outlet)
    parts = [branch.curve.find_part(pressure) for branch in network.branches]
    return State(outlet + 2.0 * FIRST_DROP, outlet + FIRST_DROP, parts)


def resume(network: Network, start: Settled) -> State:
    """The answer of a network like it, as a first guess."""
    boiler = log(min(start.boiler_pressure, network.pressure_limit))
    block = min(log(start.block_pressure), boiler)
    return State(boiler, block, [drawn.part for drawn in start.drawn])


def assess(network: Network, state: State) -> tuple[Settled, float]:
    """What a state says, and the largest relative error of any of its equations."""
    steam = _find_steam(network, state)
    sweep = _sweep_branches(network.branches, state)
    balance = _weigh(network, state, steam, sweep)
    settled = _report(network, state, heat_bound=balance.heat_bound, sweeps=0)
    return settled, max(sweep.worst, balance.worst)


class _Sweep(NamedTuple):
    """All branches seen from the block: what they draw, and how that moves with its pressure.

    Brought to balance, d flow = gain d ln(block) - shift; half the surge moves likewise.
    """

    flow: float
    gain: float
    shift: float
    surge: float  # mean square of the pulses over and above the square of the mean flow
    surge_gain: float
    surge_shift: float
    worst: float
    rows: list[tuple[float, float]]  # error of each branch, and its slope along the outlet's curve


class _Balance(NamedTuple):
    """Errors of the two outer equations and the stride that mends them."""

    worst: float
    boiler: float
    block: float
    heat_bound: bool


def _sweep_branches(branches: tuple[Branch, ...], state: State) -> _Sweep:
    _, limit, viscosity = find_expanding_steam(exp(state.block))
    flow = gain = shift = surge = surge_gain = surge_shift = worst = 0.0
    rows = []
    for (segments, pulsation, curve), part in zip(branches, state.parts, strict=True):
        pressure, taken, steep, slope = curve.at(part)
        if taken > 0.0:
            effective = taken * sqrt(pulsation)
            pressure, share, friction = climb(
                segments, effective, limit=limit, viscosity=viscosity, outlet=pressure
            )
            steep = (share + friction) * slope / taken + (1.0 - share) * steep
        error = _find_error(log(pressure), state.block)
        steep = max(steep, LEAST_SLOPE)
        rows.append((error, steep))
        pull = slope / steep
        excess = (pulsation - 1.0) * taken
        flow += taken
        gain += pull
        shift += pull * error
        surge += excess * taken
        surge_gain += excess * pull
        surge_shift += excess * pull * error
        worst = max(worst, abs(error))
    return _Sweep(flow, gain, shift, surge, surge_gain, surge_shift, worst, rows)


def _weigh(network: Network, state: State, steam: BoilerSteam, sweep: _Sweep) -> _Balance:
    """The trunk's and the boiler's equation, and the stride in both pressures that mends them."""
    flow, gain, shift, surge, surge_gain, surge_shift, _, _ = sweep
    _, limit, viscosity = steam.expanding
    square = flow * flow + surge
    inlet, share, friction = climb(
        network.trunk, sqrt(square), limit=limit, viscosity=viscosity, outlet=exp(state.block)
    )
    error = _find_error(log(inlet), state.boiler)
    pull = (share + friction) / square if square else 0.0
    by_block = pull * (flow * gain + surge_gain) + 1.0 - share
    wanted = pull * (flow * shift + surge_shift) - error
    room = log(network.pressure_limit) - state.boiler
    short = flow * steam.heat / network.net_heat - 1.0
    slope = LATENT_HEAT_SLOPE if network.feed_enthalpy is None else FEED_HEAT_SLOPE
    whole = by_block * flow * slope + gain * steam.heat
    if whole > 0.0:
        missing = shift * steam.heat - short * network.net_heat
        boiler = (by_block * missing - gain * steam.heat * wanted) / whole
        if not gain:
            boiler = max(boiler, _find_fall(network, state))
        if boiler < room:
            block = (wanted * flow * slope + missing) / whole
            return _Balance(max(abs(error), abs(short)), boiler, block, True)
    elif short > 0.0:
        fall = _find_fall(network, state)
        return _Balance(short, fall, fall, True)
    block = (wanted + room) / max(by_block, LEAST_SLOPE)
    return _Balance(max(abs(error), abs(room)), room, block, False)


def _stride(network: Network, state: State, sweep: _Sweep, balance: _Balance, ease: float) -> State:
    """The next state: the step Newton asks for, kept within what the curves allow."""
    boiler_step, block_step = ease * _curb(balance.boiler), ease * _curb(balance.block)
    boiler = min(state.boiler + boiler_step, log(network.pressure_limit))
    boiler = max(boiler, LOWEST)
    block = state.block + block_step
    if not LOWEST <= block <= boiler:
        block = min(max(block, LOWEST), boiler)
        block_step = block - state.block
    pressure = exp(block + ROUNDING)
    parts = []
    for branch, part, (error, steep) in zip(network.branches, state.parts, sweep.rows, strict=True):
        step = (block_step - ease * error) / steep
        if abs(step) < SMALL_STEP * part:
            parts.append(part + step)
        else:
            parts.append(_move(branch.curve, part, step=step, pressure=pressure))
    return State(boiler, block, parts)


def _move(curve: DemandCurve, part: float, *, step: float, pressure: float) -> float:
    """The next place of an outlet: on the curve, and no further than just across its knee."""
    most = curve.find_part(pressure)
    if part <= 0.0 or (most <= 0.0 and part < CREEPING_PART):
        return most
    moved = max(part + step, part / 8)
    if most > 0.0:
        moved = min(moved, most)
    top = curve.top
    if part <= top < moved:
        return min(moved, top + JUST_ACROSS)
    return top - JUST_ACROSS if moved < top < part else moved


def _find_fall(network: Network, state: State) -> float:
    """The stride down to where the first of the held loads lets go."""
    block = exp(state.block)
    knees = [branch.curve.knee for branch in network.branches if branch.curve.knee < block]
    return log(max(knees) / block) - 1e-3 if knees else -LONGEST_STRIDE


def _find_error(reached: float, wanted: float) -> float:
    """The gap of two logarithms; their last figures would swamp an outlet that hardly draws."""
    error = reached - wanted
    return error if abs(error) > ROUNDING else 0.0


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
        pressure, taken, *_ = curve.at(part)
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
