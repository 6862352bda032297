"""The planner against every design of tiny lines: feeds, wires, supplies and cuts all tried.

The designs are judged by `enumerated.py`, which shares nothing with the planner but the records;
`test_one_circuit.py` shows that it, the planner's ladders and the circuit tell the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from sim.plan.proposal import Infeasible, keeps, propose

#: Lines that are compared, and designs of one looked at before it is left out.
COUNTED, PATIENCE = 150, 6000


@dataclass(frozen=True)
class Both:
    """The cheapest of all designs (None: there is none) and what the planner proposes."""

    seed: int
    truth: Any
    proposed: Any


@pytest.fixture(scope="module")
def compared(tiny: Callable[[int], Any], enumerated: ModuleType) -> list[Both]:
    found: list[Both] = []
    seed = 0
    while len(found) < COUNTED:
        line, market = tiny(seed)
        seed += 1
        try:
            truth = enumerated.cheapest(line, market, most=PATIENCE)
        except enumerated.TooMany:
            continue
        try:
            proposed = propose([line], market)
        except Infeasible:
            proposed = None
        found.append(Both(seed - 1, truth, proposed))
    assert seed < 1.15 * COUNTED
    return found


def test_the_price_is_the_least_there_is(compared: list[Both]) -> None:
    feasible = [each for each in compared if each.truth is not None]
    assert len(feasible) >= 0.9 * COUNTED
    ratio = np.array([
        np.inf if each.proposed is None else each.proposed.price / each.truth.price
        for each in feasible
    ])  # fmt: skip
    dearer = {each.seed: r for each, r in zip(feasible, ratio, strict=True) if r > 1 + 1e-9}
    assert (ratio > 1 - 1e-9).all()
    assert len(dearer) <= 0.05 * len(feasible), dearer
    assert ratio.max() <= 1.05, dearer


def test_nothing_is_proposed_where_nothing_can_be(compared: list[Both]) -> None:
    for each in compared:
        assert each.truth is not None or each.proposed is None, each.seed


def test_the_lower_bound_is_never_above_the_least_price(compared: list[Both]) -> None:
    for each in compared:
        if each.truth is not None and each.proposed is not None:
            assert each.proposed.lower_bound <= each.truth.price + 1e-9, each.seed
            assert each.proposed.lower_bound > 0.5 * each.truth.price, each.seed


def test_what_is_proposed_keeps_every_rule(
    compared: list[Both], enumerated: ModuleType, tiny: Callable[[int], Any]
) -> None:
    for each in compared:
        if each.proposed is None:
            continue
        assert keeps(each.proposed)
        line, market = tiny(each.seed)
        (fed,), (unit,) = each.proposed.fed, each.proposed.units
        feeds = tuple((feed.pad, feed.wire) for feed in fed.plan.feeds)
        design = enumerated.Tried(
            each.proposed.price, unit.choice, feeds, tuple(sorted(fed.plan.cuts))
        )
        assert enumerated.keeps_all(line, market, design), each.seed


def test_the_lines_ask_for_something(compared: list[Both]) -> None:
    """Otherwise the comparison would be with one feed at the best pad."""
    truths = [each.truth for each in compared if each.truth is not None]
    feeds = np.array([len(each.feeds) for each in truths])
    assert feeds.mean() >= 2
    assert (feeds >= 4).sum() >= COUNTED / 15
    assert sum(bool(each.cuts) for each in truths) >= COUNTED / 5
    assert len({each.supply for each in truths}) == 2
    wires = {wire for each in truths for _, wire in each.feeds}
    assert len(wires) >= 2
