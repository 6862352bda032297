"""How well each cause explains each sighting: logarithms of likelihoods.

A look is one judgement of one stretch over the time it is watched: somebody says that it is dark,
and means that it stays dark where the scheme would light it; lit, that it lights at times as the
scheme would; wrong, that it does in another colour (`shown`). So a gap of a scheme that moves is no
dark pixel, and pixels that the scheme never lights say nothing. A stretch is judged wrongly with
the shares of `Priors.said`; its ends are miscounted by a pixel or more. What is said of a part
counts for the part. What is not as it should be and is not spoken of counts a little against a
cause, since people tell what they see. Readings are Gaussian about what is computed, and now and
then of something else altogether. F causes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from layouts.records import House
from layouts.sightings import LOOKS, Sighting
from sim.circuit.build import Network

from .causes import Breakage
from .ohms import fitted
from .points import node_of
from .predicted import LIT, Predicted
from .priors import Priors
from .trials import YES, trial

#: [share of the drop below the supply] by which the model's own volts may be out.
_MODEL = 0.03
#: [share] by which watts may be out where how bad a fault is is not known.
_LOOSE_W = 0.12
#: Probability that a stretch of which a good part is something else is told of as one thing.
_HARDLY = 3e-5
#: Of a cause that is one of many degrees, how vague it is, of 1 for one of few.
_FINELY = 0.2
#: So many pixels at most are looked at one by one, and their ends [share] seldomer miscounted.
CLOSE, _SELDOMER = 9, 0.1
#: Faults that are more or less bad.
VAGUE = ("joint", "short", "sag", "hiccup")
_ELECTRICAL = ("open", "blown", "off")
#: So many pixels away it may be, with this probability.
_NEAR, _MOVED = 40, 0.15
#: Runs nobody speaks of count up to so many.
_MOST_UNSAID = 2


def log_likelihoods(
    net: Network,
    causes: Sequence[Breakage],
    shown: Mapping[str, Predicted],
    seen: Sequence[Sighting],
    priors: Priors,
) -> np.ndarray:
    """(F, K) of K sightings; `shown` is what is predicted while each of scheme, white, off."""
    loose = {what: vague(causes, what) for what in {_by(each.what) for each in seen}}
    columns = [
        _of(net, causes, shown[each.during], each, priors, rare, loose[_by(each.what)])
        for each, rare in zip(seen, rarities(net.house, seen), strict=True)
    ]
    if not columns:
        return np.zeros((len(causes), 0))
    at = [k for k, each in enumerate(seen) if each.what == "ohms"]
    if at:
        # How bad a short is is the same in all of them: together they are one, told at the first.
        there = shown[seen[at[0]].during]
        columns[at[0]] = fitted(net, causes, there, seen, priors.errors)[0]
    return np.stack(columns, axis=1)


def rarities(house: House, seen: Sequence[Sighting]) -> list[float]:
    """Of each sighting, its share of all that could be seen out of nothing: a run, or some pixels.

    1 of what is said of places already spoken of, of what is lit, and of readings.
    """
    spoken, found = np.zeros(len(house.pixels), dtype=bool), []
    for each in seen:
        fresh = each.what in LOOKS and each.what != "lit" and not spoken[each.pixels].any()
        whole = any(run.count == len(each.pixels) for run in house.runs)
        share = 1 / max(len(house.runs), 2) if whole else 1 / max(len(house.pixels), 2)
        found.append(share if fresh else 1.0)
        spoken[each.pixels] = True
    return found


def _of(
    net: Network,
    causes: Sequence[Breakage],
    there: Predicted,
    seen: Sighting,
    priors: Priors,
    rare: float,
    vaguely: np.ndarray,
) -> np.ndarray:
    if seen.what == "ohms":
        return np.zeros(len(causes))
    if seen.what in LOOKS:
        said = LOOKS.index(seen.what)
        return look(there, seen.pixels, said, priors, vaguely, rare)
    if seen.what == "volts":
        assert seen.value is not None
        node = node_of(net.topology, net.house, seen.at)
        top = max((supply.volts for supply in net.house.supplies), default=1.0)
        volts = there.volts(node)
        by = np.minimum(0.25 * np.maximum(top - volts, 0), 0.6 * np.maximum(volts, 0))
        loose = vaguely * (by + 0.01 * top)
        sigma = np.hypot(volts_sigma(volts, top, priors), loose)
        return reading(seen.value, volts, sigma, 1.2 * top, priors)
    if seen.what == "watts":
        assert seen.value is not None
        watts = there.watts()
        loose = vaguely * _LOOSE_W * watts
        sigma = np.hypot(watts_sigma(watts, priors), loose)
        return reading(seen.value, watts, sigma, 2 * max(float(watts.max()), seen.value), priors)
    # A bad contact hides what is there; what is not there seldom lights up.
    missed, wrong = float(priors.errors["trial"]), float(priors.errors["trial-false"])
    yes = np.where(trial(net, causes, there, seen), 1 - missed, wrong)
    return np.log(yes if seen.then in YES else 1 - yes)


def _by(what: str) -> str:
    """What of the sightings of one kind of vagueness stands for them."""
    return "wrong" if what in ("wrong", "flickers") else "volts"


def vague(causes: Sequence[Breakage], what: str) -> np.ndarray:
    """(F,) 0..1 how little is known of how bad it is, and with it where what is seen ends.

    1 of a few degrees that stand for all, `_FINELY` of one of many, 0 of what has no degrees.
    Where pixels are too dim or garble hangs on their volts, which the model knows about.
    """
    by_volts = _by(what) == "wrong"
    out = np.zeros(len(causes))
    for number, cause in enumerate(causes):
        for fault in cause.faults:
            if fault.kind in VAGUE:
                out[number] = max(out[number], _FINELY if cause.fine else 1.0)
            elif by_volts and fault.kind in _ELECTRICAL and fault.conductor != "data":
                out[number] = max(out[number], _FINELY)
    return out


def says_nothing(seen: Sighting, visible: np.ndarray) -> bool:
    """Whether it is a look at pixels none of which is asked for light; `visible` (N,) are asked."""
    return seen.what in LOOKS and not visible[seen.pixels].any()


def look(
    there: Predicted,
    pixels: np.ndarray,
    said: int,
    priors: Priors,
    loose: np.ndarray,
    rare: float = 1.0,
) -> np.ndarray:
    """(F,) of one look: `pixels` (K,) are said to be `said`, a number of `LOOKS`.

    `loose` (F,) is how `vague` the cause is. `rare`: share of false alarms that are just this one.
    """
    seen = pixels[there.visible[pixels]]
    if not len(seen):
        # What nothing is asked of is dark in any case.
        return np.zeros(len(there.looks))
    table = priors.said[:, said].copy()
    table[LIT] *= rare
    if len(seen) == 1:
        found = table[there.looks[:, seen[0]]]
        # Where a fault is more or less bad, what is said of it may be true beside it.
        near = there.looks[:, max(seen[0] - _NEAR, 0) : seen[0] + _NEAR + 1]
        moved = (loose == 1) & np.isin(near, np.flatnonzero(fits_of(table))).any(axis=1)
        return np.log(np.where(moved, np.maximum(found, _MOVED), found))
    looks = there.looks[:, seen]
    counts = np.stack([(looks == k).sum(axis=1) for k in range(5)], axis=1)
    # The stretch is taken for one thing, by what most of it is or by all that passes for what was
    # said, and what is something else at its ends or within was counted with it.
    fits = fits_of(table)
    passes = counts[:, fits].sum(axis=1)
    best = np.where(counts > 0, table, 0.0)[:, fits].max(axis=1, initial=0.0)
    close = len(seen) <= CLOSE
    found = best * miscount(len(seen) - passes, priors, loose, close=close)
    for k in range(5):
        there_is = np.where(counts[:, k] > 0, table[k], 0.0)
        ends = miscount(len(seen) - counts[:, k], priors, loose, close=close)
        found = np.maximum(found, there_is * ends)
    return np.log(np.maximum(found, _HARDLY * rare))


def fits_of(table: np.ndarray) -> np.ndarray:
    """(5,) bool: what passes for what was said, by the probability (5,) that it is so called."""
    return table >= 0.3


def miscount(
    pixels: np.ndarray, priors: Priors, loose: np.ndarray, *, close: bool = False
) -> np.ndarray:
    """(F,) the probability that so many pixels (F,) are more or fewer than said."""
    error, further = priors.errors, np.maximum(pixels - 1, 0)
    sharp = error["miscount"] * error["miscount-more"] ** further
    again = np.where(loose == 1, error["vague-more"], error["fine-more"])
    wide = error["vague"] * again**further
    sharp = sharp * (_SELDOMER if close else 1.0)
    return np.where(pixels == 0, 1.0, np.where(loose > 0, np.maximum(sharp, wide), sharp))


def unsaid(
    house: House,
    causes: Sequence[Breakage],
    there: Predicted,
    seen: Sequence[Sighting],
    priors: Priors,
    *,
    whole: bool,
) -> np.ndarray:
    """(F,) logarithm of that nobody speaks of what is not as it should be.

    `whole`: somebody looked at the whole house, not at the places of a test alone.
    """
    looks = [each for each in seen if each.what in LOOKS]
    out = np.zeros(len(there.looks))
    if not any(each.what != "lit" for each in looks):
        return out
    said = np.zeros(len(house.pixels), dtype=bool)
    for each in looks:
        said[each.pixels] = True
    loose = vague(causes, "wrong")
    odd = there.odd
    runs = np.zeros(len(out))
    for run in house.runs:
        spoken = said[run.pixels]
        if spoken.all():
            continue
        part = odd[:, run.pixels] if not spoken.any() else odd[:, run.pixels][:, ~spoken]
        some = part.any(axis=1)
        if not spoken.any():
            runs += some
            continue
        # The rest of a run of which a part is spoken of: its end was miscounted, or left out.
        count = part.sum(axis=1)
        factor = np.maximum(miscount(count, priors, loose), priors.errors["left-out"])
        out += np.log(np.where(some, factor, 1.0))
    if whole:
        out += np.minimum(runs, _MOST_UNSAID) * np.log(priors.errors["unsaid"])
    return out


def reading(
    value: float, expected: np.ndarray, sigma: np.ndarray, span: float, priors: Priors
) -> np.ndarray:
    """(F,) logarithm of the density of a reading, or of one of something else within `span`."""
    other = priors.errors["reading"]
    z = (value - expected) / sigma
    right = np.exp(-0.5 * z**2) / (np.sqrt(2 * np.pi) * sigma)
    return np.log((1 - other) * right + other / max(span, 1e-9))


def volts_sigma(volts: np.ndarray, top: float, priors: Priors) -> np.ndarray:
    """[V] of a reading about what is computed: the meter's, and the model's share of the drop.

    What is cut off is at nothing, whatever the model's currents.
    """
    meter = priors.errors["volts-share"] * volts + priors.errors["volts"]
    return np.hypot(meter, _MODEL * np.clip(np.minimum(top - volts, volts), 0.0, None))


def watts_sigma(watts: np.ndarray, priors: Priors) -> np.ndarray:
    """[W] of a reading about what is computed."""
    return priors.errors["watts-share"] * watts + priors.errors["watts"]
