"""Where a tree of steam passages settles: boiler, trunk, block, branches, and what draws on them.

The unknowns are the pressures of boiler and block and each outlet's place on its curve. Seen from
the block a branch is a flow and a slope, so one Newton step is one sweep over the branches and two
linear equations. Everything rises with pressure, so there is one answer; should Newton's method not
settle, halving finds the same one more slowly.
"""

from math import exp

from service.engineering.errors import NoSolution
from service.engineering.saying import number, say
from service.engineering.saying import pressure as gauge
from service.engineering.steam.network.network_search import search
from service.engineering.steam.network.network_sweep import assess, begin, resume, settle_quickly
from service.engineering.steam.network.network_tree import Network, Settled, State

ACCEPTED = 1e-7  # relative error accepted when only the slower search gets that far


def settle(network: Network, *, start: Settled | None = None) -> Settled:
    """Find the pressures and flows at which a network stays.

    Source: Mass balance at the block, energy balance of the boiler, isothermal (p v constant)
    flow with losses (textbook of gas dynamics); Newton's method, bisection as a second way.
    """
    state = begin(network) if start is None else resume(network, start)
    found = settle_quickly(network, state)
    if found is not None:
        return found
    state = search(network)
    return settle_quickly(network, state) or _accept(network, state)


def _accept(network: Network, state: State) -> Settled:
    settled, worst = assess(network, state)
    if worst > ACCEPTED:
        raise NoSolution(
            say(
                ("The network did not settle: its equations stay ", number(worst * 1e6)),
                (" millionths apart at ", gauge(exp(state.boiler)), " in the boiler."),
            )
        )
    return settled
