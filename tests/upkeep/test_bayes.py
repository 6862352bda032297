"""Bayes over hypotheses and the worth of tests, against worked examples from outside."""

from __future__ import annotations

import heapq
from functools import cache
from itertools import product

import numpy as np
import pytest

from sim.upkeep.diagnosis import bayes


def split_gain_bits(p: np.ndarray, outcome: np.ndarray, groups: int) -> float:
    """The package's gain of a test without errors; each H decides its outcome (H,)."""
    return bayes.gain_bits(p, bayes.with_errors(outcome, groups, 0.0))


# References: the fewest tests there can be, which those chosen by gain are compared with.


def huffman_tests(p: np.ndarray) -> float:
    """Least expected number of yes-or-no tests where any set of hypotheses can be asked about.

    Huffman 1952: the expected length of the best code word.
    """
    heap = [float(x) for x in p if x > 0]
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        both = heapq.heappop(heap) + heapq.heappop(heap)
        total += both
        heapq.heappush(heap, both)
    return total


def contiguous_tests(p: np.ndarray) -> float:
    """The same where only "beyond place k" can be asked: the best tree of splits in order."""
    p = np.asarray(p, dtype=float)
    before = np.concatenate([[0.0], np.cumsum(p)])

    @cache
    def best(first: int, last: int) -> float:
        if last - first < 2:
            return 0.0
        cuts = (best(first, k) + best(k, last) for k in range(first + 1, last))
        return float(before[last] - before[first]) + min(cuts)

    return best(0, len(p))


def test_alarm_network() -> None:
    # The burglar alarm of a textbook of artificial intelligence; the book's answer is 0.284, quoted
    # in public code. Digits worked out by hand.
    states = list(product((True, False), repeat=3))  # burglary, earthquake, alarm
    rings = {(1, 1): 0.95, (1, 0): 0.94, (0, 1): 0.29, (0, 0): 0.001}
    prior = np.array(
        [
            (0.001 if b else 0.999)
            * (0.002 if e else 0.998)
            * (rings[b, e] if a else 1 - rings[b, e])
            for b, e, a in states
        ]
    )
    john = np.array([0.90 if a else 0.05 for _, _, a in states])
    mary = np.array([0.70 if a else 0.01 for _, _, a in states])
    p = bayes.posterior(np.log(prior), np.log(john), np.log(mary))
    burglary = np.array([b for b, _, _ in states])
    assert p[burglary].sum() == pytest.approx(0.2841718354, abs=1e-10)
    assert prior @ (john * mary) == pytest.approx(0.00208410, abs=5e-9)
    assert prior[[a for _, _, a in states]].sum() == pytest.approx(0.002516442, abs=1e-9)


def test_asia() -> None:
    # Lauritzen and Spiegelhalter 1988, tables from memory; results by full enumeration [calc].
    names = "astlbxd"
    states = [dict(zip(names, s, strict=True)) for s in product((True, False), repeat=7)]

    def weight(s: dict[str, bool]) -> float:
        either = s["t"] or s["l"]
        dyspnoea = {(1, 1): 0.9, (1, 0): 0.7, (0, 1): 0.8, (0, 0): 0.1}[either, s["b"]]
        chances = {
            "a": 0.01,
            "s": 0.5,
            "t": 0.05 if s["a"] else 0.01,
            "l": 0.1 if s["s"] else 0.01,
            "b": 0.6 if s["s"] else 0.3,
            "x": 0.98 if either else 0.05,
            "d": dyspnoea,
        }
        return float(np.prod([c if s[n] else 1 - c for n, c in chances.items()]))

    log_prior = np.log([weight(s) for s in states])

    def after(*evidence: str) -> tuple[float, ...]:
        seen = [np.array([0.0 if s[n] else -np.inf for s in states]) for n in evidence]
        p = bayes.posterior(log_prior, *seen)
        return tuple(float(p[[s[n] for s in states]].sum()) for n in "tlb")

    assert after() == pytest.approx((0.0104, 0.055, 0.45), abs=1e-12)
    assert after("d") == pytest.approx((0.018845, 0.102759, 0.833967), abs=1e-6)
    assert after("a", "d")[:2] == pytest.approx((0.087751, 0.099525), abs=1e-6)
    assert after("a", "d", "x") == pytest.approx((0.391712, 0.444271, 0.628822), abs=1e-6)


def test_partition() -> None:
    # An encyclopaedia of dynamical systems: 1/8, 1/4, 1/8, 1/2 have 7/4 bits, and that many
    # questions are expected.
    p = np.array([1 / 8, 1 / 4, 1 / 8, 1 / 2])
    assert bayes.entropy_bits(p) == pytest.approx(7 / 4)
    assert huffman_tests(p) == pytest.approx(7 / 4)


def test_ten_lamps() -> None:
    # A metrology course: ten lamps in series, one open, a voltmeter; four measurements, the first
    # across five of them gives one bit.
    p = np.full(10, 0.1)
    gains = [split_gain_bits(p, (np.arange(10) >= k).astype(int), 2) for k in range(1, 10)]
    assert int(np.argmax(gains)) + 1 == 5
    assert max(gains) == pytest.approx(1.0)
    assert int(np.ceil(bayes.entropy_bits(p))) == 4


# Own vectors [calc]: eight equal hypotheses, a test that covers k of them.
_COVERED = (0.288083, 0.472692, 0.580346, 0.620500, 0.594836, 0.498449, 0.316041)
_PERFECT = (0.543564, 0.811278, 0.954434, 1.0)


def test_sensitivity() -> None:
    p = np.full(8, 1 / 8)
    for k, gain in enumerate(_COVERED, 1):
        positive = np.where(np.arange(8) < k, 0.95, 0.10)
        given = np.stack([positive, 1 - positive], axis=1)
        assert bayes.gain_bits(p, given) == pytest.approx(gain, abs=1e-6)
    for k, gain in enumerate(_PERFECT, 1):
        outcome = (np.arange(8) < k).astype(int)
        given = bayes.with_errors(outcome, 2, 0.0)
        assert bayes.gain_bits(p, given) == pytest.approx(gain, abs=1e-6)
        # Without errors the gain is the entropy of the outcome.
        assert bayes.entropy_bits(np.bincount(outcome, p, 2)) == pytest.approx(gain, abs=1e-6)


def test_weights() -> None:
    # Own vector [calc]: first prefix k = 1 and k = 2 tie; Huffman and the best tree in order agree.
    p = np.array([0.4, 0.2, 0.1, 0.1, 0.1, 0.05, 0.05])
    assert bayes.entropy_bits(p) == pytest.approx(2.421928, abs=1e-6)
    gains = [split_gain_bits(p, (np.arange(7) >= k).astype(int), 2) for k in range(1, 7)]
    assert gains[0] == pytest.approx(0.970951, abs=1e-6)
    assert gains[1] == pytest.approx(0.970951, abs=1e-6)
    assert max(gains) == pytest.approx(0.970951, abs=1e-6)
    assert huffman_tests(p) == pytest.approx(2.5)
    assert contiguous_tests(p) == pytest.approx(2.5)


@pytest.mark.parametrize("seed", range(5))
def test_greedy_is_near_the_bound(seed: int) -> None:
    """On a line with one open, splits by gain need at most 1.3 times the entropy."""
    # De Kleer and Williams 1987 choose by gain; the bound is Shannon's.
    random = np.random.default_rng(seed)
    p = random.dirichlet(np.full(60, 0.5))

    def tests(first: int, last: int) -> float:
        if last - first < 2 or p[first:last].sum() == 0:
            return 0.0
        part = p[first:last] / p[first:last].sum()
        places = np.arange(last - first)
        gains = [split_gain_bits(part, (places >= k).astype(int), 2) for k in places[1:]]
        cut = first + 1 + int(np.argmax(gains))
        return float(p[first:last].sum()) + tests(first, cut) + tests(cut, last)

    chosen, best = tests(0, len(p)), contiguous_tests(p)
    assert bayes.entropy_bits(p) <= huffman_tests(p) <= best <= chosen * (1 + 1e-12)
    assert chosen <= 1.3 * bayes.entropy_bits(p)


def test_nothing_possible_leaves_the_priors() -> None:
    p = bayes.posterior(np.log([0.75, 0.25]), np.array([-np.inf, -np.inf]))
    assert p == pytest.approx([0.75, 0.25])
