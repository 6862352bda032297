"""Bayes over a list of hypotheses, and what a test is worth: no houses in here.

H hypotheses, O outcomes of a test. Everything is kept in logarithms until the end.

References: the worth of a test is its expected information gain H(p) − Σ P(o)·H(p given o) (de
Kleer and Williams 1987; formula from memory), divided by what it costs.
"""

from __future__ import annotations

import numpy as np


def posterior(log_prior: np.ndarray, *log_likelihoods: np.ndarray) -> np.ndarray:
    """(H,) probabilities from (H,) logarithms, of any scale; sightings independent given H.

    Where nothing is possible, all that the priors allow is as probable as they say.
    """
    total = np.asarray(log_prior, dtype=float) + sum(np.asarray(each) for each in log_likelihoods)
    most = total.max()
    if not np.isfinite(most):
        total = np.asarray(log_prior, dtype=float)
        most = total.max()
    weight = np.exp(total - most)
    return weight / weight.sum()


def entropy_bits(p: np.ndarray) -> np.ndarray:
    """(…,) bits of distributions (…, H)."""
    p = np.asarray(p, dtype=float)
    safe = np.where(p > 0, p, 1.0)
    return -(p * np.log2(safe)).sum(axis=-1)


def outcome_p(p: np.ndarray, given: np.ndarray) -> np.ndarray:
    """(O,) probability of each outcome; `given` (H, O) that of the outcome under each H."""
    return p @ given


def gain_bits(p: np.ndarray, given: np.ndarray) -> float:
    """Expected fall of entropy by a test: the mutual information of hypothesis and outcome.

    p : (H,); given : (H, O), rows sum to 1. I = H(outcome) − Σ p_h H(outcome given h).
    """
    return float(entropy_bits(outcome_p(p, given)) - p @ entropy_bits(given))


def of_groups(p: np.ndarray, given: np.ndarray, group: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(S,) and (S, O) of groups of hypotheses: `p` (H,), `given` (H, O), `group` (H,) in 0..S−1.

    What a test tells of the groups is never more than what is open among them.
    """
    whole = np.bincount(group, p)
    mixed = np.zeros((len(whole), given.shape[1]))
    np.add.at(mixed, group, p[:, None] * given)
    return whole, mixed / np.maximum(whole, 1e-300)[:, None]


def with_errors(outcome: np.ndarray, groups: int, error: float) -> np.ndarray:
    """(H, O) of a test that gives `outcome` (H,) but for `error`, which spreads evenly."""
    if groups < 2:
        return np.ones((len(outcome), 1))
    given = np.full((len(outcome), groups), error / (groups - 1))
    given[np.arange(len(outcome)), outcome] = 1 - error
    return given
