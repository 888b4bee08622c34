"""The check of a plant: every joint, the engines together against the boiler, worst first."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from service.engineering.errors import EngineeringError
from service.engineering.findings import SEVERITY, Finding, Level, Working, worst_level
from service.engineering.kit import Kit
from service.engineering.saturation import saturation_temperature
from service.engineering.steam.cautions import CAUTIONS as STEAM_CAUTIONS
from service.engineering.steam.engine import PlantDemand, plant_demand
from service.engineering.steam.network import CaseBalance
from service.engineering.threads.fit import FemaleEnd, MaleEnd
from service.engineering.threads.joint import CAUTIONS as THREAD_CAUTIONS
from service.engineering.threads.joint import (
    POINTING_TOLERANCE,
    FittingCheck,
    Indexing,
    check_fitting,
    index_fitting,
)
from service.plant.graph import Joint, Plant
from service.plant.running import run_plant
from service.plant.supply import check_supply

KEPT = 128  # joints checked lately that are kept: those of a few plants


@dataclass(frozen=True, slots=True)
class JointCheck:
    """One joint: whether it goes together, and what makes it good."""

    joint: Joint
    fitting: FittingCheck
    indexing: Indexing | None
    findings: tuple[Finding, ...]

    @property
    def level(self) -> Level:
        return worst_level(self.findings)


@dataclass(frozen=True, slots=True)
class Judged:
    """A finding and the part of the plant it is about."""

    subject: str
    finding: Finding


@dataclass(frozen=True, slots=True)
class PlantCheck:
    """The whole check; joints and findings worst first."""

    plant: Plant
    joints: tuple[JointCheck, ...]
    demand: PlantDemand | None
    running: CaseBalance | None
    """Where all engines together settle; None where that cannot be reckoned yet."""
    evaporation: float | None
    """Stated evaporation of all boilers together [kg/s]; None where none is stated."""
    judged: tuple[Judged, ...]
    workings: tuple[Working, ...]
    cautions: tuple[str, ...]

    @property
    def level(self) -> Level:
        return worst_level(one.finding for one in self.judged)


def check_plant(plant: Plant, kit: Kit | None = None) -> PlantCheck:
    """Check every joint of a plant, and its engines together against its boilers and valves."""
    own = kit or Kit()
    joints = tuple(check_joint(joint, plant.working_pressure, kit=own) for joint in plant.joints)
    demand = _reckon_demand(plant)
    supply = check_supply(plant, demand)
    running = run_plant(plant, supply.evaporation)
    engines = demand.engines if demand else ()
    judged = [
        *(Judged(joint.joint.label, finding) for joint in joints for finding in joint.findings),
        *(Judged(engine.name, finding) for engine in engines for finding in engine.findings),
        *(Judged(*told) for told in (*supply.findings, *running.findings)),
    ]
    return PlantCheck(
        plant=plant,
        joints=tuple(sorted(joints, key=lambda check: SEVERITY[check.level])),
        demand=demand,
        running=running.case,
        evaporation=supply.evaporation,
        judged=tuple(sorted(judged, key=lambda one: SEVERITY[one.finding.level])),
        workings=(*(demand.workings if demand else ()), *supply.workings, *running.workings),
        cautions=tuple(dict.fromkeys((*STEAM_CAUTIONS, *THREAD_CAUTIONS))),
    )


def check_joint(joint: Joint, working_pressure: float, *, kit: Kit) -> JointCheck:
    """Check one joint at a working pressure [Pa absolute]."""
    fitting = _fit(_male_end(joint), _female_end(joint), working_pressure, kit)
    indexing, refusal = _index(joint, kit.shims)
    findings = (*fitting.findings, *(indexing.findings if indexing else ()), *refusal)
    return JointCheck(joint=joint, fitting=fitting, indexing=indexing, findings=findings)


@lru_cache(maxsize=KEPT)
def _fit(male: MaleEnd, female: FemaleEnd, pressure: float, kit: Kit) -> FittingCheck:
    """Kept by all that it depends on: of a plant checked again most joints are as they were."""
    return check_fitting(
        male, female, pressure=pressure, steam_temperature=saturation_temperature(pressure), kit=kit
    )


def _male_end(joint: Joint) -> MaleEnd:
    end = joint.male.port
    return MaleEnd(
        thread=end.thread,
        length=end.length,
        bore=end.bore,
        material=end.material,
        owner=joint.male.item.owner,
    )


def _female_end(joint: Joint) -> FemaleEnd:
    end = joint.female.port
    return FemaleEnd(
        thread=end.thread,
        depth=end.length,
        boss=end.boss,
        drilled=end.drilled,
        material=end.material,
        owner=joint.female.item.owner,
    )


def _index(joint: Joint, shims: Sequence[float]) -> tuple[Indexing | None, tuple[Finding, ...]]:
    """How to make the joint point; a thread that cannot be shimmed is a finding, not a fault."""
    if joint.points_wanted is None or joint.points_found is None:
        return None, ()
    try:
        indexing = index_fitting(
            joint.male.port.thread,
            found=joint.points_found,
            wanted=joint.points_wanted,
            shims=shims,
            tolerance=POINTING_TOLERANCE,
        )
    except EngineeringError as error:
        return None, (Finding("caution", "cannot-be-indexed", error.message),)
    return indexing, ()


def _reckon_demand(plant: Plant) -> PlantDemand | None:
    if not plant.engines:
        return None
    return plant_demand(
        plant.engines,
        pressure=plant.working_pressure,
        back_pressure=plant.back_pressure,
        feed_temperature=plant.feed_temperature,
    )
