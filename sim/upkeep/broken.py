"""A house with something broken, in the same model: picture, volts and amperes come from it.

`broken` works out what of the circuit and of the data lines a list of faults changes, once;
`frame_of_broken` what is to be seen while codes are sent.

- Fuses open one after another, the one most loaded for its rating first, while one carries what
  opens it within seconds. A supply gives no more than it surely can: what it would have to give
  beyond is taken off the fuses' share.
- A supply asked for more than any gives goes off and on again; while it is on it gives that and
  no more, at the voltage which that leaves (`current_limit`).
- Data is followed from pixel to pixel, and what is lost of it at low voltages (`settled`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

import numpy as np

from layouts.faults import HICCUP_S, Fault
from layouts.records import House
from sim.circuit import Network, Solution
from sim.frame import Rig

from .current_limit import held_down
from .fault_limits import next_fuse
from .faults_circuit import circuit_with, opened_fuse, without_supplies
from .settled import Lines, Settled, settled
from .signal import GARBAGE, Chains, chains


@dataclass(frozen=True, eq=False)
class BrokenRig:
    """A rig and what is broken of it; N pixels, P of them on chains."""

    rig: Rig
    faults: tuple[Fault, ...]
    network: Network  # with the faults in it, every fuse that is not blown closed
    line: Chains
    works: np.ndarray  # (N,) bool: there and not dead
    dark: np.ndarray  # (N,) bool: gives no light whatever it is sent
    stuck: np.ndarray  # (N,) bool: shows `stuck_codes` whatever it is sent
    stuck_codes: np.ndarray  # (N, C) uint8
    link: np.ndarray  # (P,) bool: the data conductor to the pixel is whole
    garbled: np.ndarray  # (P,) bool: data to the pixel is garbled
    hiccups: tuple[tuple[str, float], ...]  # supplies, and the share of the time they are on
    seed: int = 0


@dataclass(frozen=True, eq=False)
class BrokenState:
    """What is there for a share of the time; T frames, N pixels."""

    share: float  # 0..1 of the time
    off: frozenset[str]  # supplies in their pause
    solution: Solution
    received: np.ndarray  # (T, N, C) uint8, as each pixel shows them
    arrives: np.ndarray  # (T, N) NOTHING, DATA or GARBAGE; DATA on no chain
    light: np.ndarray  # (T, N, C) 0..1


@dataclass(frozen=True, eq=False)
class BrokenFrame:
    """What a broken house shows while T frames are sent; N pixels.

    `solution` and `received` are those of the first state, in which every supply that can is on.
    """

    broken: BrokenRig
    codes: np.ndarray  # (T, N, C) uint8, as sent
    states: tuple[BrokenState, ...]
    opened: tuple[int, ...]  # wires whose fuses opened, in order
    tripped: tuple[str, ...]  # supplies that go off and on for being overloaded

    @property
    def solution(self) -> Solution:
        """The broken circuit, fuses opened."""
        return self.states[0].solution

    @property
    def received(self) -> np.ndarray:
        """(T, N, C) uint8 codes as each pixel shows them: 0 where it is dark or hears nothing."""
        return self.states[0].received

    @property
    def alive(self) -> np.ndarray:
        """(N,) bool: the pixel is there, not dead, and a supply reaches it."""
        return self.broken.works & self.solution.network.reach.live

    @property
    def light(self) -> np.ndarray:
        """(T, N, C) share 0..1 of each channel's full light, the mean over the states."""
        return np.sum([state.share * state.light for state in self.states], axis=0)

    @property
    def volts(self) -> np.ndarray:
        """(T, N) [V] at each pixel, the mean over the states: what a slow meter shows."""
        return np.sum([state.share * state.solution.volts for state in self.states], axis=0)

    @property
    def flickers(self) -> np.ndarray:
        """(T, N) bool: shows garbage, or another light from state to state."""
        first = self.states[0]
        unsteady = first.arrives == GARBAGE
        for state in self.states[1:]:
            unsteady = unsteady | (np.abs(state.light - first.light).max(axis=-1) > 1 / 255)
        return unsteady & (self.light.max(axis=-1) > 0)


def broken(rig: Rig, faults: Iterable[Fault], *, seed: int = 0) -> BrokenRig:
    """The rig with these faults, all at once; `seed` decides what garbage looks like.

    EvenfallError for a fault the house cannot have.
    """
    faults, house = tuple(faults), rig.house
    pixels = len(house.pixels)
    line = chains(house)
    works = house.has_pixel
    dark, stuck = np.zeros(pixels, dtype=bool), np.zeros(pixels, dtype=bool)
    stuck_codes = np.zeros((pixels, len(house.channels)), dtype=np.uint8)
    link = np.ones(len(line.pixel), dtype=bool)
    garbled = np.zeros(len(line.pixel), dtype=bool)
    hiccups: dict[str, float] = {}
    for fault in faults:
        if fault.kind == "hiccup":
            hiccups[str(fault.supply)] = fault.on_share
            continue
        if fault.run is None:
            continue
        run = house.run(fault.run)
        at = run.first + (fault.position or 0)
        if fault.kind == "dead":
            works[at] = False
        elif fault.kind == "dark":
            dark[at] = True
        elif fault.kind == "stuck":
            stuck[at] = True
            stuck_codes[at, :3] = fault.colour or (255, 255, 255)
        elif fault.kind == "garbage":
            garbled[line.place[at]] = True
        elif fault.kind == "open" and fault.conductor == "data":
            behind = _next_on_chain(house, line, fault)
            if behind is not None:
                link[behind] = False
    return BrokenRig(
        rig=rig,
        faults=faults,
        network=circuit_with(rig.network, faults),
        line=line,
        works=works,
        dark=dark,
        stuck=stuck,
        stuck_codes=stuck_codes,
        link=link,
        garbled=garbled,
        hiccups=tuple(hiccups.items()),
        seed=seed,
    )


def frame_of_broken(broken_rig: BrokenRig, codes: np.ndarray, *, number: int = 0) -> BrokenFrame:
    """What is to be seen while `codes` (T, N, C) uint8 are sent, the first as frame `number`.

    A fuse that opens in one of the frames is open in all.
    """
    net = broken_rig.network
    opened: list[int] = []
    first = _settled(broken_rig, net, codes, number)
    while (wire := next_fuse(first.solution, opened)) is not None:
        opened.append(wire)
        net = opened_fuse(net, wire)
        first = _settled(broken_rig, net, codes, number)
    net, first, tripped = held_down(
        net, first, lambda there: _settled(broken_rig, there, codes, number)
    )
    shares = dict(broken_rig.hiccups)
    if tripped:
        usual = HICCUP_S[0] / sum(HICCUP_S)
        shares |= {name: usual for name in tripped if name not in shares}
    states = []
    for pauses in product((False, True), repeat=len(shares)):
        off = frozenset(name for name, paused in zip(shares, pauses, strict=True) if paused)
        share = float(
            np.prod([1 - shares[name] if name in off else shares[name] for name in shares])
        )
        there = _settled(broken_rig, without_supplies(net, off), codes, number) if off else first
        states.append(
            BrokenState(share, off, there.solution, there.received, there.arrives, there.light)
        )
    return BrokenFrame(broken_rig, codes, tuple(states), tuple(opened), tripped)


def _next_on_chain(house: House, line: Chains, fault: Fault) -> int | None:
    """The place on the chain of the first pixel behind a break of the data conductor."""
    run, position = house.run(str(fault.run)), fault.position or 0
    behind = line.place[run.first + position : run.first + run.count]
    if (behind >= 0).any():
        return int(behind[behind >= 0][0])
    after = line.place[run.pixels].max() + 1
    return int(after) if after < len(line.first) and not line.first[after] else None


def lines_of(rig: BrokenRig, frames: int, number: int = 0) -> Lines:
    """The data lines of a broken rig for so many frames, the first as frame `number`."""
    on = rig.line.pixel

    def wide(each: np.ndarray) -> np.ndarray:
        return np.broadcast_to(each, (frames, *each.shape))

    return Lines(
        line=rig.line,
        link=wide(rig.link),
        garbled=wide(rig.garbled),
        works=wide(rig.works[on]),
        unlit=wide(rig.dark | ~rig.works),
        stuck=wide(rig.stuck),
        stuck_codes=wide(rig.stuck_codes),
        number=number + np.arange(frames),
        seed=rig.seed,
    )


def _settled(rig: BrokenRig, net: Network, codes: np.ndarray, number: int) -> Settled:
    return settled(net, lines_of(rig, len(codes), number), codes)
