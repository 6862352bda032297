"""What every cause would have one see and measure, for all causes of a house at once.

The faults change a circuit in few places (`sim.circuit.changed`), and what arrives along the data
chains follows from the voltages as in `sim.upkeep.broken`: below its least logic voltage a pixel
garbles, below half of that it passes nothing on. Fuses open one after another and supplies give up
as there. Two things of that model are left out, because they cost a solve a frame: levels that are
misread for a shift of −, and what garbage draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from layouts.calibration import mains_w
from layouts.faults import Fault
from layouts.records import House
from sim.circuit.build import Network
from sim.circuit.changed import Change, Changeable, changeable, solve_changes
from sim.circuit.law import dim
from sim.circuit.values import Values
from sim.upkeep.faults_circuit import edge_of, short_node, short_ohm, supply_edges
from sim.upkeep.signal import NOTHING, Chains, chains

from .causes import Breakage
from .gives_way import Way, gives_way
from .seeing_kernel import arrivals, looks_by_volts, looks_of
from .shown import Sent

#: What a pixel is seen to do, as rows of `Priors.said`; GONE: none there, or nothing asked of it.
LIT, DARK, WRONG, FLICKERS, DIMMER = range(5)
#: [share] of a channel's light that nobody misses, and that everybody does; common practice.
NOTICED, PLAIN = 0.92, 0.6
#: Below this share of its light a pixel is dark.
UNLIT = 0.03
#: Below this share of its least logic voltage a chip does not run, as in `sim.upkeep.broken`.
RUNS = 0.5
#: So often what is lost and the volts are worked out in turn.
_ROUNDS = 3


@dataclass(frozen=True, eq=False)
class Predicted:
    """Of F causes while one thing is shown: N pixels, X nodes and more.

    Volts are kept once for causes that have the same circuit.
    """

    looks: np.ndarray  # (F, N) int8: LIT … DIMMER
    row: np.ndarray  # (F,) of `node_v` and `wall_w`
    node_v: np.ndarray  # (R, X) float32 [V], as a slow meter shows them
    wall_w: np.ndarray  # (R,) [W]
    visible: np.ndarray  # (N,) bool: lit in the healthy house, at times, while that is shown
    arrives: np.ndarray  # (F, P) NOTHING, DATA or GARBAGE, by place on the chains
    place: np.ndarray  # (N,) of each pixel on the chains, −1: on none
    opened: np.ndarray  # (F, W) bool: fuses

    def volts(self, node: int) -> np.ndarray:
        """(F,) [V] at a node of the circuit."""
        return self.node_v[self.row, node].astype(float)

    def watts(self) -> np.ndarray:
        """(F,) [W] at the wall."""
        return self.wall_w[self.row]

    @cached_property
    def odd(self) -> np.ndarray:
        """(F, N) bool: what everybody sees is not as it should be."""
        return (self.looks != LIT) & (self.looks != DIMMER) & self.visible

    def taken(self, some: np.ndarray) -> Predicted:
        """Of some of the causes."""
        return replace(
            self,
            looks=self.looks[some],
            row=self.row[some],
            arrives=self.arrives[some],
            opened=self.opened[some],
        )


@dataclass(frozen=True, eq=False)
class Bench:
    """A house made ready to have causes tried on it."""

    net: Network
    able: Changeable
    line: Chains

    @staticmethod
    def of(net: Network) -> Bench:
        """The bench of a network."""
        return Bench(net, changeable(net), chains(net.house))


def predicted(bench: Bench, causes: Sequence[Breakage], sent: Sent) -> Predicted:
    """Each cause while that is sent: currents by its codes, looks by what it asks for in time."""
    house, line = bench.net.house, bench.line
    codes, visible = sent.codes, sent.visible
    works, garbled, silent = _lines(bench, causes)
    now = bench.able.net.values
    changes = [change_of(bench.net, now, cause.faults) for cause in causes]
    keys = [_key(change, cause, bench) for change, cause in zip(changes, causes, strict=True)]
    first: dict[object, int] = {}
    for f, key in enumerate(keys):
        first.setdefault(key, f)
    rows = np.array(list(first.values()))
    number = {key: r for r, key in enumerate(first)}
    row = np.array([number[key] for key in keys])
    on = line.pixel
    least_v = np.array([run.kind.min_v for run in house.runs])[house.pixels.run[on]]

    def heard(volts: np.ndarray, some: np.ndarray, by: np.ndarray) -> np.ndarray:
        """What arrives at the pixels of the causes `some`; row `by` of `volts` (R, X) is theirs."""
        fixed = (line.first, line.backup, silent, works, garbled)
        return arrivals(*fixed, some, by, volts, on, least_v, RUNS)

    each = np.arange(len(rows))
    plenty = np.full((1, bench.net.pixels), 1e3, dtype=np.float32)
    lost = heard(plenty, rows, np.zeros(len(rows), dtype=np.int64))
    base = [changes[f] for f in rows]
    made = [replace(change, dark=_dark(bench, lost[r])) for r, change in enumerate(base)]
    way = gives_way(bench.able, codes, made, [causes[f].faults for f in rows])
    hit = np.flatnonzero(way.opened.any(axis=1) | (way.share < 1).any(axis=1))
    if len(hit):
        # What is lost at low voltages draws less, so less gives way: first that, then this.
        volts = solve_changes(bench.able, codes, [made[r] for r in hit]).node_v
        for _ in range(_ROUNDS):
            was = lost[hit] == NOTHING
            now = (heard(volts, rows[hit], np.arange(len(hit))) == NOTHING) | was
            lost[hit] = np.where(now, NOTHING, lost[hit])
            moved = np.flatnonzero((now != was).any(axis=1))
            if not len(moved):
                break
            for k in moved:
                made[hit[k]] = replace(base[hit[k]], dark=_dark(bench, lost[hit[k]]))
            fresh = solve_changes(bench.able, codes, [made[hit[k]] for k in moved])
            volts[moved] = fresh.node_v
        way = way.again(bench.able, codes, made, hit, anew=True)
    differ = each
    for _ in range(_ROUNDS):
        # What hears nothing does not come back: it is dark, draws less, and its volts rise.
        was = lost[differ] == NOTHING
        now = (heard(way.node_v, rows[differ], differ) == NOTHING) | was
        lost[differ] = np.where(now, NOTHING, lost[differ])
        differ = differ[(now != was).any(axis=1)]
        if not len(differ):
            break
        for r in differ:
            made[r] = replace(way.changes[r], dark=_dark(bench, lost[r]))
        way = way.again(bench.able, codes, made, differ)
    # Causes of one circuit may still differ in what their pixels pass on.
    arrives = heard(way.node_v, np.arange(len(causes)), row)
    volts = way.node_v[:, : bench.net.pixels]
    looks = looks_of(
        _by_volts(bench, volts, sent.asked, way), way.unsteady, row, arrives, line.place
    )
    _of_pixels(house, causes, looks)
    looks[:, ~visible] = LIT
    return Predicted(
        looks=looks,
        row=row,
        node_v=way.mean_v,
        wall_w=_wall_w(house, way.supply_a, way.source_v, way.share),
        visible=visible,
        arrives=arrives,
        place=line.place,
        opened=way.opened[row],
    )


def _lines(bench: Bench, causes: Sequence[Breakage]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(F, P) each: the pixel sends on, data to it is garbled; and first pixels that hear nothing.

    A conductor broken before a pixel is as if the pixel before it sent nothing.
    """
    line, house = bench.line, bench.net.house
    shape = (len(causes), len(line.pixel))
    works, garbled = np.ones(shape, dtype=bool), np.zeros(shape, dtype=bool)
    silent = np.zeros(shape, dtype=bool)
    for f, cause in enumerate(causes):
        for fault in cause.faults:
            if fault.run is None:
                continue
            run = house.run(fault.run)
            place = int(line.place[min(run.first + (fault.position or 0), len(line.place) - 1)])
            if place < 0:
                continue
            if fault.kind == "dead":
                works[f, place] = False
            elif fault.kind == "garbage":
                garbled[f, place] = True
            elif fault.kind == "open" and fault.conductor == "data":
                if line.first[place]:
                    silent[f, place] = True
                else:
                    works[f, place - 1] = False
    return works, garbled, silent


def _dark(bench: Bench, heard: np.ndarray) -> tuple[tuple[int, int, int], ...]:
    """Stretches of the chains (P,) that hear nothing, as the circuit counts chains."""
    lost = heard == NOTHING
    if not lost.any():
        return ()
    pixel = bench.line.pixel
    edges = np.flatnonzero(np.diff(np.concatenate([[False], lost, [False]]).astype(np.int8)))
    found = []
    for begin, end in edges.reshape(-1, 2):
        chain, place = bench.able.chain[pixel[begin:end]], bench.able.place[pixel[begin:end]]
        for each in np.unique(chain):
            mine = place[chain == each]
            found.append((int(each), int(mine.min()), int(mine.max()) + 1))
    return tuple(found)


def _key(change: Change, cause: Breakage, bench: Bench) -> object:
    """What makes the circuit of a cause: where nothing flows in a ring, + or − is all one."""
    edges = tuple(
        (edge, min(plus, minus) > 0, *sorted((plus, minus)))
        if bench.able.number_u[edge] < 0
        else (edge, True, plus, minus)
        for edge, plus, minus in change.edges
    )
    dark = _key_of_line(cause, bench)
    limits = tuple((f.supply, f.kind) for f in cause.faults if f.kind == "hiccup")
    return (edges, change.shorts, change.source_v, dark, limits)


def _key_of_line(cause: Breakage, bench: Bench) -> object:
    """Which pixels hear nothing, to the nearest few: what hangs on one pixel no meter sees."""
    at = []
    for fault in cause.faults:
        if fault.run is None or not (fault.kind == "dead" or fault.conductor == "data"):
            continue
        run = bench.net.house.run(fault.run)
        if fault.kind == "dead" and run.kind.backup_data:
            continue
        pixel = run.first + min(fault.position or 0, run.count - 1)
        at.append((int(bench.able.chain[pixel]), int(bench.able.place[pixel]) // 4))
    return tuple(sorted(at))


def change_of(net: Network, now: Values, faults: Sequence[Fault]) -> Change:
    """What the faults change of a circuit whose conductors have the values `now`."""
    edges: dict[int, tuple[float, float]] = {}
    shorts, source_v = [], []

    def worse(edge: int, plus: float | None, minus: float | None) -> None:
        """None: as it is; 0: broken; else [Ω] more."""
        had = edges.get(edge, (float(now.plus_s[edge]), float(now.minus_s[edge])))
        edges[edge] = tuple(  # type: ignore[assignment]
            s if more is None else 0.0 if 0 in (more, s) else 1 / (1 / s + more)
            for s, more in zip(had, (plus, minus), strict=True)
        )

    for fault in faults:
        if fault.kind == "blown":
            worse(int(net.wire_edge[fault.wire]), 0, None)
        elif fault.kind == "off":
            for edge in supply_edges(net, str(fault.supply)):
                worse(edge, 0, 0)
        elif fault.kind == "sag":
            names = [supply.name for supply in net.house.supplies]
            source_v.append((names.index(str(fault.supply)), float(fault.volts or 0.0)))
        elif fault.kind == "short":
            shorts.append((short_node(net, fault), 1 / short_ohm(fault)))
        elif fault.kind in ("open", "joint") and fault.conductor != "data":
            more = 0.0 if fault.kind == "open" else float(fault.ohm or 0.0)
            plus = more if fault.conductor in (None, "plus") else None
            minus = more if fault.conductor in (None, "minus") else None
            worse(edge_of(net, fault), plus, minus)
    changed = tuple((edge, plus, minus) for edge, (plus, minus) in edges.items())
    return Change(changed, tuple(shorts), tuple(source_v))


def _by_volts(bench: Bench, volts: np.ndarray, asked: np.ndarray, way: Way) -> np.ndarray:
    """(R, N) what pixels that are asked for `asked` (N, C) look like at `volts` (R, N)."""
    law = bench.net.law
    healthy = solve_changes(bench.able, np.zeros((len(law.kind), law.channels)), [Change()]).node_v
    usual = dim(law, healthy[0, : len(law.kind)].astype(float))
    usual = np.where(asked > 0, usual, 0.0)
    on = way.share.min(axis=1, initial=1.0)
    numbers = (law.kind, law.amps, law.vf_v, law.headroom_v, law.most)
    seen = (usual, on, way.unsteady, NOTICED, PLAIN, UNLIT)
    return looks_by_volts(np.ascontiguousarray(volts), *numbers, *seen)


def _of_pixels(house: House, causes: Sequence[Breakage], looks: np.ndarray) -> None:
    for f, cause in enumerate(causes):
        for fault in cause.faults:
            if fault.kind in ("dead", "dark", "stuck") and fault.run is not None:
                at = house.run(fault.run).first + (fault.position or 0)
                looks[f, at] = WRONG if fault.kind == "stuck" else DARK


def _wall_w(
    house: House, supply_a: np.ndarray, source_v: np.ndarray, share: np.ndarray
) -> np.ndarray:
    """(R,) [W] from the mains, as `sim.circuit.wall_w`; the mean over hiccups."""
    if not house.supplies:
        return np.zeros(len(supply_a))
    ohm = np.array([supply.source_ohm for supply in house.supplies])
    out_w = np.maximum(supply_a * (source_v - ohm * supply_a), 0.0)
    each_w = share * mains_w(house, out_w) + (1 - share) * mains_w(house, np.zeros_like(out_w))
    return each_w.sum(axis=1)
