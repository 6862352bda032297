"""Joints and trunks of a plan against all the fuses that feed one end of them, sums by hand."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

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
