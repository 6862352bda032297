"""A planned year as JSON, and the pieces every way of showing it shares."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from sim.report.wording import finding_json
from sim.season.bill import Bill, Share
from sim.season.days import dates
from sim.season.plan import YearPlan
from sim.season.records import Evening
from sim.season.watts import FRAMES

#: What to mind when the supplies are switched off by day [common practice, no source].
SWITCHING = (
    "Switch the mains side, with a relay rated for the supplies' inrush current, and hold the data"
    " line low while they are off: pixels without power can be fed through it."
)

#: How far the warnings of a season reach.
WATCHED = (
    f"At most {FRAMES} frames of each scheme were watched for what it overloads; 'evenfall check'"
    " watches every frame, and the flashing."
)


@dataclass(frozen=True)
class Entry:
    """All evenings of one entry of the season that show its scheme."""

    why: str
    scheme: str
    evenings: tuple[Evening, ...]

    @property
    def when(self) -> str:
        """The dates, readable."""
        return dates(evening.date for evening in self.evenings)

    @property
    def on(self) -> str:
        """When the lights go on: one time, or the earliest and the latest."""
        return _clock_range([e.lit.on.strftime("%H:%M") for e in self.evenings if e.lit])

    @property
    def off(self) -> str:
        """When they go off; times after midnight sort behind those before."""
        return _clock_range([e.lit.off.strftime("%H:%M") for e in self.evenings if e.lit])


def entries(plan: YearPlan) -> tuple[Entry, ...]:
    """The year by entry, in the order in which they first come; `otherwise` last."""
    found: dict[tuple[str, str], list[Evening]] = {}
    for evening in plan.evenings:
        if evening.scheme:
            found.setdefault((evening.why, evening.scheme), []).append(evening)
    made = [Entry(why, scheme, tuple(evenings)) for (why, scheme), evenings in found.items()]
    return tuple(sorted(made, key=lambda entry: entry.why == "otherwise"))


def scheme_name(plan: YearPlan, scheme: str) -> str:
    """What a scheme calls itself."""
    return plan.season.schemes[scheme].name


def as_json(house_name: str, plan: YearPlan, bill: Bill) -> dict[str, Any]:
    """Everything a season's report says."""
    season, fed = plan.season, bill.watts.fed
    return {
        "house": house_name,
        "season": season.name,
        "year": plan.year,
        "location": asdict(season.location),
        "tariff": asdict(season.tariff) if season.tariff else None,
        "evenings": [
            {
                "date": evening.date.isoformat(),
                "scheme": evening.scheme,
                "why": evening.why,
                "on": evening.lit.on.isoformat() if evening.lit else None,
                "off": evening.lit.off.isoformat() if evening.lit else None,
                "hours": round(evening.hours, 4),
                "sun": evening.gap,
            }
            for evening in plan.evenings
        ],
        "schemes": [
            _share(share)
            | {
                "title": scheme_name(plan, share.name),
                "mean_wall_w": bill.watts.lit[share.name] if fed else None,
            }
            for share in bill.schemes
        ],
        "months": [_share(share) for share in bill.months],
        "total": _share(bill.year),
        "idle": {
            "wall_w": bill.watts.idle if fed else None,
            "without_data_most_w": bill.watts.undriven,
            "kwh": bill.year.kwh_idle,
            "saved_by_switching_off_kwh": bill.saved_kwh,
            "saved_by_switching_off_cost": bill.saved_cost,
        },
        "findings": [finding_json(finding) for finding in plan.findings],
    }


def _share(share: Share) -> dict[str, Any]:
    return asdict(share) | {"kwh": share.kwh}


def _clock_range(times: list[str]) -> str:
    # 23:30 comes before 00:15 of the morning after.
    in_order = sorted(times, key=lambda time: (time < "12:00", time))
    if not in_order:
        return "–"
    first, last = in_order[0], in_order[-1]
    return first if first == last else f"{first}–{last}"
