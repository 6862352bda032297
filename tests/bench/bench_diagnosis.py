"""How often a diagnosis is right: faults drawn at random, sightings made from them, tests followed.

Run `python tests/bench/bench_diagnosis.py [cases] [seed] [demo|random|both] [-v] [careful]`; it
prints and asserts nothing. Of every kind so many cases are drawn, places and houses by the stated
weights of the priors; the row `by priors` counts each kind as often as the weights say that it
breaks and shows. A fault that shows in no pixel is drawn again.

| column | means |
|---|---|
| exact | the first cause has the kind, the place and the conductor of what was broken |
| ±2 px | the same, two pixels beside it at most |
| group | what was broken is among the causes of the first suspect, which no test tells apart |
| in 3 | … of the first three suspects |
| tests | that were made; four at most |
| bound | bits lost from the first sightings to the end, over the mean bits of the most telling |
| | test on offer at each step, at any cost; at least 1 where a test was made |
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from diagnosis_houses import random_house
from diagnosis_truth import CAREFUL, USUAL, People, Truth, answered, drawn, told

from layouts import load_house
from layouts.sightings import Sighting
from sim.frame import rig
from sim.upkeep.diagnosis import load_priors
from sim.upkeep.diagnosis.case import Case, case
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.diagnose import diagnose
from sim.upkeep.diagnosis.records import Diagnosis, Suspect
from sim.upkeep.diagnosis.shown import still

DEMO = Path(__file__).parents[2] / "demo"
TESTS = 4
KINDS = (
    *("dead", "dead-first", "dark", "stuck", "garbage", "open-data", "open-data-joint", "open"),
    *("joint", "open-wire", "joint-wire", "short", "short-wire", "blown", "off", "sag", "hiccup"),
    *("output", "common-minus"),
)


def is_right(suspect: Suspect, real: Truth, slack: int = 0) -> bool:
    """Whether one of the causes of a suspect is what is broken, at its very place."""
    return any(matches(cause, real, slack) for cause in suspect.causes)


def matches(cause: Breakage, real: Truth, slack: int = 0) -> bool:
    """Whether a cause is what is broken; `slack` pixels beside it at most."""
    if len(cause.faults) != len(real.faults):
        return False
    if len(real.faults) > 1:
        return {_plain(f) for f in cause.faults} == {_plain(f) for f in real.faults}
    fault, (true,) = cause.faults[0], real.faults
    if (real.kind == "output") != (cause.kind == "output"):
        # A port that sends nothing and a lead that is open are not the same repair.
        return False
    if _plain(fault)[:-1] != _plain(true)[:-1]:
        return False
    if true.position is None:
        return True
    return cause.first - slack <= true.position <= cause.last + slack


def _plain(fault) -> tuple:  # type: ignore[no-untyped-def, type-arg]
    return fault.kind, fault.conductor, fault.wire, fault.supply, fault.run, fault.position


def exactly(cause: Breakage, real: Truth, slack: int = 0) -> bool:
    """The same for what is printed as the one fault of a cause."""
    if not matches(cause, real, max(slack, 10**6)):
        return False
    position = real.faults[0].position
    return position is None or abs((cause.faults[0].position or 0) - position) <= slack


def followed(
    of: Case,
    real: Truth,
    random: np.random.Generator,
    tests: int = TESTS,
    people: People = USUAL,
) -> Iterator[tuple[Diagnosis, list[Sighting]]]:
    """The diagnosis after first sightings, and after each test that is asked for."""
    whole = np.arange(len(of.rig.house.pixels))
    seen = told(of, real, "scheme", whole, random, people)
    for turn in range(tests + 1):
        found = diagnose(of, seen, test=turn < tests)
        yield found, seen
        if found.next is None:
            return
        seen = seen + answered(of, real, found.next, random, people)


def scheme_of(made, random: np.random.Generator):  # type: ignore[no-untyped-def]
    """Half the time none; else one colour, or bands of two."""
    if random.random() < 0.5:
        return None
    pixels = made.house.pixels
    colours = np.zeros((2, 4), dtype=np.uint8)
    chosen = [(255, 160, 60), (200, 0, 0), (0, 160, 0), (255, 255, 255), (40, 40, 160)]
    for k in range(2):
        colours[k, :3] = chosen[random.integers(len(chosen))]
    band = (np.arange(len(pixels)) // 10) % 2 if random.random() < 0.5 else np.zeros(len(pixels))
    codes = colours[band.astype(int)]
    codes[pixels.spare] = 0
    return still(made.house, codes)


def main() -> None:
    """Print how often the first and the first three suspects are right, kind by kind."""
    numbers = [int(a) for a in sys.argv[1:] if a.isdigit()]
    count, seed = (*numbers, *(4, 1)[len(numbers) :])
    words = [a for a in sys.argv[1:] if not a.isdigit()]
    random = np.random.default_rng(seed)
    people = CAREFUL if "careful" in words else USUAL
    priors = load_priors()
    every: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    share: dict[str, float] = defaultdict(float)
    slowest, times = 0.0, []
    demos = [] if "random" in words else ["cottage", "townhouse", "bungalow"]
    some = [None] * (0 if "demo" in words else 2 * count)
    kinds = [w for w in words if w in KINDS] or KINDS
    for number, name in enumerate([*demos, *some]):
        made = random_house(random) if name is None else rig(load_house(DEMO / name / "house.yaml"))
        of = case(made, priors, scheme_of(made, random))
        began = time.process_time()
        of.all_of("scheme")
        if name:
            print(f"{name}: {len(of.causes)} causes in {time.process_time() - began:.1f} s")
        for cause in of.causes:
            share[cause.kind] += cause.weight
        # On random houses half of the kinds each.
        for kind in kinds:
            cases = count if name else int(random.random() < 0.5)
            for _ in range(cases):
                real = drawn(of, random, kind, 6)
                if real is None:
                    continue
                row, slow = _one(
                    of, real, random, people, "-v" in words, name or f"random {number}"
                )
                slowest = max(slowest, slow)
                times.append(slow)
                for key in (real.kind, f"= {name or 'random'}", "= all kinds alike"):
                    every[key].append(row)
    print(f"slowest diagnosis with its next test {slowest:.2f} s, median {np.median(times):.2f} s")
    print(f"{'':18}cases exact  ±2 px group  in 3  tests bound")
    for key, rows in sorted(every.items()):
        _print(key, len(rows), np.mean(rows, axis=0))
    total = sum(share[kind] for kind in every if kind in share)
    mean = sum(share[k] * np.mean(every[k], axis=0) for k in every if k in share) / total
    _print("= by priors", len(every["= all kinds alike"]), mean)


def _print(key: str, cases: int, mean: np.ndarray) -> None:
    exact, near, group, three, tests, bound = mean
    ratio = f"{tests / bound:5.2f} ×" if bound else ""
    print(
        f"{key:18}{cases:5} {exact:5.0%} {near:6.0%} {group:5.0%} {three:5.0%}"
        f" {tests:6.2f} {bound:5.2f} {ratio}"
    )


def _one(
    of: Case,
    real: Truth,
    random: np.random.Generator,
    people: People,
    tell: bool,
    name: str,
) -> tuple[tuple[float, ...], float]:
    slowest, found, first = 0.0, None, None
    turns = -1
    most: list[float] = []
    began = time.process_time()
    for found, _ in followed(of, real, random, people=people):
        slowest = max(slowest, time.process_time() - began)
        first = first or found
        most += [found.most_bits] if found.next is not None else []
        turns += 1
        began = time.process_time()
    assert found is not None
    assert first is not None
    bound = 0.0
    if turns:
        lost = max(first.entropy_bits - found.entropy_bits, 0.0)
        bound = max(1.0, lost / max(float(np.mean(most)), 1e-6))
    head = found.suspects[0]
    row = (
        exactly(head.causes[0], real),
        exactly(head.causes[0], real, 2),
        is_right(head, real),
        any(is_right(each, real) for each in found.suspects[:3]),
        turns,
        bound,
    )
    if tell and not row[2]:
        _tell(real, found, name)
    return tuple(float(each) for each in row), slowest


def _tell(real: Truth, found: Diagnosis, name: str) -> None:
    print("  WRONG", name, real.kind, real.faults[0])
    for each in found.seen:
        print("     seen", each.what, each.text, each.value, each.then, each.during)
    for each in found.suspects[:3]:
        causes = [
            (c.kind, c.faults[0].run, c.faults[0].wire, c.first, c.faults[0].conductor)
            for c in each.causes[:3]
        ]
        print(f"     {each.probability:.3f} {len(each.causes)} {causes}")
    print("     none", round(found.none, 3), found.why_no_test)


if __name__ == "__main__":
    main()
