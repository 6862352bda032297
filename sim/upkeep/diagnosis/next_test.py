"""The test worth making next: the most bits of information for a minute of work.

Tests are tried on the causes that are left, G of them, with their probabilities. What a test would
show is what is predicted of each; predictions that no eye and no meter tells apart are one outcome.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from layouts.fault_lines import wire_text
from layouts.records import House
from layouts.sightings import LOOKS, During, Sighting
from sim.circuit.build import Network

from .bayes import gain_bits, of_groups, outcome_p, with_errors
from .causes import Breakage
from .left_out import POWERED, left_out
from .likelihood import CLOSE, volts_sigma, watts_sigma
from .notation import looks_text, range_text
from .ohms import OVER_OHM, read_now, sigma_ohm
from .points import node_of, points_of
from .predicted import DARK, DIMMER, LIT, Predicted
from .priors import Priors
from .records import NextTest, Outcome
from .trials import blown, bridged, interrupted, swapped

#: Readings closer than so many standard deviations are one outcome.
_APART = 3.0
#: So many single pixels are looked at.
_CLOSE = 12
#: [share] of a look or reading that comes out as another outcome.
_ERROR = 0.02

#: What a test needs beside eyes, hands and a multimeter, which are 0: a plug-in meter, or a wire
#: led to pads (1), a bench supply (2); and the share of bits a minute at which the test that needs
#: less is preferred. Order and share are a choice.
_INSTRUMENT = {"watts": 1, "bridge": 1, "ohms": 2}
_NEARLY = 0.9
#: Once a new fuse blew, a test under power counts as one that needs so much more.
_BESIDE_A_SHORT = 2

_TRIALS = ("bridge", "swap", "fuse", "new_fuse", "continuity")
#: So many pixels on either side are looked at with one.
_NEAR = CLOSE // 2
#: Ohms are measured where shorts have this probability.
_SHORTS = 0.02
#: So many conductors are checked for continuity.
_CHECKED = 8

#: A test's outcomes: the number of each cause's, and what each number would be written as.
Parted = tuple[np.ndarray, Callable[[int], str]]


def next_test(
    net: Network,
    causes: Sequence[Breakage],
    p: np.ndarray,
    shown: Mapping[During, Predicted],
    seen: Sequence[Sighting],
    priors: Priors,
    suspect: np.ndarray,
    share: float = 1.0,
) -> tuple[NextTest | None, float]:
    """The best test by bits a minute, None where none tells anything; `p` (G,) sums to 1.

    `suspect` (G,) is the number of what each cause would have one repair: what a test tells of how
    bad something is counts for nothing, since the repair is the same. `share` is the probability
    that it is one of them at all. And the bits of the most telling test, whatever it costs.
    """
    best: NextTest | None = None
    most = best_worth = 0.0
    out = left_out(net.house, seen)
    wires = {wire_text(wire, net.house): wire for wire in range(len(net.house.wires))}
    for what, at, during, cost, (outcome, told) in _tests(net, causes, p, shown, seen, priors):
        groups = int(outcome.max()) + 1
        # Continuity names its conductor: `continuity plus`.
        test, _, conductor = what.partition(" ")
        fuse = wires.get(at) if test == "new_fuse" else None
        if groups < 2 or not out.safe(test, fuse):
            continue
        cost += priors.costs["trip"]
        if test in _TRIALS:
            missed, wrong = priors.errors["trial"], priors.errors["trial-false"]
            given = np.array([[1 - wrong, wrong], [missed, 1 - missed]])[outcome]
        else:
            given = with_errors(outcome, groups, _ERROR)
        gain = share * gain_bits(*of_groups(p, given, suspect))
        most = max(most, gain)
        if gain < 1e-3:
            continue
        # By minutes; of nearly equal ones that which needs less of an instrument.
        needs = _INSTRUMENT.get(test, 0)
        needs += _BESIDE_A_SHORT if out.shorted and test in POWERED else 0
        worth = gain / cost * _NEARLY**needs
        if worth <= best_worth:
            continue
        best_worth = worth
        chance = outcome_p(p, given)
        order = np.argsort(-chance, kind="stable")[:12]
        outcomes = tuple(Outcome(told(int(o)), float(chance[o])) for o in order)
        fuses = tuple(wire_text(wire, net.house) for wire in out.stays_out(test, fuse))
        best = NextTest(test, at, during, cost, gain, outcomes, conductor or None, fuses)
    return best, most


def _tests(
    net: Network,
    causes: Sequence[Breakage],
    p: np.ndarray,
    shown: Mapping[During, Predicted],
    seen: Sequence[Sighting],
    priors: Priors,
) -> Iterator[tuple[str, str, During, float, Parted]]:
    house, cost = net.house, priors.costs
    done = {(s.what, s.text, s.during) for s in seen}
    for during, there in shown.items():
        yield from _looks(house, during, there, seen, cost)
        for pixel in _doubtful(there, p):
            near = _around(house, pixel)
            at = _stretch_text(house, near)
            if not _looked_at(pixel, during, seen):
                parted = _parted(house, there, near)
                yield "look", at, during, cost["look-close"], parted
        if ("watts", "wall", during) not in done:
            watts = there.watts()
            parted = _readings(watts, watts_sigma(watts, priors), "W")
            yield "watts", "wall", during, cost["watts"], parted
        top = max((supply.volts for supply in house.supplies), default=1.0)
        for at, kind, point in points_of(house, causes, p):
            if ("volts", at, during) in done:
                continue
            volts = there.volts(node_of(net.topology, house, point))
            parted = _readings(volts, volts_sigma(volts, top, priors), "V")
            yield "volts", at, during, cost[f"volts-{kind}"], parted
    during, there = next(iter(shown.items()))
    tried = {(s.what, s.text) for s in seen}
    came = {(s.what, s.text, s.then) for s in seen}
    for wire, each in enumerate(house.wires):
        label = wire_text(wire, house)
        if each.fuse_a is not None and ("fuse", label) not in tried:
            parted = _either(blown(causes, there, wire), "blown", "whole")
            yield "fuse", label, during, cost["fuse"], parted
        if ("fuse", label, "blown") in came and ("new_fuse", label) not in tried:
            parted = _either(there.opened[:, wire], "blows", "holds")
            yield "new_fuse", label, during, cost["new-fuse"], parted
    yield from _ohms(net, causes, p, there, seen, priors)
    for conductor, at, price, parted in _continuity(house, causes, there, p, seen, cost):
        yield f"continuity {conductor}", at, during, price, parted
    for number, output in enumerate(house.outputs):
        if output.chain and ("swap", output.name) not in tried:
            parted = _either(swapped(house, causes, there, number), "lit", "dark")
            yield "swap", output.name, during, cost["swap"], parted
    for pixel in first_dark(house, there, p):
        at = pixel_text(house, pixel)
        if ("bridge", at) not in tried:
            parted = _either(bridged(house, causes, there, pixel), "lit", "dark")
            yield "bridge", at, during, cost["bridge"], parted


def _ohms(
    net: Network,
    causes: Sequence[Breakage],
    p: np.ndarray,
    there: Predicted,
    seen: Sequence[Sighting],
    priors: Priors,
) -> Iterator[tuple[str, str, During, float, Parted]]:
    """Ohms between + and −, unplugged, where a short is likely enough to look for it."""
    short = np.array([any(f.kind == "short" for f in cause.faults) for cause in causes])
    if not float(p[short].sum()) > _SHORTS:
        return
    done = {each.text for each in seen if each.what == "ohms"}
    points = [each for each in points_of(net.house, causes, p) if each[0] not in done]
    nodes = [node_of(net.topology, net.house, point) for _, _, point in points]
    ohms = read_now(net, causes, there, nodes, seen, priors.errors)
    for k, (at, kind, _) in enumerate(points):
        parted = _readings(ohms[:, k], sigma_ohm(ohms[:, k], priors.errors), "Ω")
        cost = priors.costs[f"volts-{kind}"] + priors.costs["unplug"]
        # Whoever has measured ohms already has the bench supply there.
        cost += 0.0 if done else priors.costs["bench-supply"]
        yield "ohms", at, "scheme", cost, parted


def _continuity(
    house: House,
    causes: Sequence[Breakage],
    there: Predicted,
    p: np.ndarray,
    seen: Sequence[Sighting],
    cost: Mapping[str, float],
) -> Iterator[tuple[str, str, float, Parted]]:
    """Of the conductors that are most probably open, one by one."""
    weight: dict[tuple[str, int | None, int | None], float] = {}
    for cause, share in zip(causes, p, strict=True):
        for fault in cause.faults:
            key: tuple[str, int | None, int | None]
            if fault.kind == "blown":
                key = ("plus", None, fault.wire)
            elif fault.kind != "open":
                continue
            elif fault.wire is not None:
                key = (str(fault.conductor), None, fault.wire)
            else:
                run = house.run(str(fault.run))
                if fault.position == run.count or not run.has_pixel[fault.position or 0]:
                    continue
                key = (str(fault.conductor), run.first + (fault.position or 0), None)
            weight[key] = weight.get(key, 0.0) + float(share)
    done = {(s.conductor, s.text) for s in seen if s.what == "continuity"}
    for conductor, pixel, wire in sorted(weight, key=lambda key: -weight[key])[:_CHECKED]:
        at = wire_text(wire, house) if wire is not None else pixel_text(house, int(pixel or 0))
        if (conductor, at) in done:
            continue
        parted = _either(interrupted(house, causes, there, conductor, pixel, wire), "open", "whole")
        price = cost["continuity-wire" if wire is not None else "continuity-pixel"]
        yield conductor, at, price, parted


def _looked_at(pixel: int, during: During, seen: Sequence[Sighting]) -> bool:
    """Whether that pixel was judged from nearby: by itself, or with few others."""
    return any(
        s.what in LOOKS and s.during == during and len(s.pixels) <= CLOSE and pixel in s.pixels
        for s in seen
    )


def _around(house: House, pixel: int) -> slice:
    """A pixel and those beside it."""
    run = house.runs[house.pixels.run[pixel]]
    return slice(max(pixel - _NEAR, run.first), min(pixel + _NEAR + 1, run.first + run.count))


def _stretch_text(house: House, pixels: slice) -> str:
    """Some pixels of one run as files have them."""
    run = house.runs[house.pixels.run[pixels.start]]
    first, last = pixels.start - run.first, pixels.stop - run.first
    return f"{run.name}[{first}:{last}]" if last - first > 1 else f"{run.name}[{first}]"


def _looks(
    house: House,
    during: During,
    there: Predicted,
    seen: Sequence[Sighting],
    cost: Mapping[str, float],
) -> Iterator[tuple[str, str, During, float, Parted]]:
    covered = np.zeros(len(house.pixels), dtype=bool)
    for each in seen:
        if each.what in LOOKS and each.during == during:
            # Who speaks of a part of a run has looked at the run.
            if len(each.pixels) > 1 or each.what != "lit":
                for run in np.unique(house.pixels.run[each.pixels]):
                    covered[house.runs[run].pixels] = True
            covered[each.pixels] = True
    price = cost["look" if during == "scheme" else "look-white"]
    for run in house.runs:
        if not (covered[run.pixels] | ~there.visible[run.pixels]).all():
            yield "look", run.name, during, price, _parted(house, there, run.pixels)
    if not (covered & there.visible).any():
        whole = slice(0, len(covered))
        yield "look", "all", during, 2 * price, _parted(house, there, whole)


def _doubtful(there: Predicted, p: np.ndarray) -> list[int]:
    """Pixels that the causes are most divided about: where a stretch ends, say."""
    odd = (there.looks != LIT) & (there.looks != DIMMER)
    share = p @ odd
    order = np.argsort(np.abs(share - 0.5), kind="stable")[:_CLOSE]
    return [int(n) for n in order if 0.02 < share[n] < 0.98]


def _parted(house: House, there: Predicted, pixels: slice) -> Parted:
    looks = there.looks[:, pixels].copy()
    looks[looks == DIMMER] = LIT
    _, first, outcome = np.unique(looks, axis=0, return_index=True, return_inverse=True)
    return outcome.ravel(), lambda o: looks_text(house, looks[first[o]], pixels.start)


def _readings(values: np.ndarray, sigma: np.ndarray, unit: str) -> Parted:
    order = np.argsort(values, kind="stable")
    step = np.diff(values[order]) > _APART * sigma[order[1:]]
    outcome = np.zeros(len(values), dtype=np.int64)
    outcome[order[1:]] = np.cumsum(step)
    # A long row of values with no gap is still told apart at its ends.
    for group in range(int(outcome.max()) + 1 if len(values) else 0):
        mine = np.flatnonzero(outcome == group)
        wide = _APART * float(sigma[mine].mean())
        span = float(np.ptp(values[mine]))
        if span > 2 * wide:
            bins = ((values[mine] - values[mine].min()) / wide).astype(np.int64)
            outcome[mine] = outcome.max() + 1 + bins
    _, outcome = np.unique(outcome, return_inverse=True)
    return outcome, lambda o: _reading_text(values[outcome == o], unit)


def _reading_text(values: np.ndarray, unit: str) -> str:
    if unit == "Ω" and values.min() >= OVER_OHM:
        return f"over {OVER_OHM:g} Ω"
    return range_text(values, unit)


def _either(yes: np.ndarray, one: str, other: str) -> Parted:
    return yes.astype(np.int64), lambda o: one if o else other


def first_dark(house: House, there: Predicted, p: np.ndarray) -> list[int]:
    """The first pixel of each chain that each of the likeliest causes has dark."""
    found: dict[int, float] = {}
    at = np.flatnonzero(there.place >= 0)
    order = at[np.argsort(there.place[at])]
    run_of = house.pixels.run[order]
    for g in np.argsort(-p)[:60]:
        dark = there.looks[g, order] == DARK
        for run in np.unique(run_of[dark])[:3]:
            first = int(order[np.flatnonzero(dark & (run_of == run))[0]])
            found[first] = found.get(first, 0.0) + float(p[g])
    return sorted(found, key=lambda pixel: -found[pixel])[:12]


def pixel_text(house: House, pixel: int) -> str:
    """A pixel as files have it: `gable[75]`."""
    run = house.runs[house.pixels.run[pixel]]
    return f"{run.name}[{pixel - run.first}]"
