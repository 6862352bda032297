"""How probable what was seen is under every cause, and which pairs of causes are worth a look."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from layouts.sightings import LOOKS, During, Sighting

from .case import Case
from .causes import Breakage
from .likelihood import log_likelihoods, rarities, says_nothing, unsaid
from .predicted import Predicted

#: So many pairs are worked out, of so many causes for each sighting.
_PAIRS, _OF_EACH = 160, 6
#: [nat] below the best at which a cause is not looked at while something else is shown.
_FAR, _FAR_MOST = 20.0, 1500


def of_singles(of: Case, seen: tuple[Sighting, ...]) -> tuple[np.ndarray, np.ndarray]:
    """(F,) logarithm of priors, and (F, K + 1) of likelihoods: K sightings and what is unsaid."""
    weight = np.array([cause.weight for cause in of.causes])
    with np.errstate(divide="ignore"):
        log_prior = np.log(weight / weight.sum())
    out = np.zeros((len(weight), len(seen) + 1))
    counts = {during: sum(s.during == during for s in seen) for during in of.sent}
    for turn, during in enumerate(sorted(counts, key=lambda d: -counts[d])):
        if not counts[during]:
            break
        some = np.arange(len(weight))
        if turn == 0 or during in of.kept:
            there = of.all_of(during)
        else:
            # Only what the first sightings leave is looked at while something else is shown.
            so_far = log_prior + out.sum(axis=1)
            some = np.argsort(-so_far, kind="stable")[:_FAR_MOST]
            some = some[so_far[some] > so_far[some[0]] - _FAR]
            out[:, -1] -= np.where(np.isin(np.arange(len(weight)), some), 0.0, _FAR)
            there = of.some_of([of.causes[f] for f in some], during)
        fill(of, [of.causes[f] for f in some], there, during, seen, out, some)
    return log_prior, out


def fill(
    of: Case,
    some: Sequence[Breakage],
    there: Predicted,
    during: During,
    seen: tuple[Sighting, ...],
    out: np.ndarray,
    at: np.ndarray,
) -> None:
    mine = [k for k, each in enumerate(seen) if each.during == during]
    part = [seen[k] for k in mine]
    made = log_likelihoods(of.rig.network, some, {during: there}, part, of.priors)
    # The same thing told again is no new evidence: whoever misjudges it does so again.
    told: set[tuple[object, ...]] = set()
    for k, each in enumerate(part):
        key = (each.what, each.then, tuple(each.pixels.tolist()))
        if each.what in LOOKS and key in told:
            made[:, k] = 0.0
        told.add(key)
    out[np.ix_(at, np.array(mine, dtype=np.int64))] = made
    house = of.rig.house
    out[at, -1] += unsaid(house, some, there, part, of.priors, whole=during == "scheme")


def of_pairs(
    of: Case, seen: tuple[Sighting, ...], log_prior: np.ndarray, likely: np.ndarray
) -> tuple[tuple[Breakage, ...], np.ndarray, np.ndarray]:
    """Pairs worth a look, with logarithms of their priors and likelihoods."""
    none = (), np.zeros(0), np.zeros((0, likely.shape[1]))
    odd = [
        k
        for k, each in enumerate(seen)
        if each.what != "lit" and not says_nothing(each, of.sent[each.during].visible)
    ]
    if len(odd) < 2:
        return none
    score = log_prior + likely.sum(axis=1)
    lit = [k for k in range(len(seen)) if k not in odd]
    ground = log_prior + likely[:, lit].sum(axis=1)
    chosen: dict[int, None] = dict.fromkeys(np.argsort(-score)[:_OF_EACH].tolist())
    for k in odd:
        chosen |= dict.fromkeys(np.argsort(-(ground + likely[:, k]))[:_OF_EACH].tolist())
    picked = np.array(list(chosen))
    apart = [
        pair
        for pair in combinations(picked.tolist(), 2)
        if _object(of.causes[pair[0]]) != _object(of.causes[pair[1]])
    ]
    if not apart:
        return none
    two = np.array(apart)
    prior = np.log(2 * of.priors.weights["two"]) + log_prior[two].sum(axis=1)
    # As if each did what it does alone: good enough to choose by.
    about = prior + np.maximum(likely[two[:, 0]], likely[two[:, 1]])[:, odd].sum(axis=1)
    about += np.minimum(likely[two[:, 0]], likely[two[:, 1]])[:, lit].sum(axis=1)
    keep = np.argsort(-about)[:_PAIRS]
    keep = keep[about[keep] > score.max() - 8]
    if not len(keep):
        return none
    pairs = tuple(Breakage.both(*(of.causes[f] for f in pair)) for pair in two[keep])
    out = np.zeros((len(pairs), likely.shape[1]))
    for during in dict.fromkeys(each.during for each in seen):
        there = of.some_of(pairs, during)
        fill(of, pairs, there, during, seen, out, np.arange(len(pairs)))
    return pairs, prior[keep], out


def _object(cause: Breakage) -> tuple[object, ...]:
    """What of the house a cause is in: the same thing is not broken twice."""
    fault = cause.faults[0]
    return fault.run, fault.position, fault.wire, fault.supply


def of_none(of: Case, seen: tuple[Sighting, ...]) -> np.ndarray:
    """(K + 1,) logarithm of each sighting if it is something of which nothing is known."""
    supplies = of.rig.house.supplies
    volts = 1.2 * max((supply.volts for supply in supplies), default=1.0)
    watts = sum(supply.volts * supply.rated_a for supply in supplies) or 1.0
    by = {"volts": 1 / volts, "watts": 1 / watts, "lit": 0.5}
    trials = dict.fromkeys(("bridge", "swap", "fuse"), 0.5)
    chances = [
        1.0
        if says_nothing(each, of.sent[each.during].visible)
        else (by | trials).get(each.what, 0.12) * rare
        for each, rare in zip(seen, rarities(of.rig.house, seen), strict=True)
    ]
    return np.log([*chances, 1.0])
