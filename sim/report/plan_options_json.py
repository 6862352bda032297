"""Options as plain data. Fields are stable; later versions only add."""

from __future__ import annotations

from typing import Any

from sim.report.mending import mending_json
from sim.report.plan_options import Option
from sim.report.wording import finding_json


def options_json(options: tuple[Option, ...]) -> list[dict[str, Any]]:
    """What `options` of `plan --json` holds, in the order given."""
    return [option_json(each) for each in options]


def option_json(option: Option) -> dict[str, Any]:
    """One option; figures are null where it cannot be built, and `why` says why."""
    kind = option.kind
    data: dict[str, Any] = {
        "kind": kind.name,
        "status": option.status,
        "why": option.why or None,
        "mount": kind.mount,
        "volts": kind.supply_v,
        "channels": "".join(channel.name for channel in kind.channels),
        "per_metre": 1.0 / kind.pitch_m,
        "repair": option.repair.how,
        "repair_minutes": option.repair.minutes,
        "mending": mending_json(option),
        "backup_data": kind.backup_data,
        "notes": list(option.notes),
    }
    return {**data, **dict.fromkeys(_FIGURES), **_figures(option)}


_FIGURES = (
    "price", "currency", "priced", "unpriced", "wiring_price", "wiring_priced", "lower_bound",
    "pixels", "feeds", "cuts", "supplies", "peak_a", "watts", "wall_watts",
    "idle_wall_watts", "kwh_year",
    "lumens", "lumens_peak", "white_cct_k", "ra", "ra_range", "refresh_hz", "findings",
    "wire_m", "fuses",
)  # fmt: skip


def _figures(option: Option) -> dict[str, Any]:
    built = option.built
    if built is None:
        return {}
    plan, bill, seen = built.plan, built.bill, built.measured
    return {
        "price": bill.total,
        "currency": bill.parts.currency,
        "priced": bill.priced_total,
        "unpriced": [f"{line.item} {line.part}".strip() for line in bill.unpriced],
        "wiring_price": plan.price,
        "wiring_priced": plan.priced,
        "lower_bound": plan.lower_bound,
        "pixels": plan.house.present,
        "feeds": built.feeds,
        "cuts": built.cuts,
        "supplies": len(plan.house.supplies),
        "peak_a": seen.peak_a,
        "watts": seen.watts,
        "wall_watts": seen.wall_w,
        "idle_wall_watts": seen.idle_wall_w,
        "kwh_year": seen.kwh_year,
        "lumens": seen.lumens,
        "lumens_peak": seen.lumens_peak,
        "white_cct_k": seen.white.rendition.cct_k,
        "ra": seen.white.rendition.ra,
        "ra_range": list(seen.white.ra_range),
        "refresh_hz": seen.refresh_hz,
        "findings": [finding_json(each) for each in seen.findings],
        "wire_m": built.wire_m,
        "fuses": [{"rating_a": each, "count": many} for each, many in built.fuses_a.items()],
    }
