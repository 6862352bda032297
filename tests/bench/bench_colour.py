"""Time of mixing a pixel, beside one matrix product of the same size in the same run.

Run `python tests/bench/bench_colour.py`; it prints and asserts nothing.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from types import SimpleNamespace

import numpy as np

import layouts
from sim.colour import codes, mixer

FRAMES, PIXELS, ROUNDS = 240, 2000, 9


def best_ns(work: Callable[[], object]) -> float:
    """Least processor time of a pixel [ns] over several rounds."""
    work()
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return min(times) / (FRAMES * PIXELS) * 1e9


def main() -> None:
    """Print one line a case."""
    random = np.random.default_rng(1)
    asked = random.random((FRAMES, PIXELS, 3), dtype=np.float32)
    weights = random.random((3, 4), dtype=np.float32)
    product = best_ns(lambda: asked.reshape(-1, 3) @ weights)
    print(f"{'numpy (F·N, 3) @ (3, 4)':34} {product:6.1f} ns a pixel")
    pixels = SimpleNamespace(run=np.zeros(PIXELS, int), spare=np.zeros(PIXELS, bool))
    frames = np.arange(FRAMES)
    for label, name, level, options in (
        ("RGB matched", "ws2812b-v5", 0.5, {}),
        ("RGBW matched, most", "sk6812-rgbw-warm", 0.5, {}),
        ("RGBW matched, economy", "sk6812-rgbw-warm", 0.5, {"white": "economy"}),
        ("RGBW matched, every second held", "sk6812-rgbw-warm", 1.5, {}),
        ("two whites, most", "ws2805-24v-rgbww", 0.5, {}),
        ("two whites, economy", "ws2805-24v-rgbww", 0.5, {"white": "economy"}),
        ("two whites, every second held", "ws2805-24v-rgbww", 1.5, {}),
        ("two whites, half, second held", "ws2805-24v-rgbww", 1.5, {"white": 0.5}),
        ("RGBW raw", "sk6812-rgbw-warm", 0.5, {"colour": "raw"}),
    ):
        house = SimpleNamespace(runs=(SimpleNamespace(kind=layouts.kinds()[name]),), pixels=pixels)
        made = mixer(house, **options)
        spent = best_ns(lambda made=made, level=level: codes(made, asked, level))
        print(f"{label:34} {spent:6.1f} ns a pixel, {spent / product:4.1f} × the product")
    foreign = asked * 3.0 - 1.0
    spent = best_ns(lambda: codes(made, asked, 0.5, frames))
    print(
        f"{'RGBW raw, dithered':34} {spent:6.1f} ns a pixel, {spent / product:4.1f} × the product"
    )
    made = mixer(house)
    spent = best_ns(lambda: codes(made, foreign, 0.5))
    print(f"{'RGBW matched, most outside gamut':34} {spent:6.1f} ns a pixel")


if __name__ == "__main__":
    main()
