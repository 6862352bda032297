"""Shorts behind fuses, place by place and fuse by fuse, against ngspice with both rails.

A fuse that opens is its + conductor taken out of the netlist; its − stays.
"""

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.records import House
from sim.circuit import build, far_shorts

pytestmark = pytest.mark.outside


def tried(both: Callable, house: House, places: dict[str, str]) -> dict[int, tuple[float, str]]:
    """The least current through each fuse when its turn comes, and where: wire → (A, place).

    `places` are names of points of the netlist. The fuse most loaded opens next.
    """
    dark = np.zeros((len(house.pixels), 4), dtype=np.uint8)
    pixels = [f"Bpixel_{run.name}_{k}" for run in house.runs for k in range(run.count)]
    fuses = {w: wire.fuse_a for w, wire in enumerate(house.wires) if wire.fuse_a}
    least: dict[int, tuple[float, str]] = dict.fromkeys(fuses, (np.inf, ""))
    for name, point in places.items():
        closed = dict(fuses)
        while closed:
            opened = [f"Rwire_p_{w}" for w in fuses if w not in closed]
            short = [f"Vshort p_{point} n_{point} 0"]
            amps = both(house, dark, [*pixels, *opened], short).plus_a
            first = max(closed, key=lambda w: abs(amps[w]) / closed[w])
            if abs(amps[first]) < 1e-6:
                break
            if amps[first] > 0:
                least[first] = min(least[first], (float(amps[first]), name))
            del closed[first]
    return least


def points(house: House, every: int = 1) -> dict[str, str]:
    """Pixels and the used end pads of all runs, in words and in the netlist."""
    found = {}
    for run in house.runs:
        pads = {e.pad for w in house.wires for e in (w.start, w.end) if e.name == run.name}
        found |= {
            f"pixel {k} of run {run.name}": f"{run.name}_{k + 1}"
            for k in range(0, run.count, every)
        }
        ends = (("start", 0), ("end", run.count + 1))
        found |= {f"the {w} of run {run.name}": f"{run.name}_{p}" for w, p in ends if p in pads}
    return found


CASES = {
    # 12 V, 4 m of 30 mΩ/m a rail; two feeds of 18 AWG
    "two feeds": ([("psu", "a.start", 4.0, 5.0), ("psu", "a.end", 6.0, 5.0)], {}),
    "three feeds": (
        [("psu", "a[3]", 2.0, 7.5), ("psu", "a[14]", 5.0, 5.0), ("psu", "a[22]", 3.0, 3.0)],
        {},
    ),
    "two feeds and a cut": (
        [("psu", "a.start", 4.0, 5.0), ("psu", "a.end", 6.0, 5.0), ("psu", "a[20]", 3.0, 3.0)],
        {"a": (12,)},
    ),
}


@pytest.mark.parametrize("ohm", [0.0, 0.02])
@pytest.mark.parametrize("case", CASES)
def test_the_least_current_of_every_fuse(
    make: SimpleNamespace, both: Callable, case: str, ohm: float
) -> None:
    wired, cuts = CASES[case]
    kind = make.series_kind(rail_ohm_per_m=0.3, pitch_m=0.1)
    wires = [(a, b, "18 AWG", length_m, fuse_a) for a, b, length_m, fuse_a in wired]
    house = make.house({"a": (kind, 25)}, [make.supply(volts=12, ohm=ohm)], wires, cuts=cuts)
    expected = tried(both, house, points(house))
    found = far_shorts(build(house))
    for w, (amps, where) in expected.items():
        assert found[w].amps == pytest.approx(amps, abs=1e-6)
        assert found[w].where == where


def test_a_short_beside_a_cut_is_fed_from_its_own_side_alone(
    make: SimpleNamespace, both: Callable
) -> None:
    """− of the other side helps to carry the return, its + does not reach."""
    kind = make.kind(rail_ohm_per_m=0.1)
    wires = [("one", "a.start", "18 AWG", 2.0, 5.0), ("one", "a.end", "16 AWG", 1.0, 5.0)]
    house = make.house({"a": (kind, 30)}, [make.supply("one")], wires, cuts={"a": (17,)})
    expected = tried(both, house, points(house))
    found = far_shorts(build(house))
    assert [short.where for short in found] == ["pixel 16 of run a", "pixel 17 of run a"]
    for w, (amps, where) in expected.items():
        assert found[w].amps == pytest.approx(amps, abs=1e-6)
        assert found[w].where == where


@pytest.mark.parametrize("seed", range(4))
def test_random_feeds_of_two_runs(make: SimpleNamespace, both: Callable, seed: int) -> None:
    """Feeds, a bus without fuses, a fused wire inside, currents that turn round."""
    rng = np.random.default_rng(seed)
    kind = make.kind(rail_ohm_per_m=float(rng.uniform(0.05, 0.4)), pitch_m=0.1)

    def wire(start: str, end: str, fused: bool = True) -> tuple:
        made = (start, end, str(rng.choice(["18 AWG", "14 AWG"])), float(rng.uniform(0.3, 5)))
        return (*made, float(rng.choice([2.0, 3.0, 5.0, 7.5]))) if fused else made

    wires = [
        wire("psu", "j", fused=bool(seed % 2)),
        wire("j", "a.start"),
        wire("j", f"a[{rng.integers(2, 10)}]"),
        wire("psu", "b.end"),
        wire("a.end", "b.start", fused=seed < 2),
    ]
    house = make.house({"a": (kind, 12), "b": (kind, 9)}, [make.supply(ohm=0.01)], wires)
    found = far_shorts(build(house))
    fused = [w for w, wire in enumerate(house.wires) if wire.fuse_a]
    assert sum(found[w] is not None for w in fused) >= 3
    dark = np.zeros((21, 4), dtype=np.uint8)
    pixels = [f"Bpixel_{run.name}_{k}" for run in house.runs for k in range(run.count)]
    # Fuses of other stretches are taken to hold: what is told must be what flows at that place
    # with some of the stretch's own fuses open.
    for w in fused:
        if found[w] is None or found[w].where.startswith("junction"):
            continue
        point = points(house)[found[w].where]
        # What all fuses have left alone needs a way to ground for ngspice.
        short = [f"Vshort p_{point} n_{point} 0"]
        short += [f"Rleak_{p} p_{p} 0 1e10" for p in ("j", "a_1", "b_1")]
        told = []
        for mask in range(1 << len(fused)):
            opened = [f"Rwire_p_{f}" for i, f in enumerate(fused) if mask >> i & 1 and f != w]
            told.append(abs(both(house, dark, [*pixels, *opened], short).plus_a[w]))
        assert min(abs(np.array(told) - found[w].amps)) < 1e-6
