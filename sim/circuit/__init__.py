"""Volts and amperes of every pixel, wire and supply."""

from .build import Network, build
from .loads import Loads, join, loads
from .results import Power, Solution, kirchhoff_residual_a, power
from .solve import solve, solve_constant
from .use import Energy, RunUse, SupplyUse, WireUse, energy, run_uses, supply_uses, wire_uses

__all__ = [
    "Energy",
    "Loads",
    "Network",
    "Power",
    "RunUse",
    "Solution",
    "SupplyUse",
    "WireUse",
    "build",
    "energy",
    "join",
    "kirchhoff_residual_a",
    "loads",
    "power",
    "run_uses",
    "solve",
    "solve_constant",
    "supply_uses",
    "wire_uses",
]
