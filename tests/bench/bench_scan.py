"""How much faster than real time a scheme is scanned: ten minutes at 40 frames a second.

Run `python tests/bench/bench_scan.py`; it prints and asserts nothing. The town house (about 2,000
pixels) shows each of its schemes; everything from the effect to the amperes is computed for all
24,000 frames. Beside each the floor: reading and writing the codes of as many pixels once.
"""

from __future__ import annotations

import resource
import time
from pathlib import Path

import numpy as np

from effects import bind, load_scheme
from layouts import load_house
from sim.frame import rig_for
from sim.scan import scan

HOUSE = Path(__file__).parents[2] / "demo/townhouse/house.yaml"
SECONDS, FPS = 600.0, 40.0


def floor_s(frames: int, pixels: int) -> float:
    """[s] to copy the codes of the whole scan once."""
    block = np.zeros((64, pixels, 4), dtype=np.uint8)
    out = np.empty_like(block)
    began = time.perf_counter()
    for _ in range(frames // 64):
        np.copyto(out, block)
    return time.perf_counter() - began


def main() -> None:
    """Print one line a scheme."""
    house = load_house(HOUSE)
    pixels = len(house.pixels)
    floor = floor_s(int(SECONDS * FPS), pixels)
    for path in sorted(HOUSE.parent.glob("*.scheme.yaml")):
        scheme = load_scheme(path, house)
        rig, show = rig_for(house, scheme), bind(house, scheme)
        scan(rig, show, seconds=1, fps=FPS)
        began, cpu = time.perf_counter(), time.process_time()
        watched = scan(rig, show, seconds=SECONDS, fps=FPS)
        taken, worked = time.perf_counter() - began, time.process_time() - cpu
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(
            f"{scheme.name:18} {watched.frames} frames of {pixels} pixels in {taken:5.2f} s: "
            f"{SECONDS / taken:4.0f} × real time ({worked:.2f} s of processor, "
            f"{taken / floor:.0f} × a copy of the codes), {memory:.2f} GB"
        )


if __name__ == "__main__":
    main()
