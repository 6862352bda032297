"""Volts and amperes of every pixel, wire and supply."""

from .build import Network, build
from .results import Power, Solution, kirchhoff_residual_a, power
from .solve import solve

__all__ = ["Network", "Power", "Solution", "build", "kirchhoff_residual_a", "power", "solve"]
