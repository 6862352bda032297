"""What many draws cost: 1,000 draws of the town house's critical frames, and the quick bands.

.venv/bin/python tests/bench/bench_spread.py
"""

import resource
import time
from pathlib import Path

from effects import bind, load_scheme
from layouts import load_house
from sim.frame import rig_for
from sim.scan import ceiling, scan
from sim.spread import trials, unknowns
from sim.spread.frames import shown
from sim.spread.quick import quick_bands

FOLDER = Path(__file__).resolve().parents[2] / "demo" / "townhouse"


def main() -> None:
    house = load_house(FOLDER / "house.yaml")
    scheme = load_scheme(FOLDER / "christmas.scheme.yaml", house)
    rig, show = rig_for(house, scheme), bind(house, scheme)
    short = scan(rig, show, seconds=5)
    quick_bands(short, ceiling(short))  # compiles
    begin = time.process_time()
    watched = scan(rig, show)
    found = ceiling(watched)
    report_s = time.process_time() - begin
    begin = time.process_time()
    quick_bands(watched, found)
    quick_s = time.process_time() - begin
    frames = shown(watched, even=0)
    wall, begin = time.perf_counter(), time.process_time()
    trials(rig.network, unknowns(house), frames.codes, 1000, supply_load=frames.supply_load)
    drawn_s, wall_s = time.process_time() - begin, time.perf_counter() - wall
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"scan and ceiling   {report_s:6.2f} s of processor")
    print(f"quick bands        {quick_s:6.2f} s, {quick_s / report_s:.1%} of it")
    print(f"1,000 draws × {len(frames.worst)} frames {drawn_s:.2f} s of processor, {wall_s:.2f} s")
    print(f"memory at most     {peak_mb:6.0f} MB")


if __name__ == "__main__":
    main()
