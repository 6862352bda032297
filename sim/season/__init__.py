"""The year: which scheme shines on which evening, and what that costs."""

from sim.season.bill import Bill, Share, Watts, bill
from sim.season.load import load_season, season_schema
from sim.season.plan import YearPlan, plan
from sim.season.records import Evening, Season
from sim.season.watts import SchemeWatts, measure, warned

__all__ = [
    "Bill",
    "Evening",
    "SchemeWatts",
    "Season",
    "Share",
    "Watts",
    "YearPlan",
    "bill",
    "load_season",
    "measure",
    "plan",
    "season_schema",
    "warned",
]
