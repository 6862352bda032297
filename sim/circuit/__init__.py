"""Volts and amperes of every pixel, wire and supply."""

from .build import Network, build
from .ceiling import Ceiling, bracket, decisive, exceeds
from .limits import class_2_findings, load_findings, strain
from .loads import Loads, join, loads
from .results import Power, Solution, kirchhoff_residual_a, power
from .shorts import Short, far_shorts, short_findings
from .solve import solve, solve_constant
from .use import Energy, RunUse, SupplyUse, WireUse, energy, run_uses, supply_uses, wire_uses

__all__ = [
    "Ceiling",
    "Energy",
    "Loads",
    "Network",
    "Power",
    "RunUse",
    "Short",
    "Solution",
    "SupplyUse",
    "WireUse",
    "bracket",
    "build",
    "class_2_findings",
    "decisive",
    "energy",
    "exceeds",
    "far_shorts",
    "join",
    "kirchhoff_residual_a",
    "load_findings",
    "loads",
    "power",
    "run_uses",
    "short_findings",
    "solve",
    "solve_constant",
    "strain",
    "supply_uses",
    "wire_uses",
]
