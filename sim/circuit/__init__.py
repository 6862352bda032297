"""Volts and amperes of every pixel, wire and supply."""

from .build import Network, build, network, with_values
from .ceiling import Ceiling, bracket, critical_frames, exceeds
from .fuse_opening import Short, far_shorts
from .law import Law, without_pixels
from .limits import class_2_findings, load_findings, utilisation
from .loading import Energy, RunUse, SupplyUse, WireUse, energy, run_uses, supply_uses, wire_uses
from .loads import Loads, join, loads
from .results import Power, Solution, kirchhoff_residual_a, power
from .short_findings import short_findings
from .solve import solve, solve_constant
from .topology import Topology, topology
from .unfed import Need, needs, unfed_findings
from .unreached import unreached_findings
from .values import Values, values

__all__ = [
    "Ceiling",
    "Energy",
    "Law",
    "Loads",
    "Need",
    "Network",
    "Power",
    "RunUse",
    "Short",
    "Solution",
    "SupplyUse",
    "Topology",
    "Values",
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
    "network",
    "power",
    "run_uses",
    "short_findings",
    "solve",
    "solve_constant",
    "supply_uses",
    "topology",
    "unfed_findings",
    "unreached_findings",
    "utilisation",
    "values",
    "wire_uses",
    "with_values",
    "without_pixels",
]
