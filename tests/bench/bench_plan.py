"""How long a plan takes: the demonstration houses at full load, and more and more pixels.

Run `python tests/bench/bench_plan.py`; it prints and asserts nothing. Beside each the time of one
scan of the same house, ten minutes of one scheme at 40 frames a second. The last line is the
exponent with which time grows with pixels.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import numpy as np

from effects import bind, load_scheme
from layouts import house_from, load_house
from layouts.records import House
from sim.frame import rig_for
from sim.parts.load import load_parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, Wanted, plan_house
from sim.scan import scan

DEMO = Path(__file__).parents[2] / "demo"
PARTS = load_parts(DEMO / "cottage/parts.yaml")
SIZES = (1250, 2500, 5000, 10000, 20000)
RUN_M = 5.0  # [m] of 60 pixels each


def timed(house: House) -> tuple[Plan, float]:
    """A plan anew at full load, and how long it took [s]."""
    codes = full_codes(house, 1.0)
    began = time.perf_counter()
    plan = plan_house(house, codes, PARTS, Wanted(anew=True))
    return plan, time.perf_counter() - began


def scan_s(house: House, scheme: Path) -> float:
    """[s] of ten minutes of a scheme on the house."""
    shown = load_scheme(scheme, house)
    rig, show = rig_for(house, shown), bind(house, shown)
    scan(rig, show, seconds=1, fps=40)
    began = time.perf_counter()
    scan(rig, show, seconds=600, fps=40)
    return time.perf_counter() - began


def told(name: str, plan: Plan, taken: float, scanned: float) -> None:
    """Print one line."""
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    feeds = sum(len(fed.plan.feeds) for fed in plan.proposal.fed)
    print(
        f"{name:12} {len(plan.house.pixels):6} pixels: {taken:6.2f} s, {taken / scanned:4.1f} × "
        f"one scan of it; {feeds} feeds, {len(plan.proposal.units)} supplies, "
        f"price {plan.price:.0f}, bound {plan.lower_bound:.0f}; {memory:.2f} GB",
        flush=True,
    )


def street(pixels: int) -> House:
    """Runs of 5 m in rows of ten, a place for supplies every second run."""
    count = round(RUN_M * 60)
    runs, places = [], []
    for n in range(-(-pixels // count)):
        x, y = 7.0 * (n % 10), 2.5 + 4.0 * (n // 10)
        runs.append({"name": f"r{n}", "pixels": "ws2812b-v5", "path": [[x, y], [x + RUN_M, y]]})
        if n % 2 == 0:
            places.append({"name": f"p{n}", "at": [x + RUN_M, y - 1], "mains": True})
    size = [75, 4.0 * (len(runs) // 10 + 1)]
    return house_from(
        {"name": "street", "drawing": {"size": size}, "places": places, "runs": runs},
        file="street.yaml",
    )


def main() -> None:
    """Print one line a house."""
    warm = load_house(DEMO / "cottage/house.yaml")
    timed(warm)
    for name in ("cottage", "bungalow", "townhouse"):
        house = load_house(DEMO / name / "house.yaml")
        scheme = min((DEMO / name).glob("*.scheme.yaml"))
        plan, taken = timed(house)
        told(name, plan, taken, scan_s(house, scheme))
    most = int(sys.argv[1]) if len(sys.argv) > 1 else SIZES[-1]
    sizes, seconds = [], []
    for pixels in (size for size in SIZES if size <= most):
        plan, taken = timed(street(pixels))
        told("street", plan, taken, scan_s(plan.house, DEMO / "cottage/evening.scheme.yaml"))
        sizes.append(len(plan.house.pixels))
        seconds.append(taken)
    if len(sizes) > 1:
        exponent = np.polyfit(np.log(sizes), np.log(seconds), 1)[0]
        print(f"time grows with pixels to the power {exponent:.2f}")


if __name__ == "__main__":
    main()
