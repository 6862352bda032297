"""How sure the figures of `power` are, as data: a figure `x` gains `x_band` [low, high] at 95 %."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.spread.bands import USUAL, band, chance_of
from sim.spread.colours import SEEN_DE, White
from sim.spread.quick import QuickBands
from sim.spread.sensitivity import Budget
from sim.spread.study import DrawnFigure, Exceeded, Study


def with_quick(data: dict[str, Any], found: QuickBands) -> dict[str, Any]:
    """The report `data` with the bands that every report has."""
    out = {**data, "peak_a_band": list(found.peak_a)}
    if found.ceiling is not None:
        out["brightness_ceiling_band"] = list(found.ceiling)
    for section, key, bands in (
        ("supplies", "peak_a_band", found.supply_peak_a),
        ("wires", "peak_a_band", found.wire_peak_a),
        ("runs", "min_v_band", found.run_min_v),
    ):
        out[section] = [
            {**each, key: pair} for each, pair in zip(data[section], bands.tolist(), strict=True)
        ]
    return out


def with_study(data: dict[str, Any], found: Study) -> dict[str, Any]:
    """The report `data` with the bands of many draws, and all else they say under `spread`."""
    out = {
        **data,
        **{name: [dict(each) for each in data[name]] for name in ("supplies", "wires", "runs")},
        "energy": dict(data["energy"]),
    }
    for figure in found.figures:
        head = figure.head
        if head.section in ("", "energy"):
            place = out[head.section] if head.section else out
        elif head.section == "light":
            continue
        else:
            place = out[head.section][head.index]
        if head.key in place:
            place[f"{head.key}_band"] = list(figure.band.pair)
    out["spread"] = _spread(found)
    return out


def _spread(found: Study) -> dict[str, Any]:
    return {
        "draws": found.draws,
        "seed": found.seed,
        "share": USUAL,
        "digits": found.digits,
        "digits_hold": found.held,
        "unknowns": [
            {"factor": each.factor, "part": each.part, "mean": each.shape.mean, "u": each.shape.sd}
            for each in found.known.common
        ],
        "figures": [_figure(each) for each in found.figures],
        "sensitivity": [_budget(each) for each in found.budgets],
        "exceeds": [_exceeded(each) for each in (found.any_exceeded, *found.exceeded)],
        "whites": [_white(each) for each in found.whites],
    }


def _figure(each: DrawnFigure) -> dict[str, Any]:
    head, drawn = each.head, each.band
    return {
        "section": head.section,
        "name": head.whose,
        "figure": head.key,
        "unit": head.unit,
        "sheet": head.nominal,
        "mean": drawn.mean,
        "u": drawn.sd,
        "band": [drawn.low, drawn.high],
        "shortest": [drawn.short_low, drawn.short_high],
        "low_end_band": list(drawn.low_error),
        "high_end_band": list(drawn.high_error),
        "first_order": None
        if each.first_value is None
        else {"value": each.first_value, "u": each.first_sd, "agrees": each.first_does},
    }


def _budget(each: Budget) -> dict[str, Any]:
    return {
        "section": each.head.section,
        "name": each.head.whose,
        "figure": each.head.key,
        "unit": each.head.unit,
        "band_width": each.width,
        "unknowns": [
            {
                "factor": "each_pixel" if one.unknown is None else one.unknown.factor,
                "part": None if one.unknown is None else one.unknown.part,
                "share": one.share,
                "band_width_measured": one.left,
            }
            for one in each.contributions
        ],
    }


def _exceeded(each: Exceeded) -> dict[str, Any]:
    return {
        "limit": each.limit,
        "probability": each.chance,
        "probability_band": [each.low, each.high],
    }


def _white(each: White) -> dict[str, Any]:
    middle, long, short, degrees = each.ellipse
    chance, low, high = chance_of(each.delta_e <= SEEN_DE)
    return {
        "reel": each.reel,
        "kind": each.kind.name,
        "u_v": each.nominal_uv.tolist(),
        "middle_u_v": middle.tolist(),
        "ellipse": {"long": long, "short": short, "degrees": degrees},
        "delta_e_median": float(np.median(each.delta_e)),
        "delta_e_band": list(band(each.delta_e).pair),
        "delta_u_v_band": list(band(each.delta_uv).pair),
        "match_probability": chance,
        "match_probability_band": [low, high],
    }
