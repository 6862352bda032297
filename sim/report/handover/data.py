"""The document's facts as plain data, for programs."""

from __future__ import annotations

from typing import Any

from sim.data.patch import refreshes
from sim.report.handover.allowances import ALLOWANCES
from sim.report.handover.facts import Handover
from sim.report.handover.faults import FAULTS
from sim.report.handover.points import LEVELS
from sim.report.handover.supplied import mains_loads
from sim.report.parts_data import as_json as parts_json
from sim.report.power_data import as_json as power_json
from sim.report.season_data import as_json as season_json
from sim.report.wording import finding_json


def as_json(facts: Handover) -> dict[str, Any]:
    """Everything the document says; loads, parts and the year as their own verbs say them."""
    sheet = facts.sheet
    return {
        "house": facts.house.name,
        "date": facts.date.isoformat(),
        "version": facts.version,
        "files": facts.files,
        "wires": [
            {
                "number": load.number,
                "from": load.wire.start.text,
                "to": load.wire.end.text,
                "wire": load.wire.size.name,
                "plus": load.plus_colour,
                "minus": load.minus_colour,
                "length_m": load.wire.length_m,
                "fuse_a": load.wire.fuse_a,
                "ampacity_a": load.wire.size.ampacity_a,
                "peak_a": load.peak_a,
                "peak_scheme": load.scheme or None,
                "drop_v": load.drop_v,
                "full_a": load.full_a,
            }
            for load in facts.wires
        ],
        "supplies": facts.supplies,
        "mains": mains_loads(facts),
        "patch": facts.patches,
        "data_leads": facts.leads,
        "outputs": refreshes(facts.house),
        "commissioning": None
        if sheet is None
        else {
            "levels": [
                {"name": name, "code": code}
                for (name, _), code in zip(LEVELS, sheet.codes, strict=True)
            ],
            "points": sheet.points,
            "supplies": sheet.supplies,
            "too_much_at_a_third": sheet.too_much,
            "allowances": ALLOWANCES,
        },
        "faults": FAULTS,
        "power": [power_json(report) for report in facts.reports],
        "parts": parts_json(facts.bill),
        "season": facts.season and season_json(facts.house.name, *facts.season),
        "findings": [finding_json(each) for each in facts.findings],
    }
