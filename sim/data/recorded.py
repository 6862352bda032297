"""A recorded show: from the packets of a capture to the frames that the house showed."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from . import batch
from .capture import CaptureEnd, captured
from .links import Heard, heard_in
from .packets import DataPacket, packet_of
from .receiver import Receiver
from .taking import TakenFrame, Taking, rest, taken

#: Datagrams looked through at a time.
_BATCH = 1024


@dataclass(frozen=True)
class HeardSource:
    """A source as far as a capture knows it."""

    cid: bytes
    name: str
    address: str
    priority: int  # the highest
    universes: frozenset[int]


@dataclass(frozen=True)
class Recorded:
    """What a capture held beside the frames."""

    end: CaptureEnd
    receiver: Receiver  # at the end
    skipped: dict[str, int]  # packets that are none of E1.31, by why
    packets: dict[int, int]  # data packets of every universe of the house
    elsewhere: dict[int, int]  # and of other universes
    missed: int  # jumped over by the sequence
    sources: tuple[HeardSource, ...]
    exceeded: frozenset[int]  # universes with more sources than are merged
    merged: frozenset[int]  # universes that showed several sources at once

    @property
    def datagrams(self) -> int:
        """Everything that was, or claimed to be, E1.31."""
        return sum(self.receiver.counts.values())


def recorded(
    path: str | os.PathLike[str],
    universes: frozenset[int],
    progress: Callable[[float, float], None] | None = None,
) -> Iterator[TakenFrame | Recorded]:
    """Every frame of `universes` in a capture, then what else was in it.

    Times count from the first data packet of one of the universes [s]. Raises as `captured` does.
    """
    size = max(1, os.path.getsize(path))
    play = _Play(universes)
    waiting: list[tuple[int, Heard]] = []
    done = 0
    end = CaptureEnd(0, 0)
    for each in captured(path):
        if isinstance(each, CaptureEnd):
            end = each
            break
        done += 16 + len(each.octets)
        datagram = heard_in(each.link, each.octets)
        if isinstance(datagram, str):
            play.skipped[datagram] += 1
            continue
        waiting.append((each.time_ns, datagram))
        if len(waiting) == _BATCH:
            yield from play.datagrams(waiting)
            waiting.clear()
            if progress:
                progress(min(done, size), size)
    yield from play.datagrams(waiting)
    if progress:
        progress(size, size)
    play.taking, frame = rest(play.taking)
    if frame is not None:
        yield frame
    yield play.told(end)


class _Play:
    """The packets of one capture played into a receiver; lives as long as `recorded` runs."""

    def __init__(self, universes: frozenset[int]):
        self.taking = Taking(Receiver(wanted=universes))
        self.wanted = np.array(sorted(universes), dtype=np.int64)
        self.skipped: Counter[str] = Counter()
        self.packets: Counter[int] = Counter()
        self.elsewhere: Counter[int] = Counter()
        self.sources: dict[bytes, HeardSource] = {}
        self.missed = 0
        self.exceeded: set[int] = set()
        self.merged: set[int] = set()
        self.begin_ns: int | None = None
        self.now_s = 0.0

    def datagrams(self, waiting: list[tuple[int, Heard]]) -> Iterator[TakenFrame]:
        if not waiting:
            return
        found = batch.decode(*batch.rows_of([heard.payload for _, heard in waiting]))
        is_data = found.sort == batch.DATA
        ours = np.isin(found.universe, self.wanted)
        for counter, which in ((self.packets, is_data & ours), (self.elsewhere, is_data & ~ours)):
            numbers, counts = np.unique(found.universe[which], return_counts=True)
            counter.update(dict(zip(numbers.tolist(), counts.tolist(), strict=True)))
        if self.begin_ns is None and (is_data & ours).any():
            self.begin_ns = waiting[int((is_data & ours).argmax())][0]
        for time_ns, heard in waiting:
            # two interfaces of one capture need not agree; a receiver's time never goes back
            begin_ns = time_ns if self.begin_ns is None else self.begin_ns
            self.now_s = max(self.now_s, (time_ns - begin_ns) / 1e9)
            packet = packet_of(heard.payload)
            before = self.taking.receiver
            self.taking, frame = taken(self.taking, packet, heard.address, self.now_s)
            if isinstance(packet, DataPacket) and packet.universe in before.wanted:  # type: ignore[operator]
                self._note(packet, heard.address, before)
            if frame is not None:
                yield frame

    def _note(self, packet: DataPacket, address: str, before: Receiver) -> None:
        number, cid = packet.universe, packet.cid
        source = self.sources.get(cid)
        if source is None or number not in source.universes or packet.priority > source.priority:
            known = source.universes if source else frozenset()
            priority = max(packet.priority, source.priority if source else 0)
            self.sources[cid] = HeardSource(cid, packet.name, address, priority, known | {number})
        after = self.taking.receiver.universes.get(number)
        if after is None:
            return
        if after.exceeded:
            self.exceeded.add(number)
        if len(after.shows) > 1:
            self.merged.add(number)
        now = after.sources.get(cid)
        if now is not None:
            was = before.universes[number].sources.get(cid) if number in before.universes else None
            self.missed += now.missed - (was.missed if was else 0)

    def told(self, end: CaptureEnd) -> Recorded:
        return Recorded(
            end,
            self.taking.receiver,
            dict(self.skipped),
            dict(sorted(self.packets.items())),
            dict(sorted(self.elsewhere.items())),
            self.missed,
            tuple(self.sources.values()),
            frozenset(self.exceeded),
            frozenset(self.merged),
        )
