"""Feeds beside each other on one trunk: a heavier wire past all of them, with a tap for each.

Wires of their own to far pads lie beside each other most of the way. One heavier wire can be
cheaper; each tap keeps its fuse. Groups of neighbouring feeds on one supply are tried, those that
save most first; each is judged as the plan it makes.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .line_plan import LinePlan, Trunk, Verdict, judged, price_of
from .records import Line, Market

#: More taps than this on one trunk are not tried.
_MOST_TAPS = 8


def with_trunks(
    line: Line, market: Market, plan: LinePlan, verdict: Verdict, sag_v: np.ndarray, margin_v: float
) -> tuple[LinePlan, Verdict]:
    """The plan with every trunk that makes it cheaper and keeps the rules."""
    price = price_of(line, market, plan, verdict.fuse)
    while True:
        options = []
        for trunk in _trunks(line, market, plan, verdict):
            option = replace(plan, trunks=(*plan.trunks, trunk))
            cost = price_of(line, market, option, verdict.fuse)
            if cost < price - 1e-9:
                options.append((cost, trunk, option))
        options.sort(key=lambda each: each[:2])
        for cost, _, option in options:
            told = judged(line, market, option, sag_v, margin_v)
            if told is not None and told.ok:
                plan, verdict, price = option, told, cost
                break
        else:
            return plan, verdict


def _trunks(line: Line, market: Market, plan: LinePlan, verdict: Verdict) -> list[Trunk]:
    """Trunks for feeds beside each other that the cable to the last of them passes one by one."""
    tapped = {pad for trunk in plan.trunks for pad in trunk.pads}
    feeds = plan.feeds
    far = [float(line.reach_m[f.supply, f.pad]) for f in feeds]
    amps = [float(a) for a in verdict.peak_a]
    found = []
    for first in range(len(feeds)):
        for last in range(first + 1, min(len(feeds), first + _MOST_TAPS)):
            mine = range(first, last + 1)
            if feeds[last].supply != feeds[first].supply:
                break
            if any(feeds[n].pad in tapped for n in mine):
                break
            order = sorted(mine, key=lambda n: far[n])
            if list(order) not in (list(mine), list(mine)[::-1]):
                continue
            # Along one way each is as much farther as it lies farther along the line.
            total = sum(amps[n] for n in mine)
            rated = [
                g
                for g, fuse in enumerate(market.fuses)
                if market.rules.fuse_load * fuse.rating_a >= total
            ]
            for wire, choice in enumerate(market.wires):
                fits = [g for g in rated if market.fuses[g].rating_a <= choice.fuse_most_a]
                if fits and choice.carries_a >= total:
                    pads = tuple(feeds[n].pad for n in order)
                    found.append(Trunk(pads, wire, fits[0]))
    return found
