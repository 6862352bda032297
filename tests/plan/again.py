"""A planned house solved again by ngspice: two conductors, cuts in + alone."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from layouts.records import House
from sim.circuit import build, far_shorts, solve


def agrees(
    ngspice: ModuleType, in_turn: ModuleType, folder: Path, house: House, codes: np.ndarray
) -> None:
    """Volts of every pixel showing `codes` (N, 4) within a microvolt; the worst far shorts."""
    ngspice.needs_ngspice()
    told, _ = ngspice.run_ngspice([*ngspice.netlist(house, codes), ".op"], folder)
    told["v(0)"] = np.zeros(1)
    names = [f"{run.name}_{k + 1}" for run in house.runs for k in range(run.count)]
    volts = np.array([told[f"v(p_{n})"][0] - told[f"v(n_{n})"][0] for n in names])
    network = build(house)
    assert np.abs(solve(network, codes[None]).volts[0] - volts).max() < 1e-6
    shorts = far_shorts(network)
    points = in_turn.points(house)
    worst = [short.where for short in shorts if short is not None and short.where in points]
    assert worst
    some = dict.fromkeys([*worst[:3], *list(points)[:: max(1, len(points) // 3)]])
    least = in_turn.tried(
        lambda *args: _plus(ngspice, folder, *args), house, {w: points[w] for w in some}
    )
    # What flows at some places is never less than at the worst; every fuse opens.
    for w, (amps, _) in least.items():
        short = shorts[w]
        assert short is not None
        assert amps >= short.amps - 1e-5
        if short.where in worst[:3]:
            assert amps == pytest.approx(short.amps, abs=1e-5)
        assert amps >= 2 * house.wires[w].fuse_a - 1e-5


def _plus(
    ngspice: ModuleType, folder: Path, house: House, codes: np.ndarray, gone: Any, more: Any
) -> Any:
    """What ngspice finds in the + conductors of all wires."""
    lines = ngspice.without(ngspice.netlist(house, codes), gone)
    # What no closed fuse reaches needs a way to ground of its own.
    nodes = {name for line in lines for name in line.split()[1:3] if name[:2] in ("p_", "n_")}
    leaks = [f"Rleak_{n} {name} 0 1e12" for n, name in enumerate(sorted(nodes))]
    told, _ = ngspice.run_ngspice([*lines, *more, *leaks, ".op"], folder)
    told["v(0)"] = np.zeros(1)
    amps = {
        name: float(told[f"v({a})"][0] - told[f"v({b})"][0]) / float(ohm)
        for name, a, b, ohm in (line.split() for line in lines if line.startswith("Rwire_"))
    }
    none = np.zeros(0)
    plus_a = np.array([amps.get(f"Rwire_p_{w}", 0.0) for w in range(len(house.wires))])
    return ngspice.Both(none, none, plus_a, none)
