"""Time of a frame of the night view, beside what it cannot do without.

Run `python tests/bench/bench_light.py`; it prints and asserts nothing. The floor is one sparse
product of the same matrix and one copy of the finished picture. Where matplotlib is installed, the
same dots as a bare scatter drawing come beside it. Busy machines: `--cpu` counts the time of the
process over all its threads instead of the time on the clock.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import numpy as np
from scipy.sparse import csr_matrix

from layouts import load_house
from layouts.records import House, Pixels, Zone
from sim.frame import scene
from sim.light import Scene, picture

TOWNHOUSE = Path(__file__).parents[2] / "demo/townhouse/house.yaml"
ROUNDS = 60


def denser(house: House, times: int) -> House:
    """The same house with `times` pixels in place of each."""
    old = house.pixels
    near = np.repeat(old.xy_m, times, axis=0)
    near = near + (np.tile(np.arange(times), len(old))[:, None] / times - 0.5) * 0.016
    pixels = Pixels(
        near,
        np.repeat(old.standoff_m, times),
        np.repeat(old.aim, times, axis=0),
        np.repeat(old.run, times),
        np.repeat(old.along_m, times),
        np.repeat(old.spare, times),
    )
    runs = tuple(replace(r, first=r.first * times, count=r.count * times) for r in house.runs)
    every = Zone("all", np.arange(len(pixels)), pixels.along_m, 1.0)
    return replace(
        house, pixels=pixels, runs=runs, zones=MappingProxyType({"all": every}), placed=()
    )


def taken_ms(work: Callable[[], object], clock: Callable[[], float]) -> tuple[float, float]:
    """Median and 95th percentile [ms]."""
    work()
    times = []
    for _ in range(ROUNDS):
        began = clock()
        work()
        times.append((clock() - began) * 1e3)
    return float(np.median(times)), float(np.percentile(times, 95))


def floor_of(night: Scene, light: np.ndarray) -> Callable[[], object]:
    """One sparse product and one blit."""
    t = night.transport
    matrix = csr_matrix((t.weight, t.column, t.start), shape=(len(t.start) - 1, len(t.tree.power)))
    wide, tall = night.size_px
    shown, window = (np.zeros((tall, wide, 3), dtype=np.uint8) for _ in range(2))

    def work() -> None:
        matrix @ t.tree.gather(light)
        np.copyto(window, shown)

    return work


def scatter_of(night: Scene, light: np.ndarray) -> Callable[[], object] | None:
    """The pixels as bare dots by matplotlib; None where it is not installed."""
    try:
        import matplotlib
    except ImportError:
        return None
    matplotlib.use("agg")
    from matplotlib import pyplot

    wide, tall = night.size_px
    figure = pyplot.figure(figsize=(wide / 100, tall / 100), dpi=100)
    dots = figure.add_axes((0, 0, 1, 1)).scatter(*night.house.pixels.xy_m.T, s=9)

    def work() -> None:
        dots.set_facecolors(np.clip(light[:, :3], 0, 1))
        figure.canvas.draw()

    return work


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--cpu", action="store_true")
    clock = time.process_time if arguments.parse_args().cpu else time.perf_counter
    house = load_house(TOWNHOUSE)
    medians = {}
    for times, size in ((1, (1280, 720)), (1, (1920, 1080)), (11, (1280, 720))):
        lit = denser(house, times) if times > 1 else house
        began = clock()
        night = scene(lit, size)
        built = clock() - began
        light = np.random.default_rng(0).uniform(0, 1, (len(lit.pixels), 4)).astype(np.float32)
        median, most = taken_ms(lambda n=night, v=light: picture(n, v), clock)
        floor, _ = taken_ms(floor_of(night, light), clock)
        medians[times, size] = median
        print(
            f"{len(lit.pixels):6d} pixels {size[0]}×{size[1]}: {median:.1f} ms, 95 % {most:.1f} ms;"
            f" scene {built:.2f} s; {median / floor:.1f} × the floor of {floor:.1f} ms"
        )
        work = scatter_of(night, light)
        if work is None:
            print("        matplotlib is not installed: no bare scatter to compare with")
        else:
            scatter, _ = taken_ms(work, clock)
            print(f"        {median / scatter:.2f} × matplotlib's bare scatter ({scatter:.1f} ms)")
    small, large = medians[1, (1280, 720)], medians[11, (1280, 720)]
    print(f"{len(house.pixels) * 11} pixels cost {large / small:.1f} × {len(house.pixels)}")
    print(f"memory at most {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
