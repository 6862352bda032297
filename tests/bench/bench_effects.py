"""Time of one layer over 2,000 pixels, beside one np.sin over the same pixels in the same run.

Run `python tests/bench/bench_effects.py`; it prints and asserts nothing. A frame alone is what
the window asks for, blocks of frames are what a scan asks for; it asks with compiled code, which
gives the same numbers.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from effects import Layer, Scheme, Show, asked, bind, effects
from layouts import load_house
from sim.composed import lay

PIXELS, BLOCK, FPS = 2000, 64, 40
PALETTE = ("#ff0000", "#00ff00", "#0000ff", "#ffffff")

HOUSE = """
format: evenfall-house/1
name: Bench
drawing: {{size: [40, 8], viewer: 12, surfaces: []}}
runs:
  - {{name: eave, pixels: ws2813, path: [[1, 3], [31, 3]], count: {half}, aim: down,
      standoff: 0.1, profile: bare}}
  - {{name: gable, pixels: ws2813, path: [[1, 5], [16, 15], [31, 5]], count: {half}, aim: out,
      standoff: 0.1, profile: bare}}
"""


def best_us(work: Callable[[], object], rounds: int) -> float:
    """Least processor time of `work` [µs] over several rounds."""
    work()
    times = []
    for _ in range(rounds):
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return min(times) * 1e6


def shows(pixels: int) -> dict[str, Show]:
    """Every effect at its defaults on a house of so many pixels."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "house.yaml"
        path.write_text(HOUSE.format(half=pixels // 2))
        house = load_house(path)
    return {
        name: bind(house, Scheme(name, "", (Layer(name, palette=PALETTE),), fps=FPS))
        for name in effects()
    }


def main() -> None:
    """Print one line an effect."""
    one, many, few = np.array([12.3]), np.arange(BLOCK) / FPS, np.arange(BLOCK // 10) / FPS
    pixels = np.random.default_rng(1).random((BLOCK, PIXELS), dtype=np.float32)
    sin_one = best_us(lambda: np.sin(pixels[0]), 2000)
    sin_many = best_us(lambda: np.sin(pixels), 100) / BLOCK
    print(f"np.sin of {PIXELS} pixels: {sin_one:.1f} µs alone, {sin_many:.1f} µs in blocks")
    print("                 a frame alone         in blocks of 64", end="")
    print("          10 × the pixels     blocks compiled")
    large = shows(10 * PIXELS)
    for name, show in shows(PIXELS).items():
        alone = best_us(lambda show=show: asked(show, one), 200)
        block = best_us(lambda show=show: asked(show, many), 30) / BLOCK
        walked = best_us(lambda show=show: asked(show, many, lay), 30) / BLOCK
        # Ten times the pixels in a tenth of the frames: the same memory is written.
        tenfold = best_us(lambda show=large[name]: asked(show, few), 30) / len(few)
        print(
            f"{name:10} {alone:6.0f} µs {alone / sin_one:5.0f} × sin"
            f"   {block:6.1f} µs {block / sin_many:5.1f} × sin   {tenfold / block:5.1f} × as long"
            f"   {walked:6.1f} µs {walked / sin_many:5.1f} × sin"
        )


if __name__ == "__main__":
    main()
