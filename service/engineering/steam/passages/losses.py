"""Loss coefficients of the small parts steam passes: each on the velocity head of its own bore.

Two coefficients never appear here by accident: the velocity head itself (counted where a passage is
entered from a wider one) and its recovery at an enlargement (never counted, on the safe side).
"""

from math import log10, pi, sin, sqrt

PIPE_FLOW_SOURCE = "Rennels and Hudson, Pipe Flow (handbook)"
CRANE_SOURCE = "340 f_T of the globe valve, TP-410 form, carried below its smallest size"
CURTAIN_SOURCE = "flat disc valve, 0.155 (d/h)², handbook of hydraulic resistance, from memory"

LAMINAR_LIMIT = 2000.0  # Reynolds number up to which flow is laminar
TURBULENT_LIMIT = 4000.0  # Reynolds number from which flow is turbulent
BEND_FRICTION = 0.031  # of smooth pipe at a Reynolds number of 10 000, used for bends (Colebrook)
CLEAN_PIPE_ROUGHNESS = 4.572e-5  # clean commercial steel [m], as f_T of the TP-410 form has it


def friction_factor(reynolds: float, roughness: float) -> float:
    """Darcy friction factor, with laminar and turbulent flow blended without a step or a kink.

    Source: 64/Re up to 2000; Colebrook, two steps from the Haaland form, from 4000; a cubic
    blend between (the blend is the project's own).
    """
    if reynolds <= LAMINAR_LIMIT:
        return 64.0 / reynolds
    turbulent = _turbulent_friction(reynolds, roughness)
    if reynolds >= TURBULENT_LIMIT:
        return turbulent
    part = (reynolds - LAMINAR_LIMIT) / (TURBULENT_LIMIT - LAMINAR_LIMIT)
    weight = part * part * (3.0 - 2.0 * part)
    return 64.0 / reynolds * (1.0 - weight) + turbulent * weight


def friction_power(reynolds: float, roughness: float, factor: float) -> float:
    """The power of the flow with which a friction factor rises, near enough to steer a solver.

    Source: 64/Re; the law of Blasius for turbulent flow; between, where it turns from falling to
    rising, a small step of the blend.
    """
    if reynolds <= LAMINAR_LIMIT:
        return -1.0
    if reynolds >= TURBULENT_LIMIT:
        return -0.25
    step = 1e-4
    return (friction_factor(reynolds * (1.0 + step), roughness) / factor - 1.0) / step


def sharp_entry_loss(diameter_ratio: float) -> float:
    """Loss where a passage narrows with a sharp edge, on the head of the narrow side.

    Source: Rennels and Hudson, Pipe Flow: sharp-edged contraction.
    """
    fifth = diameter_ratio**5
    jet = 1.0 + 0.622 * (1.0 - 0.215 * diameter_ratio**2 - 0.785 * fifth)
    return 0.0696 * (1.0 - fifth) * jet * jet + (jet - 1.0) ** 2


def corner_loss(angle: float) -> float:
    """Loss where two drilled holes meet at an angle (a mitre).

    angle: change of direction [rad], above 0, to pi/2 + 0.5.
    Returns: loss coefficient.
    Source: Rennels and Hudson, Pipe Flow: mitre bend.
    """
    half = sin(angle / 2)
    return 0.42 * half + 2.56 * half**3


def bend_loss(radius_ratio: float, angle: float) -> float:
    """Loss of a smooth bend in drawn pipe, friction along it included.

    Source: Rennels and Hudson, Pipe Flow: smooth bend, at a friction factor of 0.031.
    """
    half = sin(angle / 2)
    friction = BEND_FRICTION
    return (
        friction * angle * radius_ratio
        + (0.10 + 2.4 * friction) * half
        + 6.6 * friction * (sqrt(half) + half) / float(radius_ratio ** (4.0 * angle / pi))
    )


def tee_branch_loss(diameter_ratio: float, share: float) -> float:
    """Loss where steam leaves a run through a square branch, on the head of the branch.

    diameter_ratio: branch over run diameter, above 0, to 1.
    share: part of the run's flow that takes the branch, above 0, to 1.
    Returns: loss coefficient, without the velocity head itself.
    Source: TP-410 form of the diverging branch at 90 degrees, 1 + (v_branch/v_run)² on the run's
        head.
    """
    return 1.0 + (diameter_ratio**2 / share) ** 2


def stop_valve_loss(seat: float, lift: float) -> float:
    """Loss of a screw-down stop valve, on the head of its seat bore.

    Source: Open: 340 f_T of the globe valve (TP-410 form). Part open: 0.155 (d/h)² of the flat
    disc valve, from memory, added from a lift of d/4 down.
    """
    open_loss = 340.0 * 0.25 / log10(CLEAN_PIPE_ROUGHNESS / (3.7 * seat)) ** 2
    return open_loss + 0.155 * max((seat / lift) ** 2 - 16.0, 0.0)


def valve_loss(diameter: float, kv: float) -> float:
    """Loss coefficient that stands for a flow coefficient Kv in a bore.

    Source: IEC 60534-2-1: K = 1.6e9 D⁴/Kv².
    """
    return 1.6e9 * diameter**4 / kv**2


def valve_coefficient(diameter: float, loss: float) -> float:
    """Flow coefficient Kv that stands for a loss coefficient in a bore.

    Source: IEC 60534-2-1: K = 1.6e9 D⁴/Kv².
    """
    return diameter**2 * sqrt(1.6e9 / loss)


def _turbulent_friction(reynolds: float, roughness: float) -> float:
    root = -1.8 * log10((roughness / 3.7) ** 1.11 + 6.9 / reynolds)
    for _ in range(2):
        root = -2.0 * log10(roughness / 3.7 + 2.51 * root / reynolds)
    return 1.0 / (root * root)
