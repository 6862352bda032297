"""Joints and trunks of a plan against all the fuses that feed one end of them, sums by hand."""

from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from layouts import load_house
from layouts.fuses_above import fuses_above, together_a
from sim.plan.line_plan import Feed, LinePlan, Trunk, unfused_hold

#: Two runs of ten nodes, one behind the other.
LINE: Any = SimpleNamespace(size=20, start=np.isin(np.arange(20), (0, 10)))
#: 16, 14 and 12 AWG may carry 10, 15 and 20 A (NEC 240.4(D) [from memory]).
MARKET: Any = SimpleNamespace(
    wires=[SimpleNamespace(fuse_most_a=most) for most in (10.0, 15.0, 20.0)],
    fuses=[SimpleNamespace(rating_a=15.0)],
)


def feeds(*pads: int) -> tuple[Feed, ...]:
    return tuple(Feed(pad, 0, 2) for pad in pads)


@pytest.mark.parametrize(
    ("pads", "wire", "cuts", "holds"),
    [
        ((2, 6), 0, (), False),  # 7.5 + 7.5 A before the joint
        ((2, 6), 1, (), True),
        ((2, 6), 0, (4,), True),  # one of them parted from it
        ((2, 15), 0, (), True),  # 7.5 A from each end
        ((2, 15, 17), 0, (), False),
        ((2, 6, 15, 17), 1, (), True),
    ],
)
def test_a_joint(pads: tuple[int, ...], wire: int, cuts: tuple[int, ...], holds: bool) -> None:
    plan = LinePlan(feeds(*pads), frozenset(cuts), ((10, wire),))
    assert unfused_hold(LINE, MARKET, plan, np.full(len(pads), 7.5)) is holds


@pytest.mark.parametrize(
    ("pads", "wire", "cuts", "holds"),
    [
        ((2, 4), 1, (), True),  # the trunk's own 15 A alone; its taps feed nothing back
        ((2, 4, 8), 1, (), False),  # 5 A more come back by the first tap
        ((2, 4, 8), 2, (), True),
        ((2, 4, 8), 1, (6,), True),
        ((2, 4, 15), 1, (), True),  # of another run
    ],
)
def test_a_trunk(pads: tuple[int, ...], wire: int, cuts: tuple[int, ...], holds: bool) -> None:
    plan = LinePlan(feeds(*pads), frozenset(cuts), (), (Trunk((2, 4), wire, 0),))
    assert unfused_hold(LINE, MARKET, plan, np.full(len(pads), 5.0)) is holds


def test_a_trunk_from_behind() -> None:
    """A short before the second tap draws through its 15 A from behind: 7.5 and 7.5 A of the run,
    and 1 A of the trunk's own through the first tap and the run; 3 + 1 A come from ahead."""
    plan = LinePlan(feeds(2, 4, 6, 8), frozenset(), (), (Trunk((2, 4), 0, 0),))
    fuse_a = np.array([1.0, 15.0, 7.5, 7.5])
    small: Any = SimpleNamespace(wires=MARKET.wires, fuses=[SimpleNamespace(rating_a=3.0)])
    assert not unfused_hold(LINE, small, plan, fuse_a)
    assert unfused_hold(LINE, small, plan, np.array([1.0, 10.0, 7.5, 7.5]))


def as_wired(plan: LinePlan, fuse_a: np.ndarray) -> list[str]:
    """The wires of a plan of LINE as a house file has them: pads k are beside pixels k."""

    def pad(node: int) -> str:
        return f"'one[{node}]'" if node < 10 else f"'two[{node - 10}]'"

    begin, wires = {}, []
    for number, trunk in enumerate(plan.trunks):
        names = [f"t{number}-{n}" for n in range(len(trunk.pads))]
        begin |= dict(zip(trunk.pads, names, strict=True))
        rated = MARKET.fuses[trunk.fuse].rating_a
        wires.append(f"from: box, to: {names[0]}, fuse: {rated:g}")
        wires += [f"from: {a}, to: {b}" for a, b in pairwise(names)]
    for feed, fuse in zip(plan.feeds, fuse_a, strict=True):
        start = begin.get(feed.pad, "box")
        wires.append(f"from: {start}, to: {pad(feed.pad)}, fuse: {fuse:g}")
    return wires + [f"from: {pad(node - 1)}, to: {pad(node)}" for node, _ in plan.joined]


@pytest.mark.parametrize("seed", range(18))
def test_what_the_wired_house_is_warned_of_does_not_hold(tmp_path: Path, seed: int) -> None:
    """The check of a house, which knows nothing of plans, sums the fuses of each wire; of a wire
    that may carry a little less, no plan is made."""
    draw = np.random.default_rng(seed)
    pads = np.sort(draw.choice(20, 6, replace=False)).tolist()
    cuts = [int(n) for n in draw.choice(np.setdiff1d(np.arange(1, 20), 10), 2, replace=False)]
    fuse_a = draw.choice([2.0, 3.0, 5.0, 7.5], 6)
    trunks = (Trunk(tuple(pads[:3]), 2, 0), Trunk(tuple(pads[3:5]), 2, 0))[: seed % 3]
    plan = LinePlan(feeds(*pads), frozenset(cuts), ((10, 2),), trunks)
    text = (
        "format: evenfall-house/1\nname: Test\ndrawing: {size: [60, 5]}\n"
        "supplies: [{name: box, volts: 5, amps: 40}]\nruns:\n"
    )
    for name, first in (("one", 0), ("two", 10)):
        own = sorted(n - first for n in cuts if first < n < first + 10)
        text += (
            f"  - {{name: {name}, pixels: ws2813, path: [[{first}, 3], [{first + 5}, 3]],"
            f" count: 10, cuts: {own}}}\n"
        )
    text += "wires:\n"
    for wire in as_wired(plan, fuse_a):
        text += f"  - {{{wire}, wire: 12 AWG, length: 1}}\n"
    (tmp_path / "house.yaml").write_text(text, encoding="utf-8")
    told = fuses_above(load_house(tmp_path / "house.yaml"))
    assert told or not trunks
    least_a = max((together_a(fused) for _, fused in told), default=0.0)
    too_thin = [SimpleNamespace(fuse_most_a=least_a - 0.01)] * 3
    thin: Any = SimpleNamespace(wires=too_thin, fuses=MARKET.fuses)
    assert not told or not unfused_hold(LINE, thin, plan, fuse_a)
