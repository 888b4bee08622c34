"""Will this boiler run these engines: the pressure and speed each settles at, case by case."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.engineering.findings import Finding, Working, worst_first
from service.engineering.steam.cautions import CAUTIONS
from service.engineering.steam.network.balance_findings import find_case_faults, write_case_workings
from service.engineering.steam.network.case_balance import CaseBalance, settle_case
from service.engineering.steam.network.outlets import EngineOnBranch, OpenOutlet
from service.engineering.steam.network.running_plant import (
    BoilerSupply,
    RunningCase,
    prepare_plant,
    require_known,
)
from service.engineering.steam.passages import Element


@dataclass(frozen=True, slots=True)
class Balance:
    """The answer: every case, what to beware of, and the arithmetic."""

    cases: tuple[CaseBalance, ...]
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...] = CAUTIONS


def balance(
    supply: BoilerSupply,
    engines: Iterable[EngineOnBranch],
    *,
    cases: Iterable[RunningCase],
    trunk: Iterable[Element] = (),
    open_outlets: Iterable[OpenOutlet] = (),
) -> Balance:
    """Find the pressures, speeds and flows at which a plant settles in each running case.

    supply: the boiler: heat into the water, pressure limit, feed.
    engines: every engine with its load and its passages from the block.
    cases: what runs at once; at least one case.
    trunk: the passages from boiler to block.
    open_outlets: whistles, drains and the like.
    Returns: pressures, speeds and steam as low, likely and high [SI], with findings and workings.
    Raises OutOfRange: if a figure is outside its range, or two outlets share a name.
    Raises UnknownName: if a case names something the plant has not got.
    Raises NoSolution: if an engine could not turn at all, or a network does not settle.
    Source: Mass balance at the block, energy balance of the boiler (IAPWS-IF97), torque balance of
        engine and load, isothermal flow with losses (textbook of gas dynamics), valves by IEC
        60534-2-1.
    """
    plant = prepare_plant(supply, engines, trunk=trunk, open_outlets=open_outlets)
    cases = require_known(plant, cases)
    settled = [settle_case(plant, case) for case in cases]
    return Balance(
        cases=tuple(found for found, _ in settled),
        findings=worst_first(
            finding for found, _ in settled for finding in find_case_faults(plant, found)
        ),
        workings=tuple(
            line
            for case, (_, likely) in zip(cases, settled, strict=True)
            for line in write_case_workings(plant, case, likely)
        ),
    )
