"""Tiny lines at random, small enough that every design can be tried: up to 24 pixels, 6 pads,
3 sizes of wire, 2 sizes of supply, at most 3 cuts. All numbers are invented.

Demand differs along the line and from frame to frame, pads lie unevenly, some lines have end pads
that draw nothing, some supplies resistance of their own.
"""

from __future__ import annotations

import numpy as np

from sim.plan.records import FuseChoice, Line, Market, SupplyChoice, WireChoice, WorkPrices

#: name, [Ω/m] of the pair, fuse [A], price [1/m]
WIRES = (("20", 0.066, 5.0, 0.4), ("16", 0.0262, 10.0, 0.9), ("14", 0.0166, 15.0, 1.4))
#: [A] and price
SUPPLIES = ((4.0, 12.0), (10.0, 20.0))
FUSES_A = (1.0, 2.0, 3.0, 5.0, 7.5, 10.0)
NEED_V = {5.0: 3.7, 12.0: 9.5}


def tiny(seed: int) -> tuple[Line, Market]:
    """A line and what can be bought for it."""
    r = np.random.default_rng([7, seed])
    m = int(r.integers(12, 25))
    volts = float(r.choice([5.0, 12.0]))
    each_ohm = r.uniform(0.04, 0.2) if volts == 5 else r.uniform(0.1, 0.9)
    pixel = np.ones(m, dtype=bool)
    if r.random() < 0.3:
        pixel[[0, -1]] = False
    demand = _demand(r, m) * pixel
    places = np.sort(r.choice(m, size=min(6, m), replace=False))
    if r.random() < 0.5:
        places = np.unique(np.linspace(0, m - 1, 6).round().astype(int))
    pad, cut, start = np.zeros((3, m), dtype=bool)
    pad[places] = True
    cut[np.unique(r.integers(2, m - 1, 3))] = True
    start[0] = True
    x = np.arange(m) * r.uniform(0.05, 0.5)
    far = np.abs(x - r.uniform(-1, x[-1] + 1)) + 0.6 + r.uniform(0, 1)
    source = float(r.uniform(0.005, 0.03)) if r.random() < 0.35 else 0.0
    supplies = tuple(
        SupplyChoice(f"{amps:g} A", "p", volts, amps, source, price) for amps, price in SUPPLIES
    )
    wires = tuple(WireChoice(n, ohm, a, 0.8 * a, price) for n, ohm, a, price in WIRES)
    fuses = tuple(FuseChoice(a, 0.085 / a, 0.3) for a in FUSES_A)
    work = WorkPrices(feed=r.uniform(1, 4), cut=r.uniform(0.5, 3), joint=1, tap=1000, trunk=1000)
    line = Line(
        name=f"tiny {seed}",
        volts=volts,
        rail_ohm=np.concatenate([[0.0], np.cumsum(np.full(m - 1, each_ohm))]),
        demand_a=demand,
        need_v=NEED_V[volts],
        pad=pad,
        cut=cut,
        gap_m=np.zeros(m),
        start=start,
        reach_m=np.repeat(np.round(far, 2)[None], len(supplies), axis=0),
        pixel=pixel,
        node=np.arange(m),
    )
    return line, Market(supplies, wires, fuses, work)


def _demand(r: np.random.Generator, m: int) -> np.ndarray:
    """(F, m) [A]: alike, unlike from pixel to pixel, or frames that light one part each."""
    base = np.full((1, m), r.uniform(0.03, 0.25))
    match r.integers(4):
        case 0:
            return base
        case 1:
            return base * r.uniform(0.2, 1, (1, m))
        case 2:
            return base * r.uniform(0.3, 1, (int(r.integers(2, 4)), m))
        case _:
            lit = np.full((3, m), 0.15)
            lit[0, : m // 2] = lit[1, m // 2 :] = lit[2, m // 4 : 3 * m // 4] = 1.0
            return base * lit * r.uniform(0.7, 1, m)
