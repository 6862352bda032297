"""How often a diagnosis is right while a scheme moves or has dark gaps, beside schemes that stand.

Run `python tests/bench/bench_moving_schemes.py [seed] [-v] [HOUSE/SCHEME …]`, `new/holiday` say; it
prints and asserts nothing. On each house and scheme one fault of each of `KINDS` is drawn, and told
of by somebody who watches all of the scheme and makes no error: a pixel is

| look | where, of the frames in which the scheme lights it |
|---|---|
| dark | all have less than 3 % of its light |
| flickers | any is garbage, or goes on and off with a supply |
| wrong | a quarter or more are plainly another colour |
| lit | else |

and nothing is said of a pixel that the scheme never lights. What is broken is found if it is among
the first three suspects, at its very place.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from bench_diagnosis import is_right
from diagnosis_truth import Truth, somewhere

from effects import Show, bind, load_scheme
from effects.course import span_s
from layouts import load_house
from layouts.faults import Fault
from layouts.records import House
from layouts.sighting_entries import pixels_of
from layouts.sightings import LOOKS, Sighting
from sim.frame import Rig, on_wire, rig_for
from sim.upkeep.broken import broken, frame_of_broken
from sim.upkeep.diagnosis import Case, case, diagnose, load_priors
from sim.upkeep.diagnosis.shown import shown

DEMO = Path(__file__).parents[2] / "demo"
KINDS = ("dead", "garbage", "blown", "open-wire")
#: The first of each house stands still.
SCHEMES = (
    *("cottage/evening", "cottage/halloween", "cottage/valentine"),
    *("bungalow/evening", "bungalow/midsummer", "bungalow/winter-rain", "bungalow/christmas"),
    *("lodge/evening", "lodge/match-day", "lodge/winter-night"),
    *("townhouse/evening", "townhouse/first-snow"),
    *("new/evening", "new/holiday"),
)
#: So many frames are watched, and of them so many [share] of another colour are seen to be so.
FRAMES, OFTEN = 30, 0.25
#: Stretches of lit pixels shorter than that are not spoken of.
_SPOKEN = 10
LIT, DARK, WRONG, FLICKERS, UNASKED = 0, 1, 2, 3, -1


@dataclass(frozen=True, eq=False)
class Evening:
    """A house on which a scheme is watched: T frames, N pixels, C channels."""

    of: Case
    codes: np.ndarray  # (T, N, C)
    usual: np.ndarray  # (T, N, C) light with nothing broken

    @property
    def moves(self) -> bool:
        """Whether any frame differs from the first."""
        return bool((self.codes != self.codes[0]).any())


def evening(rig: Rig, show: Show) -> Evening:
    """A scheme watched over its course, at times that the diagnosis does not know."""
    times = span_s(show) * (np.arange(FRAMES) + 0.37) / FRAMES
    codes = on_wire(rig, show, times)
    usual = frame_of_broken(broken(rig, ()), codes).light
    return Evening(case(rig, load_priors(), shown(rig, show)), codes, usual)


def watched_looks(there: Evening, faults: tuple[Fault, ...], seed: int = 0) -> np.ndarray:
    """(N,) what every pixel is seen to do; UNASKED where the scheme never lights it."""
    frame = frame_of_broken(broken(there.of.rig, faults, seed=seed), there.codes)
    light, usual = frame.light, there.usual
    asks = usual > 1e-3
    share = np.where(asks, light / np.maximum(usual, 1e-9), 1.0)
    extra = np.where(asks, 0.0, light).max(axis=-1)
    other = (share.min(axis=-1) < 0.75) | (share.max(axis=-1) > 1.4) | (extra > 0.1)
    on = asks.any(axis=-1)
    unlit = light.max(axis=-1) < 0.03 * usual.max(axis=-1)
    out = np.full(on.shape[1], LIT)
    out[(other & on).sum(axis=0) >= OFTEN * on.sum(axis=0)] = WRONG
    out[frame.flickers.any(axis=0)] = FLICKERS
    out[(unlit | ~on).all(axis=0)] = DARK
    out[~on.any(axis=0)] = UNASKED
    return out


def honest(house: House, looks: np.ndarray) -> list[Sighting]:
    """What somebody tells who makes no error: stretch by stretch, over pixels that say nothing."""
    found = []
    for run in house.runs:
        mine = looks[run.pixels].copy()
        said = np.flatnonzero(mine != UNASKED)
        if not len(said):
            continue
        # A pixel that is never lit is counted with the one before it.
        mine = mine[said[np.maximum(np.searchsorted(said, np.arange(len(mine)), "right") - 1, 0)]]
        cuts = [0, *(np.flatnonzero(np.diff(mine)) + 1).tolist(), len(mine)]
        for first, last in pairwise(cuts):
            look = int(mine[first])
            if look == LIT and last - first < min(_SPOKEN, run.count):
                continue
            whole = last - first == run.count
            text = run.name if whole else f"{run.name}[{first}:{last}]"
            found.append(Sighting(LOOKS[look], text, pixels_of(text, house)))
    return found


def injected(
    there: Evening, random: np.random.Generator, kind: str, tries: int = 8
) -> tuple[Truth, list[Sighting]] | None:
    """One fault of a kind, and what is told of it; None where it shows in no pixel."""
    of = there.of
    some = [cause for cause in of.causes if cause.kind == kind]
    for _ in range(tries if some else 0):
        cause = some[random.integers(len(some))]
        faults = (somewhere(cause, of, random),)
        looks = watched_looks(there, faults, int(random.integers(1 << 30)))
        if (looks > LIT).any():
            return Truth(kind, faults, cause.output, {}, {}), honest(of.rig.house, looks)
    return None


def rank(there: Evening, real: Truth, seen: list[Sighting]) -> int:
    """The number of the suspect that is what is broken, from 1; 99 where none is."""
    suspects = diagnose(there.of, seen, test=False).suspects
    return next((n for n, each in enumerate(suspects, 1) if is_right(each, real)), 99)


def _houses(wanted: list[str], folder: Path) -> Iterator[tuple[str, Evening]]:
    for name in wanted:
        place, _, scheme = name.partition("/")
        where = DEMO / place if place != "new" else folder / "new"
        if place == "new" and not where.exists():
            _new(where)
        house = load_house(where / "house.yaml")
        read = load_scheme(where / f"{scheme}.scheme.yaml", house)
        yield name, evening(rig_for(house, read), bind(house, read))


def _new(where: Path) -> None:
    """A house as somebody makes it who has only the README."""
    from typer.testing import CliRunner

    from sim.cli.main import app

    form = ["--form", "gable", "--width", "40 ft", "--eave", "9 ft", "--pitch", "6/12"]
    form += ["--garage", "right", "--porch", "8 ft", "--kind", "ws2814-12v-rgbw"]
    schemes = [str(where / f"{name}.scheme.yaml") for name in ("evening", "holiday")]
    for line in (
        ["new", str(where), *form],
        ["plan", str(where / "house.yaml"), *schemes, "--write"],
    ):
        result = CliRunner().invoke(app, line)
        assert result.exit_code == 0, result.output


def main() -> None:
    """Print the score of still and of moving schemes."""
    seed = next((int(a) for a in sys.argv[1:] if a.isdigit()), 1)
    wanted = [a for a in sys.argv[1:] if "/" in a] or list(SCHEMES)
    ranks: dict[str, list[int]] = defaultdict(list)
    spent = defaultdict(float)
    with tempfile.TemporaryDirectory() as folder:
        for name, there in _houses(wanted, Path(folder)):
            # The same places on every scheme of a house.
            random = np.random.default_rng(seed)
            how = "moving" if there.moves else "still"
            began = time.process_time()
            there.of.all_of("scheme")
            ready = time.process_time() - began
            for kind in KINDS:
                drawn = injected(there, random, kind)
                if drawn is None:
                    print(f"{name}: {kind} shows in no pixel")
                    continue
                began = time.process_time()
                found = rank(there, *drawn)
                spent[how] += time.process_time() - began
                for key in (how, f"{how}, {kind}", f"{how}, {name}"):
                    ranks[key].append(found)
                if "-v" in sys.argv and found > 3:
                    said = [(each.what, each.text) for each in drawn[1]]
                    print(f"   {found:2} {kind} {drawn[0].faults[0]}\n      {said}")
            print(f"{name}, {how}: {ready:.1f} s CPU to try all causes", flush=True)
    for key, each in sorted(ranks.items()):
        made = np.array(each)
        three, first = int((made <= 3).sum()), int((made == 1).sum())
        print(f"{key:32} {len(made):3} faults, {first:3} first, {three:3} in the first three")
    for how, seconds in spent.items():
        print(f"{how}: {seconds / len(ranks[how]):.2f} s CPU a diagnosis without its next test")


if __name__ == "__main__":
    main()
