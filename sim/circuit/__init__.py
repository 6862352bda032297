"""Volts and amperes of every pixel, wire and supply."""

from .build import Network, build
from .ceiling import Ceiling, bracket, critical_frames, exceeds
from .fuse_opening import Short, far_shorts
from .limits import class_2_findings, load_findings, utilisation
from .loading import Energy, RunUse, SupplyUse, WireUse, energy, run_uses, supply_uses, wire_uses
from .loads import Loads, join, loads
from .results import Power, Solution, kirchhoff_residual_a, power
from .short_findings import short_findings
from .solve import solve, solve_constant
from .unfed import Need, needs, unfed_findings

__all__ = [
    "Ceiling",
    "Energy",
    "Loads",
    "Need",
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
    "critical_frames",
    "energy",
    "exceeds",
    "far_shorts",
    "join",
    "kirchhoff_residual_a",
    "load_findings",
    "loads",
    "needs",
    "power",
    "run_uses",
    "short_findings",
    "solve",
    "solve_constant",
    "supply_uses",
    "unfed_findings",
    "utilisation",
    "wire_uses",
]
