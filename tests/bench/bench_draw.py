"""What a step of drawing costs on the cottage, beside the whole file read: the floor without it.

Run `python tests/bench/bench_draw.py [HOUSE]`. It prints and asserts nothing. A drag is a command
tried and the house of it; letting go makes the command in the text and checks it.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path

from layouts import load_house
from sim.app.edit import commands as c
from sim.app.edit.draft import draft_of, house_of, made, tried
from sim.app.edit.sights import sights_of
from sim.app.edit.snap import snapped

COTTAGE = Path(__file__).parents[2] / "demo/cottage/house.yaml"
AGAIN = 30


def least_ms(task: Callable[[], object]) -> float:
    """The least time of a few [ms]."""
    spent = []
    for _ in range(AGAIN):
        begin = time.perf_counter()
        task()
        spent.append(time.perf_counter() - begin)
    return min(spent) * 1e3


def main() -> None:
    """Measure and print."""
    file = sys.argv[1] if len(sys.argv) > 1 else str(COTTAGE)
    draft = draft_of(file)
    house = house_of(draft)
    sights = sights_of(house)
    run, surface = house.runs[0], house.drawing.surfaces[0]
    steps = count(1)

    def moved(sort: c.Sort, name: str, x_m: float, y_m: float) -> c.Command:
        return c.MovePoint(c.Item(sort, name), 0, (x_m + next(steps) * 0.001, y_m))

    def of_run() -> c.Command:
        return moved("run", run.name, *run.path_m[0])

    def of_surface() -> c.Command:
        return moved("surface", surface.name, *surface.outline_m[0])

    floor = least_ms(lambda: load_house(file))
    print(f"{file}: {len(house.pixels)} pixels, {len(sights.corners_m)} corners")
    for what, task in {
        "the whole file read": lambda: load_house(file),
        "a drag of a run's end": lambda: house_of(tried(draft, of_run()), house),
        "a drag of a corner": lambda: house_of(tried(draft, of_surface()), house),
        "a run's end let go": lambda: made(draft, of_run(), house),
        "a pointer snapped": lambda: snapped(sights, (5.0, 2.0), 0.05, last_m=(1, 1)),
    }.items():
        spent = least_ms(task)
        print(f"{what:24} {spent:7.2f} ms   {spent / floor:6.3f} of the file read")


if __name__ == "__main__":
    main()
