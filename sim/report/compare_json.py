"""A comparison as plain data. Fields are stable; later versions only add."""

from __future__ import annotations

from typing import Any

from sim.report.compare import Comparison, KindReport
from sim.report.compare_spread_text import with_spread
from sim.report.wording import finding_json


def comparison_json(comparison: Comparison) -> dict[str, Any]:
    """What `compare --json` prints."""
    watched = comparison.kinds[0].power.scan
    data: dict[str, Any] = {
        "house": comparison.house.name,
        "scheme": comparison.scheme.name,
        "frames": watched.frames,
        "fps": watched.fps,
        "seconds": watched.seconds,
        "white": {
            "asked_cct_k": comparison.asked.cct_k,
            "share_of_light": comparison.asked.share,
            "from_scheme": comparison.asked.share > 0.0,
        },
        "kinds": [_kind(each) for each in comparison.kinds],
    }
    if comparison.prices:
        data["prices"] = {
            "file": comparison.prices.file,
            "currency": comparison.prices.currency,
            "note": comparison.prices.note,
        }
    return data if comparison.sure is None else with_spread(data, comparison.sure)


def _kind(report: KindReport) -> dict[str, Any]:
    kind, white, power = report.kind, report.white, report.power
    return {
        "kind": kind.name,
        "channels": "".join(channel.name for channel in kind.channels),
        "volts": kind.supply_v,
        "pixels": report.pixels,
        "metres": report.metres,
        "lumens": report.lumens,
        "lumens_peak": report.lumens_peak,
        "brightest_s": report.brightest_s,
        "watts": report.watts,
        "wall_watts": power.scan.energy.wall_w_mean,
        "idle_wall_watts": power.scan.energy.idle_wall_w,
        "peak_a": report.peak_a,
        "supplies": [
            {
                "name": use.supply.name,
                "volts": use.supply.volts,
                "rated_a": use.supply.rated_a,
                "peak_a": use.peak_a,
                "load": use.load,
            }
            for use in power.scan.supplies
        ],
        "ceiling": power.ceiling and power.ceiling.brightness,
        "ceiling_limit": power.ceiling and power.ceiling.limit,
        "white_codes": list(white.codes),
        "white_delta_e": white.delta_e,
        "cct_k": white.rendition.cct_k,
        "duv": white.rendition.duv,
        "ra": white.rendition.ra,
        "ra_range": list(white.ra_range),
        "rf": white.rendition.rf,
        "rg": white.rendition.rg,
        "lm_per_w_of_radiation": white.rendition.lm_per_w,
        "white_lumens": white.rendition.lumens,
        "white_die_share": white.white_die,
        "held": report.losses.held,
        "reduced": report.losses.reduced,
        "stepping": report.losses.stepping,
        "refresh_hz": report.refresh_hz,
        "bits_per_pixel": kind.bits,
        "universes": report.universes,
        "material_delta_e": {name: shift.delta_e for name, shift in white.shifts.items()},
        "material_shift": {name: shift.word for name, shift in white.shifts.items()},
        "suffices": report.suffices,
        "findings": [finding_json(one) for one in power.findings],
        "price": report.price,
        "notes": list(report.notes),
    }
