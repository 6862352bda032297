"""A plan as data for programs."""

from __future__ import annotations

from typing import Any

from sim.plan.why import Why

from .plan_report import PlanReport
from .plan_sure import sure_json
from .wording import finding_json
from .wording.plan import why_sentence


def as_json(report: PlanReport) -> dict[str, Any]:
    """The plan as plain data. Fields are stable; later versions only add."""
    plan = report.plan
    return {
        "house": plan.house.name,
        "status": report.status,
        "price": plan.price,
        "lower_bound": plan.lower_bound,
        "currency": plan.parts.currency if plan.priced else None,
        "kind": report.kind,
        "supplies": [
            {
                "name": row.supply.name,
                "part": row.part or None,
                "at": row.supply.at,
                "volts": row.supply.volts,
                "amps": row.supply.rated_a,
                "load": row.load,
                "price": row.price,
            }
            for row in report.supplies
        ],
        "wires": [
            {
                "from": row.wire.entry["from"],
                "to": row.wire.entry["to"],
                "wire": row.wire.entry["wire"],
                "length_m": row.wire.length_m,
                "fuse_a": row.wire.entry.get("fuse"),
                "price": row.wire.price,
                "kind": row.wire.kind,
                "peak_a": row.peak_a,
            }
            for row in report.wires
        ],
        "cuts": [{"run": run, "before": before} for run, before in report.cuts],
        "feeds": report.feeds,
        "findings": [finding_json(each) for each in report.findings],
        "why": [_why(each) for each in report.why],
        "options": [],
        "remarks": list(plan.said),
        "sure": sure_json(plan),
        "temperatures": [
            {"copper_c": e.copper_c, "least_v": e.least_v, "at": e.at, "most": e.most}
            for e in report.ends
        ],
    }


def infeasible_json(house: str, kind: str, text: str) -> dict[str, Any]:
    """What is said where nothing that can be bought keeps the limits."""
    return {
        "house": house,
        "status": "infeasible",
        "price": None,
        "lower_bound": None,
        "currency": None,
        "kind": kind,
        "supplies": [],
        "wires": [],
        "cuts": [],
        "feeds": 0,
        "findings": [],
        "why": [
            {
                "code": "infeasible", "element": house, "value": None, "limit": None, "unit": "",
                "text": text,
            }
        ],
        "options": [],
        "remarks": [],
        "sure": None,
        "temperatures": [],
    }  # fmt: skip


def _why(why: Why) -> dict[str, Any]:
    return {
        "code": why.code,
        "element": why.element,
        "value": why.value,
        "limit": why.limit,
        "unit": why.unit,
        "text": why_sentence(why),
    }
