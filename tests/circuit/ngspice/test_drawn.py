"""Many draws of a strip's parts, against ngspice with the same draws: each within a microvolt."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.records import CHANNELS, House, Kind
from sim.circuit import build
from sim.circuit.drawn import DrawnCircuit, drawn_loads, solve_drawn
from sim.spread import circuit_of, draws, unknowns
from sim.spread.unknowns import wire_most

from .conftest import needs_ngspice, netlist, pixel_law, run_ngspice

pytestmark = pytest.mark.outside

DRAWS = 16


def kind_of(kind: Kind, times: float, add: np.ndarray) -> Kind:
    """A pixel whose currents and forward voltages are other than its kind's."""
    return replace(
        kind,
        channels=tuple(
            replace(
                channel,
                current_ma=float(channel.current_ma * times),
                vf_v=float(channel.vf_v + add[CHANNELS.index(channel.name)]),
            )
            for channel in kind.channels
        ),
    )


def drawn_netlist(house: House, codes: np.ndarray, drawn: SimpleNamespace) -> list[str]:
    """The netlist of a house of one run with the numbers of one draw, written from the factors."""
    (run,) = house.runs
    made = []
    for line in netlist(house, codes):
        name, *rest = line.split()
        if name.startswith("Rrail_"):
            made.append(f"{name} {rest[0]} {rest[1]} {float(rest[2]) * drawn.rail!r}")
        elif name.startswith("Rwire_"):
            made.append(f"{name} {rest[0]} {rest[1]} {float(rest[2]) * drawn.wire!r}")
        elif name.startswith("Vsupply_"):
            made.append(f"{name} {rest[0]} {rest[1]} {float(rest[2]) * drawn.supply!r}")
        elif name.startswith("Bpixel_"):
            k = int(name.rsplit("_", 1)[1])
            kind = kind_of(run.kind, float(drawn.current[k]), drawn.vf)
            plus, minus = f"p_{run.name}_{k + 1}", f"n_{run.name}_{k + 1}"
            made.append(f"{name} {plus} {minus} I={pixel_law(kind, codes[k], plus, minus, '1')}")
        else:
            made.append(line)
    return made


@pytest.mark.parametrize("law", ["parallel", "series"])
def test_every_draw_of_a_strip_is_that_of_ngspice(
    make: SimpleNamespace, tmp_path: Path, law: str
) -> None:
    needs_ngspice()
    kind, full_v = make.kind(rail_ohm_per_m=0.8), 3.8
    if law == "series":
        kind, full_v = make.series_kind(rail_ohm_per_m=8.0), 8.9
    wires = [("psu", "a.start", "18 AWG", 3.0)]
    house = make.house({"a": (kind, 60)}, [make.supply(volts=kind.supply_v, ohm=0.02)], wires)
    codes = np.random.default_rng(60).integers(60, 256, (60, 4)).astype(np.uint8)
    known = unknowns(house)
    drawn = draws(known, DRAWS, seed=5)
    found = solve_drawn(build(house), circuit_of(build(house), drawn), codes[None])
    starved = 0
    for d in range(DRAWS):

        def value(factor: str, d: int = d) -> float:
            (column,) = [n for n, each in enumerate(known.common) if each.factor == factor]
            return float(drawn.common[d, column])

        one = SimpleNamespace(
            rail=value("rail_ohm"),
            wire=value("wire_ohm") * float(wire_most(house)[0]),
            supply=value("supply_v"),
            current=value("current") * drawn.current_each[d],
            vf=np.array([value(f"vf_{c}") for c in "rgb"] + [0.0]),
        )
        told, _ = run_ngspice([*drawn_netlist(house, codes, one), ".op"], tmp_path)
        spice_v = [told[f"v(p_a_{k})"][0] - told[f"v(n_a_{k})"][0] for k in range(1, 61)]
        # ngspice on both rails with the same draw, reltol 1e-9
        assert np.abs(found.volts[d, 0] - spice_v).max() < 1e-6
        starved += bool(found.volts[d, 0].min() < full_v)
    assert 2 <= starved < DRAWS  # both ways to the answer were met
    assert isinstance(found.drawn, DrawnCircuit)
    assert drawn_loads(found).supply_a.shape == (DRAWS, 1)


def test_draws_differ(make: SimpleNamespace, spice: Callable[..., np.ndarray]) -> None:
    """What is compared above is no constant."""
    house = make.house(
        {"a": (make.kind(), 60)}, [make.supply()], [("psu", "a.start", "18 AWG", 3.0)]
    )
    codes = np.full((60, 4), 255, dtype=np.uint8)
    found = solve_drawn(
        build(house), circuit_of(build(house), draws(unknowns(house), 8)), codes[None]
    )
    assert np.ptp(found.volts[:, 0, -1]) > 0.05
    assert np.abs(found.volts[:, 0, -1] - spice(house, codes)[-1]).min() < 0.3
