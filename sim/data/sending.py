"""What a source of E1.31 sends and when: pure, without clock or socket.

Levels that change are sent with every frame. Levels that stay are sent three times, then again
every 0.85 s, inside the 800 to 1000 ms of ANSI E1.31-2018 6.6.2 whatever the frame rate; sequence
numbers go on. At the end every universe is sent three times with Stream_Terminated (6.2.6). The
universes are offered every 10 s where they go to groups (discovery, clause 8).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from .packets import (
    TERMINATED,
    USUAL_PRIORITY,
    DataPacket,
    DiscoveryPacket,
    data_bytes,
    discovery_bytes,
)

#: How often levels are sent that no longer change, and then the time between two [s].
REPEATS, KEEP_ALIVE_S = 3, 0.85
#: Time between two offers of the universes [s].
DISCOVERY_S = 10.0
#: Packets that say a universe ends.
LAST_PACKETS = 3
#: Fastest that a universe of 512 slots is renewed on a DMX512-A line [Hz]; 6.6.1 asks to keep it
#: unless the user says otherwise: 1 / (92 µs + 12 µs + 513 · 44 µs).
DMX_HZ = 1 / (92e-6 + 12e-6 + 513 * 44e-6)


@dataclass(frozen=True, slots=True)
class SentUniverse:
    """What was last sent of a universe."""

    levels: bytes
    times: int  # these levels were sent
    sent_s: float
    sequence: int


@dataclass(frozen=True)
class Sending:
    """A source and all it has sent so far."""

    cid: bytes
    name: str
    priority: int = USUAL_PRIORITY
    universes: Mapping[int, SentUniverse] = field(default_factory=dict)
    packets: int = 0
    octets: int = 0  # of datagrams


def due(
    state: Sending, levels: Mapping[int, bytes], now_s: float
) -> tuple[Sending, list[tuple[int, bytes]]]:
    """(universe, datagram) to send at `now_s` [s] while `levels` are shown, and the state after."""
    universes, out = dict(state.universes), []
    for number, wanted in levels.items():
        last = universes.get(number)
        sequence, times = 0, 1
        if last is not None:
            sequence = (last.sequence + 1) & 255
            if last.levels == wanted:
                times = last.times + 1
                if times > REPEATS and now_s - last.sent_s < KEEP_ALIVE_S:
                    continue
        packet = DataPacket(state.cid, number, sequence, wanted, state.name, state.priority)
        out.append((number, data_bytes(packet)))
        universes[number] = SentUniverse(wanted, times, now_s, sequence)
    return _with(state, universes, out), out


def next_due_s(state: Sending) -> float:
    """When a universe has to be sent again even if nothing changes [s]."""
    sent = [each.sent_s for each in state.universes.values()]
    return min(sent, default=float("-inf")) + KEEP_ALIVE_S


def last_packets(state: Sending) -> tuple[Sending, list[tuple[int, bytes]]]:
    """One of the three rounds that end every universe sent so far."""
    universes, out = dict(state.universes), []
    for number, last in state.universes.items():
        sequence = (last.sequence + 1) & 255
        packet = DataPacket(
            state.cid,
            number,
            sequence,
            last.levels,
            state.name,
            state.priority,
            options=TERMINATED,
        )
        out.append((number, data_bytes(packet)))
        universes[number] = SentUniverse(last.levels, last.times, last.sent_s, sequence)
    return _with(state, universes, out), out


def offer(cid: bytes, name: str, universes: tuple[int, ...]) -> list[bytes]:
    """The discovery datagrams that list the universes, 512 a page."""
    pages = [universes[at : at + 512] for at in range(0, len(universes), 512)] or [()]
    last = len(pages) - 1
    return [
        discovery_bytes(DiscoveryPacket(cid, name, page, number, last))
        for number, page in enumerate(pages)
    ]


def _with(
    state: Sending, universes: dict[int, SentUniverse], out: list[tuple[int, bytes]]
) -> Sending:
    return Sending(
        state.cid,
        state.name,
        state.priority,
        universes,
        state.packets + len(out),
        state.octets + sum(len(each) for _, each in out),
    )
