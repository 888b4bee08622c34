"""Boiler, passages and engines together: the pressures and speeds at which a plant settles."""

from service.engineering.steam.network.balance import Balance, balance
from service.engineering.steam.network.bore_changes import Advice, advise
from service.engineering.steam.network.case_balance import CaseBalance, EngineBalance
from service.engineering.steam.network.demand_curve import trace_engine
from service.engineering.steam.network.outlets import (
    EXHAUST_PRESSURE,
    FRICTION_PRESSURE,
    LOAD_KINDS,
    NOZZLE_COEFFICIENT,
    EngineOnBranch,
    Load,
    OpenOutlet,
)
from service.engineering.steam.network.plant_curves import (
    PressureLine,
    Station,
    SupplyAndDemand,
    trace_pressure_lines,
    trace_supply_and_demand,
)
from service.engineering.steam.network.running_plant import (
    BoilerSupply,
    RunningCase,
    RunningPlant,
    prepare_plant,
)

__all__ = [
    "EXHAUST_PRESSURE",
    "FRICTION_PRESSURE",
    "LOAD_KINDS",
    "NOZZLE_COEFFICIENT",
    "Advice",
    "Balance",
    "BoilerSupply",
    "CaseBalance",
    "EngineBalance",
    "EngineOnBranch",
    "Load",
    "OpenOutlet",
    "PressureLine",
    "RunningCase",
    "RunningPlant",
    "Station",
    "SupplyAndDemand",
    "advise",
    "balance",
    "prepare_plant",
    "trace_engine",
    "trace_pressure_lines",
    "trace_supply_and_demand",
]
