"""What the steam loses between the inlet of the block and each of its ports.

The steam is marched up from the port to the inlet (see `steam.expansion`): a budget is kept when
the pressure wanted at the inlet is not above the one that is there.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

from service.engineering.block.paths import Path, Step
from service.engineering.block.request import BlockRequest, RunningCase
from service.engineering.errors import NoSolution
from service.engineering.findings import Band
from service.engineering.steam.elements import Segment
from service.engineering.steam.expansion import ExpandingSteam, pass_up
from service.engineering.steam.losses import tee_branch_loss
from service.engineering.steam.passage import LOSS_SPREAD
from service.engineering.steam.properties import LOWEST_PRESSURE
from service.engineering.steam.solving import solve_rising

TOLERANCE = 1e-9
"""Part of the pressure to which a drop is found [-]."""


@dataclass(frozen=True, slots=True)
class PortDrop:
    """What one port loses in one running case."""

    case: str
    port: int
    """Index of the port in the request's ports."""
    flow: float
    """Steam the port passes [kg/s]."""
    drop: Band
    """Pressure lost from inlet to port, with losses 40 % lower, as reckoned and higher [Pa]."""
    velocity: float
    """Highest velocity on the way [m/s]."""


def keeps_budget(request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam) -> bool:
    """Whether no port loses more than the budget in any running case.

    Parameters
    ----------
    request : BlockRequest
        The settled request [-].
    paths : dict of int to Path
        The paths [-].
    steam : ExpandingSteam
        The steam's constants [SI].

    Returns
    -------
    bool
        Whether the budget is kept [-].

    Source
    ------
    As `steam.expansion`.
    """
    floor = request.pressure - request.drop_budget
    return all(
        wanted_at_inlet(path, flows, steam, outlet_pressure=floor) <= request.pressure
        for _, _, path, flows in _running(request, paths)
    )


def find_worst_drop(
    request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam
) -> PortDrop:
    """The drop of the port that loses most, over all running cases.

    Parameters
    ----------
    request : BlockRequest
        The settled request [-].
    paths : dict of int to Path
        The paths [-].
    steam : ExpandingSteam
        The steam's constants [SI].

    Returns
    -------
    PortDrop
        Case, port and drop [Pa].

    Source
    ------
    As `steam.expansion`; losses of small drilled ways are good to 40 % (common practice).
    """
    floor = request.pressure - request.drop_budget
    case, index, path, flows = max(
        _running(request, paths),
        key=lambda each: wanted_at_inlet(each[2], each[3], steam, outlet_pressure=floor),
    )
    return _find_drop(request, case, index, path=path, flows=flows, steam=steam)


def find_drops(
    request: BlockRequest, paths: dict[int, Path], *, steam: ExpandingSteam
) -> tuple[PortDrop, ...]:
    """The drop of every port in every running case in which it passes steam.

    Parameters
    ----------
    request : BlockRequest
        The settled request [-].
    paths : dict of int to Path
        The paths [-].
    steam : ExpandingSteam
        The steam's constants [SI].

    Returns
    -------
    tuple of PortDrop
        In order of cases, then of ports [SI].

    Source
    ------
    As `find_worst_drop`.
    """
    return tuple(
        _find_drop(request, case, index, path=path, flows=flows, steam=steam)
        for case, index, path, flows in _running(request, paths)
    )


def wanted_at_inlet(
    path: Path,
    flows: Sequence[float],
    steam: ExpandingSteam,
    *,
    outlet_pressure: float,
    softness: float = 1.0,
) -> float:
    """Pressure wanted at the inlet for a port to have a stated pressure.

    Parameters
    ----------
    path : Path
        The path to the port [-].
    flows : sequence of float
        Steam of each port, effective value [kg/s].
    steam : ExpandingSteam
        The steam's constants [SI].
    outlet_pressure : float
        Absolute pressure at the port [Pa].
    softness : float
        Factor on every loss [-].

    Returns
    -------
    float
        Absolute pressure at the inlet [Pa].

    Source
    ------
    Isothermal (p v constant) flow with losses, as `steam.expansion`.
    """
    pressure = outlet_pressure
    for step in reversed(path):
        flow = sum(flows[index] for index in step.carries)
        segment = _segment_at(step, flow, flows, softness=softness)
        pressure = pass_up(segment, steam, flow=flow, outlet_pressure=pressure).pressure_in
    return pressure


def _running(
    request: BlockRequest, paths: dict[int, Path]
) -> Iterable[tuple[RunningCase, int, Path, tuple[float, ...]]]:
    for case in request.cases:
        flows = _effective_flows(request, case)
        for index, path in paths.items():
            if flows[index] > 0:
                yield case, index, path, flows


def _effective_flows(request: BlockRequest, case: RunningCase) -> tuple[float, ...]:
    """Effective flow of every port [kg/s], the inlet's place left at 0."""
    swing = sqrt(request.pulsation)
    ends = case.ends or (0.0,) * len(request.ends)
    return (0.0, *(flow * swing for flow in (*case.outlets, *ends)))


def _find_drop(
    request: BlockRequest,
    case: RunningCase,
    index: int,
    *,
    path: Path,
    flows: tuple[float, ...],
    steam: ExpandingSteam,
) -> PortDrop:
    low, likely, high = (
        _solve_outlet(request.pressure, path, flows, steam=steam, softness=softness)
        for softness in (1 / LOSS_SPREAD, 1.0, LOSS_SPREAD)
    )
    return PortDrop(
        case=case.name,
        port=index,
        flow=flows[index] / sqrt(request.pulsation),
        drop=Band(request.pressure - low, request.pressure - likely, request.pressure - high),
        velocity=_find_velocity(path, flows, steam, outlet_pressure=likely),
    )


def _solve_outlet(
    inlet: float,
    path: Path,
    flows: tuple[float, ...],
    *,
    steam: ExpandingSteam,
    softness: float,
) -> float:
    """Pressure left at the port [Pa]; the lowest there is where the path cannot pass the steam."""

    def excess(outlet: float) -> float:
        return (
            wanted_at_inlet(path, flows, steam, outlet_pressure=outlet, softness=softness) - inlet
        )

    try:
        return solve_rising(excess, LOWEST_PRESSURE, high=inlet, tolerance=TOLERANCE)
    except NoSolution:
        return LOWEST_PRESSURE


def _find_velocity(
    path: Path, flows: tuple[float, ...], steam: ExpandingSteam, *, outlet_pressure: float
) -> float:
    pressure, highest = outlet_pressure, 0.0
    for step in reversed(path):
        flow = sum(flows[index] for index in step.carries)
        segment = _segment_at(step, flow, flows, softness=1.0)
        passed = pass_up(segment, steam, flow=flow, outlet_pressure=pressure)
        highest = max(highest, flow * steam.product / (segment.area * passed.pressure_out))
        pressure = passed.pressure_in
    return highest


def _segment_at(step: Step, flow: float, flows: Sequence[float], *, softness: float) -> Segment:
    """The segment of a step at the flows there are: a branch's loss depends on its share."""
    segment, loss = step.segment, step.segment.loss
    if step.branch:
        share = flow / sum(flows[index] for index in step.run)
        loss = tee_branch_loss(step.branch, share) + 1.0
    elif softness == 1.0:
        return segment
    return segment._replace(loss=loss * softness, slenderness=segment.slenderness * softness)
