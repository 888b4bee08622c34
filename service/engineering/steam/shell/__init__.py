"""Hoop stress of a plain copper shell, and the hydraulic test that rules ask of it."""

from service.engineering.steam.shell.hydraulic_test import (
    HydraulicTest,
    find_hydraulic_test,
    list_regimes,
)
from service.engineering.steam.shell.shell import CopperCylinder, ShellCheck, check_shell

__all__ = [
    "CopperCylinder",
    "HydraulicTest",
    "ShellCheck",
    "check_shell",
    "find_hydraulic_test",
    "list_regimes",
]
