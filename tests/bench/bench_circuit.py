"""Time of one operating point, beside ngspice on the same circuit in the same run; of other
numbers on a wiring that is known; of the short check.

Run `python tests/bench/bench_circuit.py`; it prints and asserts nothing. A strip of 300 pixels is
taken through 8-bit brightness steps. ngspice does it as a DC sweep, from point to point with its
last solution at hand, at its default tolerances; start-up and reading the netlist do not count.
Here the steps are the frames of one call. Both run on one core.
"""

from __future__ import annotations

import importlib.util
import resource
import shutil
import tempfile
import time
from pathlib import Path
from types import ModuleType

import numpy as np

from layouts import load_house
from layouts.records import House
from sim.circuit import build, far_shorts, solve, with_values

TESTS = Path(__file__).parents[1]
TOWN = TESTS.parent / "demo/townhouse/house.yaml"
PIXELS, SWEEPS, ROUNDS, CHANGES = 300, 6, 20, 1000


def module(name: str, path: Path) -> ModuleType:
    """A file of the tests, which are no package."""
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    found = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(found)
    return found


houses = module("houses", TESTS / "circuit/conftest.py")
spice = module("spice", TESTS / "circuit/ngspice/conftest.py")


def ngspice_us(house: House, steps: np.ndarray) -> tuple[float, np.ndarray]:
    """[µs] of processor a point, and the volts of the last pixel at every step.

    The sweep is done once and SWEEPS times, by a second source that changes nothing; the
    difference has no start-up in it.
    """
    full = np.full((PIXELS, 4), 255)
    low, high = float(steps[0]) / 255, float(steps[-1]) / 255
    taken = []
    for sweeps in (1, SWEEPS):
        lines = [
            *spice.netlist(house, full, level="v(level)"),
            "Vlevel level 0 1",
            "Vagain again 0 1",
            f".dc Vlevel {low!r} {high + 1e-9!r} {1 / 255!r} Vagain 1 {sweeps} 1",
            f".save v(p_a_{PIXELS}) v(n_a_{PIXELS})",
        ]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        with tempfile.TemporaryDirectory() as folder:
            found, _ = spice.run_ngspice(lines, Path(folder), "")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        taken.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    volts = found[f"v(p_a_{PIXELS})"] - found[f"v(n_a_{PIXELS})"]
    points = (SWEEPS - 1) * len(steps)
    return (taken[1] - taken[0]) / points * 1e6, volts[-len(steps) :]


def ours_us(house: House, steps: np.ndarray) -> tuple[float, np.ndarray]:
    """The same by `sim.circuit.solve`, least processor time of several rounds."""
    again = np.tile(steps, SWEEPS)
    codes = np.repeat(again.astype(np.uint8), PIXELS * 4).reshape(len(again), PIXELS, 4)
    network = build(house)
    # Twice as much once: the allocator then keeps the memory between calls, as it does in a scan.
    solve(network, np.tile(codes, (2, 1, 1)))
    solution = solve(network, codes)
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        solve(network, codes)
        times.append(time.process_time() - began)
    return min(times) / len(again) * 1e6, solution.volts[-len(steps) :, -1]


def main() -> None:
    """Print one line a case."""
    if shutil.which("ngspice") is None:
        print("ngspice is not installed: nothing to compare with")
        return
    both = [("psu", "a.start", "14 AWG", 2.0), ("psu", "a.end", "14 AWG", 7.0)]
    fused = [(*wire, fuse_a) for wire, fuse_a in zip(both, (5.0, 10.0), strict=True)]
    for label, kind, wires, low, high in (
        ("one end, regulated", houses.make_kind(), both[:1], 1, 32),
        ("one end, starved", houses.make_kind(), both[:1], 120, 255),
        ("both ends, regulated", houses.make_kind(), both, 1, 64),
        ("both ends, starved", houses.make_kind(rail_ohm_per_m=0.3), both, 120, 255),
        ("fused ring, regulated", houses.make_kind(), fused, 1, 64),
        ("fused ring, starved", houses.make_kind(rail_ohm_per_m=0.3), fused, 120, 255),
        ("series law, starved", houses.make_series_kind(rail_ohm_per_m=0.2), both[:1], 120, 255),
    ):
        supply = houses.make_supply(volts=kind.supply_v, ohm=0.005)
        house = houses.make_house({"a": (kind, PIXELS)}, [supply], wires)
        steps = np.arange(low, high + 1)
        theirs, their_v = ngspice_us(house, steps)
        ours, our_v = ours_us(house, steps)
        apart = np.abs(their_v - our_v).max() * 1e6
        print(
            f"{label:22} ngspice {theirs:7.0f} µs, ours {ours:6.2f} µs a point: "
            f"1/{theirs / ours:.0f}; far end {our_v.min():.2f} V, {apart:.3f} µV apart"
        )


def changes() -> None:
    """1,000 changes of resistance on the town house, beside building it as often; factors too."""
    network = build(load_house(TOWN))
    rng = np.random.default_rng(0)
    plus, minus = network.values.plus_s, network.values.minus_s
    factors = rng.uniform(0.9, 1.1, (CHANGES, len(plus)))

    def changed(k: int) -> None:
        _ = with_values(network, plus_s=plus * factors[k], minus_s=minus * factors[k]).parts

    def built(_: int) -> None:
        _ = build(network.house).parts

    taken = []
    for work, count in ((changed, CHANGES), (built, CHANGES // 20)):
        work(0)
        began = time.process_time()
        for k in range(count):
            work(k)
        taken.append((time.process_time() - began) / count * 1e3)
    print(
        f"{'town, other resistances':25} {taken[0]:7.3f} ms, built anew {taken[1]:6.2f} ms: "
        f"1/{taken[1] / taken[0]:.0f} ({CHANGES} changes, {len(network.house.pixels)} pixels)"
    )


def shorts() -> None:
    """The far shorts of every fuse: many feeds on one run, and a house of 60,000 pixels."""
    kind = houses.make_kind()
    feeds = [("psu", f"a[{10 * i}]", "18 AWG", 1.0 + i % 5 * 0.3, 5.0) for i in range(200)]
    apart = [("psu", f"a[{200 * i}]", "18 AWG", 1.0 + i % 5 * 0.3, 5.0) for i in range(400)]
    many = {f"r{i}": (kind, 600) for i in range(100)}
    points = [(f"r{i}{at}", i) for i in range(100) for at in (".start", "[200]", "[400]", ".end")]
    bus = [("psu", point, "14 AWG", 1.0 + i % 5, 10.0) for point, i in points]
    for label, runs, wires in (
        ("20 feeds on a run", {"a": (kind, 200)}, feeds[:20]),
        ("200 feeds on a run", {"a": (kind, 2000)}, feeds),
        ("400 feeds, 80,000 pixels", {"a": (kind, 80_000)}, apart),
        ("60,000 pixels, 400 feeds", many, bus),
    ):
        network = build(houses.make_house(runs, [houses.make_supply(ohm=0.005)], wires))
        began = time.process_time()
        far_shorts(network)
        print(f"{label:25} far shorts {time.process_time() - began:7.2f} s")


if __name__ == "__main__":
    main()
    changes()
    shorts()
