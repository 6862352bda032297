"""From sightings to causes by probability, and to the next test.

Singles first, all of them; then pairs, where one cause leaves something unexplained or two would do
about as well. What no test tells apart is one suspect with several causes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from layouts.sightings import LOOKS, During, Sighting
from sim.frame import Rig

from .bayes import entropy_bits, posterior
from .causes import Breakage, causes
from .likelihood import log_likelihoods, rarities, unsaid
from .next_test import next_test
from .predicted import Bench, Predicted, predicted
from .priors import Priors
from .records import Diagnosis, Suspect
from .same import same

#: From here on a suspect is taken to be it.
SURE = 0.95
#: A cause explains a sighting that is at least as probable under it as this share of the best.
_EXPLAINS = 0.02
#: So many causes are told apart and tested for; so many pairs are worked out.
_MOST, _PAIRS, _OF_EACH = 400, 160, 6
#: [nat] below the best at which a cause is not looked at while something else is shown.
_FAR, _FAR_MOST = 20.0, 1500


@dataclass(frozen=True, eq=False)
class Case:
    """A house with all its single causes, worked out once; sightings come later."""

    rig: Rig
    priors: Priors
    bench: Bench
    causes: tuple[Breakage, ...]
    codes: Mapping[During, np.ndarray]  # (N, 4) sent while each thing is shown
    visible: Mapping[During, np.ndarray]  # (N,) bool
    kept: dict[During, Predicted] = field(default_factory=dict, repr=False)

    def all_of(self, during: During) -> Predicted:
        """Every single cause while that is shown."""
        if during not in self.kept:
            self.kept[during] = self.some_of(self.causes, during)
        return self.kept[during]

    def some_of(self, some: Sequence[Breakage], during: During) -> Predicted:
        """Some causes while that is shown."""
        return predicted(self.bench, some, self.codes[during], self.visible[during])


def case(rig: Rig, priors: Priors, scheme: tuple[np.ndarray, np.ndarray] | None = None) -> Case:
    """The case of a house; `scheme` is the codes (N, 4) shown and which pixels are lit (N,).

    Without a scheme white at half stands for it.
    """
    pixels = len(rig.house.pixels)
    there = np.concatenate([run.has_pixel for run in rig.house.runs])
    white = (np.full((pixels, 4), 128, dtype=np.uint8), there & ~rig.house.pixels.spare)
    off = (np.zeros((pixels, 4), dtype=np.uint8), np.zeros(pixels, dtype=bool))
    shown: dict[During, tuple[np.ndarray, np.ndarray]] = {
        "scheme": scheme if scheme is not None else white,
        "white": white,
        "off": off,
    }
    return Case(
        rig=rig,
        priors=priors,
        bench=Bench.of(rig.network),
        causes=causes(rig.house, priors),
        codes={name: codes for name, (codes, _) in shown.items()},
        visible={name: visible for name, (_, visible) in shown.items()},
    )


def diagnose(of: Case, seen: Sequence[Sighting], *, test: bool = True) -> Diagnosis:
    """The suspects of a house in which that was seen; the next test too, unless `test` is False."""
    priors, seen = of.priors, tuple(seen)
    log_prior, likely = _singles(of, seen)
    pairs, pair_prior, pair_likely = _pairs(of, seen, log_prior, likely)
    every = (*of.causes, *pairs)
    prior = np.concatenate([log_prior, pair_prior, [np.log(priors.weights["none"])]])
    nothing = _of_none(of, seen)
    total = np.concatenate([likely, pair_likely, nothing[None]])
    best = np.sort(total[:-1, : len(seen)], axis=0)[-1] if len(seen) else np.zeros(0)
    p = posterior(prior, total.sum(axis=1))
    none = float(p[-1])
    order = np.argsort(-p[:-1], kind="stable")[:_MOST]
    left = order[np.cumsum(p[order]) - p[order] < (1 - none) * 0.9995]
    some = [every[f] for f in left]
    mass = p[left] / p[left].sum()
    shown = _shown(of, some, seen)
    groups = same(of.rig.network, some, shown, mass, priors)
    suspects = []
    for group in groups:
        mine = left[group]
        explained = total[mine[0], : len(seen)] >= best + np.log(_EXPLAINS)
        explained &= total[mine[0], : len(seen)] >= nothing[: len(seen)] + np.log(0.3)
        suspects.append(
            Suspect(
                causes=tuple(every[f] for f in mine),
                probability=float(p[mine].sum()),
                explains=tuple(np.flatnonzero(explained).tolist()),
                unexplained=tuple(np.flatnonzero(~explained).tolist()),
            )
        )
    suspects.sort(key=lambda each: -each.probability)
    whole = np.array([each.probability for each in suspects] + [none])
    found, why, most = None, None, 0.0
    if suspects[0].probability > SURE:
        why = "sure"
    elif test:
        found, most = next_test(of.rig.network, some, mass, shown, seen, priors)
        if found is None:
            why = "nothing"
        elif _repair_first(suspects[0], found.cost, priors):
            found, why = None, "repair"
    return Diagnosis(
        *(seen, tuple(suspects), none, found, why, float(entropy_bits(whole / whole.sum()))), most
    )


def _repair_first(suspect: Suspect, cost: float, priors: Priors) -> bool:
    """Whether trying the repair is cheaper than the test, at better than even odds."""
    if suspect.probability < 0.5:
        return False
    kinds = [repair_kind(one.kind) for one in suspect.causes[0].singles]
    return sum(priors.repairs[kind] for kind in kinds) <= cost


def repair_kind(kind: str) -> str:
    """The kind of repair of a kind of cause."""
    plain = {"open-data-joint": "open-data", "open-wire": "open", "joint-wire": "joint"}
    return plain.get(kind, "short" if kind == "short-wire" else kind)


def _singles(of: Case, seen: tuple[Sighting, ...]) -> tuple[np.ndarray, np.ndarray]:
    """(F,) logarithm of priors, and (F, K + 1) of likelihoods: K sightings and what is unsaid."""
    weight = np.array([cause.weight for cause in of.causes])
    with np.errstate(divide="ignore"):
        log_prior = np.log(weight / weight.sum())
    out = np.zeros((len(weight), len(seen) + 1))
    counts = {during: sum(s.during == during for s in seen) for during in of.codes}
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
        _fill(of, [of.causes[f] for f in some], there, during, seen, out, some)
    return log_prior, out


def _fill(
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


def _pairs(
    of: Case, seen: tuple[Sighting, ...], log_prior: np.ndarray, likely: np.ndarray
) -> tuple[tuple[Breakage, ...], np.ndarray, np.ndarray]:
    """Pairs worth a look, with logarithms of their priors and likelihoods."""
    none = (), np.zeros(0), np.zeros((0, likely.shape[1]))
    odd = [k for k, each in enumerate(seen) if each.what not in LOOKS or each.what != "lit"]
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
        _fill(of, pairs, there, during, seen, out, np.arange(len(pairs)))
    return pairs, prior[keep], out


def _object(cause: Breakage) -> tuple[object, ...]:
    """What of the house a cause is in: the same thing is not broken twice."""
    fault = cause.faults[0]
    return fault.run, fault.position, fault.wire, fault.supply


def _of_none(of: Case, seen: tuple[Sighting, ...]) -> np.ndarray:
    """(K + 1,) logarithm of each sighting if it is something of which nothing is known."""
    supplies = of.rig.house.supplies
    volts = 1.2 * max((supply.volts for supply in supplies), default=1.0)
    watts = sum(supply.volts * supply.rated_a for supply in supplies) or 1.0
    by = {"volts": 1 / volts, "watts": 1 / watts, "lit": 0.5}
    trials = dict.fromkeys(("bridge", "swap", "fuse"), 0.5)
    chances = [(by | trials).get(each.what, 0.12) for each in seen]
    return np.log(
        [*(c * r for c, r in zip(chances, rarities(of.rig.house, seen), strict=True)), 1.0]
    )


def _shown(
    of: Case, some: Sequence[Breakage], seen: tuple[Sighting, ...]
) -> dict[During, Predicted]:
    same_codes = np.array_equal(of.codes["scheme"], of.codes["white"])
    used: dict[During, None] = {"scheme": None}
    used |= {} if same_codes else {"white": None}
    used |= {each.during: None for each in seen if each.during != "off"}
    return {during: of.some_of(some, during) for during in used}
