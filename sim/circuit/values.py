"""What the conductors of a house conduct, and what its sources give: the numbers of a circuit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts import fuses
from layouts.copper import ohm_per_m, temperature_factor
from layouts.errors import EvenfallError
from layouts.records import House, Run, Wire

from .topology import Topology


@dataclass(frozen=True, eq=False)
class Values:
    """Of E edges and S supplies. A conductance of 0 is an interrupted conductor."""

    plus_s: np.ndarray  # (E,) [S] of the + conductor of each edge
    minus_s: np.ndarray  # (E,) [S] of its − conductor
    source_v: np.ndarray  # (S,) [V]
    shunt_s: np.ndarray | None = None  # (M,) [S] between + and − of each free node; None: nowhere

    @property
    def loop_s(self) -> np.ndarray:
        """(E,) [S] of + and − one after the other; 0 where one is interrupted."""
        both = self.plus_s + self.minus_s
        return self.plus_s * self.minus_s / np.where(both > 0, both, 1.0)


def wire_ohm(wire: Wire, temperature_c: float) -> float:
    """[Ω] of one conductor of a wire, without its fuse."""
    return wire.length_m * ohm_per_m(wire.size.area_mm2, temperature_c)


def fuse_ohm(wire: Wire) -> float:
    """[Ω] of a wire's fuse while cold, which sits in +; 0 where it has none."""
    return 0.0 if wire.fuse_a is None else fuses().cold_ohm(wire.fuse_a)


def wire_loop_ohm(wire: Wire, temperature_c: float) -> float:
    """[Ω] of both conductors of a wire, and of its fuse while cold."""
    return 2 * wire_ohm(wire, temperature_c) + fuse_ohm(wire)


def rail_ohm(run: Run, temperature_c: float) -> float:
    """[Ω] of one rail between two neighbouring pixels of a run.

    The leads of a string stay as long as they are made where its pixels are mounted closer.
    """
    kind = run.kind
    lead_m = max(run.pitch_m, kind.pitch_m) if kind.mount == "string" else run.pitch_m
    return kind.rail_ohm_per_m * lead_m * temperature_factor(temperature_c)


def values(topology: Topology, house: House) -> Values:
    """The numbers of `house`, whose wiring is that of `topology`.

    EvenfallError where a resistance is none.
    """
    hot = house.temperature_c
    rails = np.array([_siemens(rail_ohm(r, hot), f"the rails of run {r.name}") for r in house.runs])
    counts = [run.count - 1 for run in house.runs]
    wire = [(wire_ohm(w, hot), fuse_ohm(w), w.label) for w in house.wires]
    minus = np.array([_siemens(ohm, f"wire {label}") for ohm, _, label in wire])
    plus = np.array([_siemens(ohm + fuse, f"wire {label}") for ohm, fuse, label in wire])
    source_ohm = np.array([supply.source_ohm for supply in house.supplies], dtype=float)
    sources = 2 / source_ohm[topology.source_of]
    strip = np.concatenate([np.repeat(rails, counts), 2 * rails[topology.pad_run]])
    return Values(
        plus_s=np.concatenate([_with_cuts(strip, house), plus, sources]),
        minus_s=np.concatenate([strip, minus, sources]),
        source_v=np.array([supply.volts for supply in house.supplies], dtype=float),
    )


def _with_cuts(strip_s: np.ndarray, house: House) -> np.ndarray:
    """The rails and pads with + interrupted where runs are cut."""
    out = strip_s.copy()
    for index, run in enumerate(house.runs):
        for position in run.cuts:
            if not 1 <= position < run.count:
                raise EvenfallError(
                    f"run {run.name} has no two pixels with position {position} between them; "
                    f"cut it before 1 to {run.count - 1}"
                )
            # Every run before it has one rail less than pixels.
            out[run.first - index + position - 1] = 0.0
    return out


def _siemens(ohm: float, where: str) -> float:
    """1/ohm; EvenfallError where that is no conductance."""
    if not (0 < ohm < np.inf):
        raise EvenfallError(f"the resistance of {where} comes to {ohm:g} Ω; it must be above 0")
    return 1 / ohm
