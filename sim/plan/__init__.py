"""The wiring proposed: supplies, feeds, cuts, wires and fuses at least cost."""

from .plan import Plan, Wanted, plan_house
from .proposal import Infeasible, Proposal
from .records import Rules

__all__ = ["Infeasible", "Plan", "Proposal", "Rules", "Wanted", "plan_house"]
