"""What a receiver of E1.31 makes of the packets it hears: one pure state machine.

`received(state, packet, address, now)` gives the next state; no clock, no socket. Rules of ANSI
E1.31-2018, and where the standard leaves the choice:

- a packet out of sequence (−20 < new − last ≤ 0, signed octet) is dropped, one counter for each
  source, universe and sort of packet;
- the highest priority wins; equals are merged slot by slot, the highest level of all. At most
  `MOST_SOURCES` take part: those with the lowest identifiers, whoever began first, and `exceeded`
  says that there are more;
- a source not heard for 2.5 s, or that says it stops, leaves its universe. With the last one the
  levels stay as they are, as pixels do that hear nothing more;
- a preview packet and an alternate START code count for the sequence and for nothing else;
- with a synchronisation address, levels wait for its packet. Before the first one the address
  means nothing; 2.5 s after the last, Force_Sync 1 goes on without, 0 holds the last look.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from .packets import LOSS_S, SLOTS, DataPacket, DiscoveryPacket, Malformed, Packet, SyncPacket

#: Sources of one priority that are merged.
MOST_SOURCES = 4
#: Sources of one universe that are remembered at all; more are counted and not heard.
MOST_REMEMBERED = 64
#: Synchronisation counters remembered; whoever sends more addresses starts anew with them.
MOST_SYNCS = 1024

#: What became of a datagram, beside `malformed:` and a reason. Each is counted once.
OUTCOMES = (
    "shown",
    "waiting",
    "terminated",
    "preview",
    "alternate",
    "out-of-sequence",
    "other-universe",
    "too-many-sources",
    "sync",
    "discovery",
)


@dataclass(frozen=True, slots=True)
class SourceState:
    """One source of one universe."""

    cid: bytes
    name: str
    address: str
    priority: int
    sequence: int  # of the last packet accepted
    heard_s: float  # the last packet with levels, or the first of any sort
    packets: int = 0  # accepted
    missed: int = 0  # jumped over by the sequence
    levels: bytes | None = None  # None: gives none
    waiting: bytes | None = None  # levels that wait for a synchronisation packet
    sync: int = 0  # its address


@dataclass(frozen=True, slots=True)
class UniverseState:
    """One universe: who sends it, and what it shows."""

    sources: Mapping[bytes, SourceState] = field(default_factory=dict)
    levels: bytes = b""  # of slots 1, 2 …; what lies behind is 0
    shows: tuple[bytes, ...] = ()  # the sources that make the levels; () without one: they are held
    exceeded: bool = False  # more sources of the highest priority than can be merged
    renewals: int = 0  # how often the levels were set

    @property
    def priority(self) -> int | None:
        """Of what is shown; None where the levels are held."""
        return self.sources[self.shows[0]].priority if self.shows else None


@dataclass(frozen=True, slots=True)
class Receiver:
    """All that is known after the packets so far. `renewed`: universes the last step set."""

    universes: Mapping[int, UniverseState] = field(default_factory=dict)
    counts: Mapping[str, int] = field(default_factory=dict)  # by outcome
    wanted: frozenset[int] | None = None  # other universes are counted only; None: none is other
    syncs: Mapping[int, float] = field(default_factory=dict)  # address → when last heard [s]
    sync_sequences: Mapping[tuple[bytes, int], int] = field(default_factory=dict)
    offered: Mapping[bytes, DiscoveryPacket] = field(default_factory=dict)  # by source
    due_s: float = np.inf  # no source can be lost before
    renewed: tuple[int, ...] = ()


_NONE = UniverseState()


def received(state: Receiver, packet: Packet | Malformed, address: str, now_s: float) -> Receiver:
    """The state after a datagram from `address` at `now_s` [s], which never goes back."""
    if now_s >= state.due_s:
        aged_state = aged(state, now_s)
        after = received(aged_state, packet, address, now_s)
        renewed = (*aged_state.renewed, *after.renewed)
        return replace(after, renewed=tuple(dict.fromkeys(renewed)))
    if isinstance(packet, DataPacket):
        return _data(state, packet, address, now_s)
    if isinstance(packet, SyncPacket):
        return _sync(state, packet, now_s)
    if isinstance(packet, DiscoveryPacket):
        offered = {**state.offered, packet.cid: packet}
        if len(offered) > MOST_SYNCS:
            offered = {packet.cid: packet}
        return _counted(replace(state, offered=offered), "discovery")
    return _counted(state, f"malformed:{packet.reason}")


def aged(state: Receiver, now_s: float) -> Receiver:
    """The state at `now_s` [s]: without the sources that were not heard for 2.5 s."""
    if now_s < state.due_s:
        return replace(state, renewed=()) if state.renewed else state
    universes, renewed = dict(state.universes), []
    for number, universe in state.universes.items():
        kept = {c: s for c, s in universe.sources.items() if now_s - s.heard_s < LOSS_S}
        if len(kept) != len(universe.sources):
            universes[number] = _merged(universe, kept)
            if universes[number].renewals != universe.renewals:
                renewed.append(number)
    heard = [s.heard_s for u in universes.values() for s in u.sources.values()]
    due_s = min(heard, default=np.inf) + LOSS_S
    # now − heard can round below 2.5 where heard + 2.5 does not; it is looked at again just after
    due_s = max(due_s, float(np.nextafter(now_s, np.inf)))
    return replace(state, universes=universes, due_s=due_s, renewed=tuple(renewed))


def in_sequence(last: int, new: int) -> bool:
    """Whether a packet numbered `new` follows one numbered `last` (both 0..255)."""
    ahead = (new - last + 128) % 256 - 128
    return not -20 < ahead <= 0


def levels_of(universe: UniverseState) -> np.ndarray:
    """(512,) uint8 the levels of slots 1 … 512."""
    return np.frombuffer(universe.levels.ljust(SLOTS, b"\0"), dtype=np.uint8)


def _counted(state: Receiver, outcome: str) -> Receiver:
    counts = dict(state.counts)
    counts[outcome] = counts.get(outcome, 0) + 1
    return Receiver(
        state.universes,
        counts,
        state.wanted,
        state.syncs,
        state.sync_sequences,
        state.offered,
        state.due_s,
    )


def _data(state: Receiver, packet: DataPacket, address: str, now_s: float) -> Receiver:
    number, cid = packet.universe, packet.cid
    if state.wanted is not None and number not in state.wanted:
        return _counted(state, "other-universe")
    universe = before = state.universes.get(number, _NONE)
    source = universe.sources.get(cid)
    if source is None:
        if packet.terminated:
            return _counted(state, "terminated")
        if len(universe.sources) >= MOST_REMEMBERED:
            last = max(universe.sources.values(), key=_rank)
            if _rank(last) < (-packet.priority, cid):
                return _counted(state, "too-many-sources")
            rest = {c: s for c, s in universe.sources.items() if c != last.cid}
            universe = _merged(universe, rest)
        missed = packets = 0
        source = SourceState(cid, packet.name, address, packet.priority, packet.sequence, now_s)
    else:
        if not in_sequence(source.sequence, packet.sequence):
            return _counted(state, "out-of-sequence")
        ahead = (packet.sequence - source.sequence) % 256
        missed = source.missed + (ahead - 1 if ahead < 128 else 0)
        packets = source.packets
    levels, waiting, heard_s = source.levels, source.waiting, source.heard_s
    priority, outcome = source.priority, "shown"
    if packet.terminated:
        levels, waiting, outcome = None, None, "terminated"
    elif packet.start:
        outcome = "alternate"
    elif packet.preview:
        outcome = "preview"
    else:
        heard_s, priority = now_s, packet.priority
        if _waits(state, packet, now_s):
            waiting, outcome = packet.slots, "waiting"
        else:
            levels, waiting = packet.slots, None
    source = SourceState(
        cid,
        packet.name,
        address,
        priority,
        packet.sequence,
        heard_s,
        packets + 1,
        missed,
        levels,
        waiting,
        packet.sync,
    )
    sources = dict(universe.sources)
    sources[cid] = source
    if outcome == "shown" or outcome == "terminated":
        after = _merged(universe, sources, renewed=outcome == "shown")
    else:
        after = replace(universe, sources=sources)
    universes, counts = dict(state.universes), dict(state.counts)
    universes[number] = after
    counts[outcome] = counts.get(outcome, 0) + 1
    return Receiver(
        universes,
        counts,
        state.wanted,
        state.syncs,
        state.sync_sequences,
        state.offered,
        min(state.due_s, heard_s + LOSS_S),
        (number,) if after.renewals != before.renewals else (),
    )


def _waits(state: Receiver, packet: DataPacket, now_s: float) -> bool:
    """Whether these levels are held back until a synchronisation packet comes."""
    if not packet.sync or packet.sync not in state.syncs:
        return False
    return not packet.force_sync or now_s - state.syncs[packet.sync] < LOSS_S


def _sync(state: Receiver, packet: SyncPacket, now_s: float) -> Receiver:
    key = (packet.cid, packet.sync)
    last = state.sync_sequences.get(key)
    if last is not None and not in_sequence(last, packet.sequence):
        return _counted(state, "out-of-sequence")
    sequences = dict(state.sync_sequences) if len(state.sync_sequences) < MOST_SYNCS else {}
    syncs = dict(state.syncs) if len(state.syncs) < MOST_SYNCS else {}
    sequences[key], syncs[packet.sync] = packet.sequence, now_s
    universes, renewed = dict(state.universes), []
    for number, universe in state.universes.items():
        if not any(
            s.waiting is not None and s.sync == packet.sync for s in universe.sources.values()
        ):
            continue
        sources = {
            cid: replace(s, levels=s.waiting, waiting=None)
            if s.waiting is not None and s.sync == packet.sync
            else s
            for cid, s in universe.sources.items()
        }
        universes[number] = _merged(universe, sources, renewed=True)
        renewed.append(number)
    after = replace(state, universes=universes, syncs=syncs, sync_sequences=sequences)
    return replace(_counted(after, "sync"), renewed=tuple(renewed))


def _rank(source: SourceState) -> tuple[int, bytes]:
    """First comes the highest priority, then the lowest identifier."""
    return -source.priority, source.cid


def _merged(
    universe: UniverseState, sources: Mapping[bytes, SourceState], renewed: bool = False
) -> UniverseState:
    """The universe with these sources: the highest priority, merged; held where none gives levels.

    `renewed` says that levels came; otherwise the universe counts as renewed where they changed.
    """
    if len(sources) == 1:
        ((cid, only),) = sources.items()
        giving = [only] if only.levels is not None else []
        shows: tuple[bytes, ...] = (cid,) if giving else ()
        exceeded = False
    else:
        giving = [s for s in sources.values() if s.levels is not None]
        if giving:
            top = max(s.priority for s in giving)
            giving = sorted((s for s in giving if s.priority == top), key=_rank)
        exceeded = len(giving) > MOST_SOURCES
        giving = giving[:MOST_SOURCES]
        shows = tuple(s.cid for s in giving)
    if not giving:
        levels = universe.levels
    elif len(giving) == 1:
        levels = giving[0].levels or b""
    else:
        width = max(len(s.levels or b"") for s in giving)
        rows = b"".join((s.levels or b"").ljust(width, b"\0") for s in giving)
        stacked = np.frombuffer(rows, dtype=np.uint8).reshape(len(giving), width)
        levels = stacked.max(axis=0).tobytes()
    is_new = renewed or levels != universe.levels
    return UniverseState(sources, levels, shows, exceeded, universe.renewals + is_new)
