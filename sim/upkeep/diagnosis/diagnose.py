"""From sightings to causes by probability, and to the next test.

Singles first, all of them, in a quick way; then pairs, where one cause leaves something unexplained
or two would do about as well. What is left is looked at more closely: how bad a joint is and where,
and the likeliest causes in the true model. What no test tells apart is one suspect with several
causes.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from layouts.sightings import During, Sighting

from .bayes import entropy_bits, posterior
from .case import Case
from .causes import Breakage
from .closer import closer
from .next_test import next_test
from .predicted import Predicted
from .priors import Priors
from .records import Diagnosis, Suspect
from .same import same
from .weighing import fill, of_none, of_pairs, of_singles

#: From here on a suspect is taken to be it.
SURE = 0.95
#: A cause explains a sighting that is at least as probable under it as this share of the best.
_EXPLAINS = 0.02
#: So often the likeliest of few degrees are looked at closer, once something was measured.
_CLOSER = 2
#: So many causes are told of; so many are told apart by all that could be seen, and tested for.
_MOST, _TESTED = 900, 240
#: So many are worked out in the true model: pixels and frames, and the least and most of causes.
_EXACT, _EXACT_LEAST, _EXACT_MOST = 50_000, 12, 48


def diagnose(of: Case, seen: Sequence[Sighting], *, test: bool = True) -> Diagnosis:
    """The suspects of a house in which that was seen; the next test too, unless `test` is False."""
    priors, seen = of.priors, tuple(seen)
    every, prior, likely, nothing = _weighed(of, seen)
    total = np.concatenate([likely, nothing[None]])
    prior = np.concatenate([prior, [np.log(priors.weights["none"])]])
    p = posterior(prior, total.sum(axis=1))
    order = np.argsort(-p[:-1], kind="stable")
    exact = _exact_count(of)
    first = order[:exact]
    _fill_each(of, [every[f] for f in first], seen, total, first, exact)
    best = np.sort(total[:-1, : len(seen)], axis=0)[-1] if len(seen) else np.zeros(0)
    p = posterior(prior, total.sum(axis=1))
    none = float(p[-1])
    order = np.argsort(-p[:-1], kind="stable")[:_MOST]
    left = order[np.cumsum(p[order]) - p[order] < (1 - none) * 0.9995]
    tested, rest = left[:_TESTED], left[_TESTED:]
    some = [every[f] for f in tested]
    mass = p[tested] / p[tested].sum()
    shown = _shown(of, some, seen, exact)
    together = same(of.rig.network, some, shown, mass, priors)
    groups = [tested[group] for group in together]
    suspects, apart = [], []
    for mine in _with_rest(groups, rest, every):
        explained = total[mine[0], : len(seen)] >= best + np.log(_EXPLAINS)
        explained &= total[mine[0], : len(seen)] >= nothing[: len(seen)] + np.log(0.3)
        at = _kinds_of([_short_at(every[f]) for f in mine])
        apart += np.bincount(at, p[mine]).tolist()
        suspects.append(
            Suspect(
                causes=tuple(every[f] for f in mine),
                probability=float(p[mine].sum()),
                explains=tuple(np.flatnonzero(explained).tolist()),
                unexplained=tuple(np.flatnonzero(~explained).tolist()),
            )
        )
    suspects.sort(key=lambda each: -each.probability)
    whole = np.array([*apart, none])
    found, why, most = None, None, 0.0
    if suspects[0].probability > SURE:
        why = "sure"
    elif test:
        number = dict(_numbered(together))
        told = _kinds_of([(number[g], _short_at(cause)) for g, cause in enumerate(some)])
        share = float(p[tested].sum())
        found, most = next_test(of.rig.network, some, mass, shown, seen, priors, told, share)
        if found is None:
            why = "nothing"
        elif _repair_first(suspects[0], found.cost, priors):
            found = replace(found, repair_first=True)
    bits = float(entropy_bits(whole / whole.sum()))
    hot = of.hot(suspects[0].causes[0])
    return Diagnosis(seen, tuple(suspects), none, found, why, bits, most, hot)


def _weighed(
    of: Case, seen: tuple[Sighting, ...]
) -> tuple[list[Breakage], np.ndarray, np.ndarray, np.ndarray]:
    """F causes, singles and pairs, in degrees where it matters; (F,) logarithms of priors, (F, K+1)
    of likelihoods, and (K+1,) of something unknown.
    """
    log_prior, likely = of_singles(of, seen)
    pairs, pair_prior, pair_likely = of_pairs(of, seen, log_prior, likely)
    every = [*of.causes, *pairs]
    prior = np.concatenate([log_prior, pair_prior])
    likely = np.concatenate([likely, pair_likely])
    nothing = of_none(of, seen)
    whole = sum(cause.weight for cause in of.causes)
    # What is left as it was, of few degrees, explains a little of everything: closer, till the
    # likeliest are all looked at.
    for _ in range(_CLOSER if any(each.what in ("volts", "ohms") for each in seen) else 1):
        gone, fresh = closer(of.rig.house, every, posterior(prior, likely.sum(axis=1)))
        if not fresh:
            break
        finer = np.zeros((len(fresh), likely.shape[1]))
        _fill_each(of, fresh, seen, finer, np.arange(len(fresh)))
        prior = np.concatenate([prior, np.log([cause.weight / whole for cause in fresh])])
        prior[gone] = -np.inf
        likely = np.concatenate([likely, finer])
        every += fresh
    return every, prior, likely, nothing


def _fill_each(
    of: Case,
    some: Sequence[Breakage],
    seen: tuple[Sighting, ...],
    out: np.ndarray,
    at: np.ndarray,
    exact: int = 0,
) -> None:
    """Rows `at` of `out` (F, K + 1) anew, the causes `some` as they are in the true model."""
    if not len(some):
        return
    out[at, -1] = 0.0
    for during in dict.fromkeys(each.during for each in seen):
        there = of.exact_of(some, during, exact)
        fill(of, some, there, during, seen, out, at)


def _with_rest(
    groups: Sequence[np.ndarray], rest: np.ndarray, every: Sequence[Breakage]
) -> list[np.ndarray]:
    """The groups, and improbable causes: with the degrees of the same thing, else by themselves."""

    def thing(f: int) -> tuple[object, ...]:
        faults = every[f].faults
        return every[f].kind, *(replace(fault, ohm=None, volts=None) for fault in faults)

    made = {thing(int(group[0])): group.tolist() for group in reversed(groups)}
    for f in rest.tolist():
        made.setdefault(thing(f), []).append(f)
    # Two groups may begin with degrees of one thing that look different.
    doubled = [group for group in groups if made[thing(int(group[0]))][0] != group[0]]
    return [np.array(mine) for mine in made.values()] + doubled


def _numbered(groups: Sequence[np.ndarray]) -> Iterator[tuple[int, int]]:
    """Every member of some groups, with the number of its group."""
    for number, group in enumerate(groups):
        for member in group.tolist():
            yield member, number


def _short_at(cause: Breakage) -> tuple[object, ...]:
    """Where + and − touch: the place to open, which ohms tell where looks and volts do not."""
    return tuple((f.run, f.position, f.wire) for f in cause.faults if f.kind == "short")


def _kinds_of(keys: Sequence[Hashable]) -> np.ndarray:
    """(K,) numbers of keys from 0 on, equal ones alike."""
    number: dict[Hashable, int] = {}
    return np.array([number.setdefault(key, len(number)) for key in keys], dtype=np.int64)


def _exact_count(of: Case) -> int:
    return int(np.clip(_EXACT // max(len(of.rig.house.pixels), 1), _EXACT_LEAST, _EXACT_MOST))


def _repair_first(suspect: Suspect, cost: float, priors: Priors) -> bool:
    """Whether trying the repair is cheaper than the test, at better than even odds."""
    if suspect.probability < 0.5:
        return False
    kinds = [repair_kind(one.kind) for one in suspect.causes[0].singles]
    return sum(priors.repairs[kind] for kind in kinds) <= cost


def repair_kind(kind: str) -> str:
    """The kind of repair of a kind of cause."""
    plain = {
        **{"open-data-joint": "open-data", "open-wire": "open", "joint-wire": "joint"},
        **{"short-wire": "short", "dead-first": "dead"},
    }
    return plain.get(kind, kind)


def _shown(
    of: Case, some: Sequence[Breakage], seen: tuple[Sighting, ...], exact: int
) -> dict[During, Predicted]:
    scheme, white = of.sent["scheme"], of.sent["white"]
    alike = np.array_equal(scheme.codes, white.codes) and np.array_equal(scheme.asked, white.asked)
    used: dict[During, None] = {"scheme": None}
    used |= {} if alike else {"white": None}
    used |= {each.during: None for each in seen if each.during != "off"}
    return {during: of.exact_of(some, during, exact) for during in used}
