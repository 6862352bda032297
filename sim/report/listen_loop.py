"""The turns of listening: letters are played, and a `LiveSecond` is made of them every second.

Whoever listens, in a terminal or in a window, goes through the same turns.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import BinaryIO

import numpy as np

from sim.circuit import Network
from sim.data.inbox import Inbox, Letter
from sim.data.listening import listening, played, settled
from sim.data.patch import HousePatch, codes_from, stacked
from sim.data.pcap import pcap_record, udp_frame
from sim.data.taking import TakenFrame

from .listen import LiveLoad, LiveSecond, live_load, live_universes

#: How often the inbox is emptied, and how often is told [s].
TURN_S, TELL_S = 0.05, 1.0


def live_seconds(
    inbox: Inbox,
    network: Network,
    patch: HousePatch,
    *,
    seconds: float | None = None,
    file: BinaryIO | None = None,
    turn_s: float = TURN_S,
    seen: Callable[[np.ndarray], None] | None = None,
    alive: Callable[[], bool] = lambda: True,
) -> Iterator[LiveSecond]:
    """Listen, and yield every second and once at the end: after `seconds`, or when not `alive`.

    Datagrams go to `file` as records of a capture; `seen` is given the codes (N, C) uint8 of the
    last frame of each turn that has one.
    """
    state = listening(patch.universes, time.time_ns())
    begun = told = time.monotonic()
    before = state.taking.receiver
    frames: list[TakenFrame] = []
    late_ns = 0
    load: LiveLoad | None = None
    most_a, most_s, over = 0.0, 0.0, False
    while not over:
        time.sleep(turn_s)
        now = time.monotonic()
        over = not alive() or (seconds is not None and now - begun >= seconds)
        letters, read_ns = inbox.taken(), time.time_ns()
        if letters:
            late_ns = max(late_ns, read_ns - min(each.time_ns for each in letters))
        if file is not None:
            keep(file, letters)
        state, done = played(state, letters)
        tells = now - told >= TELL_S or over
        if tells:
            state, last = settled(state, read_ns)
            done += last
        frames += done
        if seen is not None and done:
            seen(codes_of(patch, done[-1]))
        if not tells:
            continue
        if frames:
            load = live_load(network, patch, frames)
            if load.peak_a > most_a:
                most_a, most_s = load.peak_a, now - begun
        receiver = state.taking.receiver
        yield LiveSecond(
            now - begun,
            load,
            live_universes(patch, before, receiver, now - told),
            dict(receiver.counts),
            inbox.dropped,
            late_ns / 1e6 if late_ns else None,
            most_a,
            most_s,
        )
        told, before, frames, late_ns = now, receiver, [], 0


def codes_of(patch: HousePatch, frame: TakenFrame) -> np.ndarray:
    """The codes (N, C) uint8 that a frame gives the house."""
    return np.asarray(codes_from(patch, stacked(patch, frame.levels)[None])[0])


def keep(file: BinaryIO, letters: list[Letter]) -> None:
    """Write what arrived as a capture; heads of Ethernet, IP and UDP are made anew."""
    for each in letters:
        octets = udp_frame(each.payload, each.source, each.target)
        file.write(pcap_record(each.time_ns, octets))


def warm(network: Network, patch: HousePatch) -> None:
    """Have the kernels compiled before the first packet comes."""
    live_load(network, patch, [TakenFrame(0.0, {})])


def is_dangerous(second: LiveSecond) -> bool:
    """Whether anything in a second was dangerous."""
    return second.load is not None and any(
        found.level == "danger" for found in second.load.findings
    )
