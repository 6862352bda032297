"""Reading captures: classic pcap and pcapng, streamed packet by packet, however large.

After the public descriptions of both formats. Either byte order; micro- and nanoseconds; of pcapng
enhanced, simple and the old packet blocks, several sections and interfaces, and each interface's
own resolution and offset of time. Where a capture is cut or damaged, the last thing told is how
far it could be read.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO, NamedTuple

from layouts.errors import EvenfallError

from .pcap import NANOSECONDS

_MICROSECONDS = 0xA1B2C3D4
_SECTION, _ORDER = 0x0A0D0D0A, 0x1A2B3C4D
_INTERFACE, _OLD_PACKET, _SIMPLE, _ENHANCED = 1, 2, 3, 6
#: More than any network sends at once: the file is damaged [octets].
_LONGEST_PACKET, _LONGEST_BLOCK = 1 << 18, 1 << 24


class Captured(NamedTuple):
    """One packet as it was on its link."""

    time_ns: int
    link: int  # link type, as pcap numbers them
    octets: bytes


@dataclass(frozen=True)
class CaptureEnd:
    """The last thing a capture yields. `why` is "" where it was read to its end."""

    packets: int
    octets: int  # read of the file
    why: str = ""


@dataclass(frozen=True)
class _Interface:
    link: int
    snaplen: int
    per_second: int
    offset_s: int


def captured(path: str | os.PathLike[str]) -> Iterator[Captured | CaptureEnd]:
    """Every packet of the file, then how it ended.

    Raises EvenfallError for a file of another format, OSError where it cannot be read.
    """
    with open(path, "rb", buffering=1 << 20) as file:
        magic = file.read(4)
        for order in "<>":
            if len(magic) < 4:
                break
            (number,) = struct.unpack(f"{order}I", magic)
            if number == _SECTION:
                yield from _blocks(file)
                return
            if number in (_MICROSECONDS, NANOSECONDS):
                yield from _records(file, order, 1 if number == NANOSECONDS else 1000)
                return
    raise EvenfallError(f"{path}: no capture of packets; give a .pcap or .pcapng file")


def _records(file: BinaryIO, order: str, unit_ns: int) -> Iterator[Captured | CaptureEnd]:
    head = file.read(20)
    count = 0
    if len(head) < 20:
        yield CaptureEnd(0, 4 + len(head), "it ends within its first line")
        return
    link = struct.unpack(f"{order}I", head[16:])[0] & 0xFFFF  # above: check sums, class
    record = struct.Struct(f"{order}IIII")
    at = 24
    while head := file.read(16):
        if len(head) < 16:
            yield CaptureEnd(count, at, "it is cut")
            return
        seconds, fraction, size, _whole = record.unpack(head)
        if size > _LONGEST_PACKET:
            yield CaptureEnd(count, at, f"it is damaged: a packet of {size} octets")
            return
        octets = file.read(size)
        if len(octets) < size:
            yield CaptureEnd(count, at, "it is cut")
            return
        at += 16 + size
        count += 1
        yield Captured(seconds * 1_000_000_000 + fraction * unit_ns, link, octets)
    yield CaptureEnd(count, at)


def _blocks(file: BinaryIO) -> Iterator[Captured | CaptureEnd]:
    """A file of blocks; its first four octets, the same in either byte order, are read."""
    order, count, at, time_ns = "<", 0, 0, 0
    interfaces: list[_Interface] = []
    kind_octets = b"\x0a\x0d\x0d\x0a"
    while True:
        rest = file.read(4)
        if len(rest) < 4:
            yield CaptureEnd(count, at, "it is cut")
            return
        begun = b""
        if kind_octets == b"\x0a\x0d\x0d\x0a":
            begun = file.read(4)
            if len(begun) < 4:
                yield CaptureEnd(count, at, "it is cut")
                return
            found = [each for each in "<>" if struct.unpack(f"{each}I", begun)[0] == _ORDER]
            if not found:
                yield CaptureEnd(count, at, "it is damaged: a section of no byte order")
                return
            order, interfaces = found[0], []
        (kind,) = struct.unpack(f"{order}I", kind_octets)
        (length,) = struct.unpack(f"{order}I", rest)
        if length % 4 or not 12 + len(begun) <= length <= _LONGEST_BLOCK:
            yield CaptureEnd(count, at, f"it is damaged: a block of {length} octets")
            return
        body = begun + file.read(length - 8 - len(begun))
        if len(body) < length - 8:
            yield CaptureEnd(count, at, "it is cut")
            return
        if struct.unpack(f"{order}I", body[-4:])[0] != length:
            yield CaptureEnd(count, at, "it is damaged: a block that tells two lengths")
            return
        if kind == _INTERFACE and length >= 20:
            interfaces.append(_interface(order, body[:-4]))
        elif kind in (_ENHANCED, _OLD_PACKET, _SIMPLE):
            packet = _packet(order, kind, body[:-4], interfaces, time_ns)
            if packet is None:
                yield CaptureEnd(count, at, "it is damaged: a packet that does not fit its block")
                return
            time_ns = packet.time_ns
            count += 1
            yield packet
        at += length
        kind_octets = file.read(4)
        if not kind_octets:
            yield CaptureEnd(count, at)
            return
        if len(kind_octets) < 4:
            yield CaptureEnd(count, at, "it is cut")
            return


def _interface(order: str, body: bytes) -> _Interface:
    link, _reserved, snaplen = struct.unpack_from(f"{order}HHI", body)
    per_second, offset_s, at = 1_000_000, 0, 8
    while at + 4 <= len(body):
        code, length = struct.unpack_from(f"{order}HH", body, at)
        value = body[at + 4 : at + 4 + length]
        if code == 0:
            break
        if code == 9 and length == 1:  # resolution of time: a power of ten, or of two
            base = 2 if value[0] & 0x80 else 10
            per_second = base ** (value[0] & 0x7F)
        elif code == 14 and length == 8:
            (offset_s,) = struct.unpack(f"{order}q", value)
        at += 4 + length + -length % 4
    return _Interface(link, snaplen, per_second, offset_s)


def _packet(
    order: str, kind: int, body: bytes, interfaces: list[_Interface], before_ns: int
) -> Captured | None:
    """The packet of a block; None where it is damaged. A simple one has the time of the last."""
    head = {_ENHANCED: 20, _OLD_PACKET: 20, _SIMPLE: 4}[kind]
    if len(body) < head:
        return None
    if kind == _SIMPLE:
        number = 0
        (size,) = struct.unpack_from(f"{order}I", body)
    elif kind == _ENHANCED:
        number, high, low, size = struct.unpack_from(f"{order}IIII", body)
    else:
        number, _drops, high, low, size = struct.unpack_from(f"{order}HHIII", body)
    if number >= len(interfaces):
        return None
    on = interfaces[number]
    if kind == _SIMPLE:
        size = min(size, on.snaplen or size, len(body) - head)
        return Captured(before_ns, on.link, body[head : head + size])
    if head + size > len(body):
        return None
    ticks = high << 32 | low
    time_ns = ticks * 1_000_000_000 // on.per_second + on.offset_s * 1_000_000_000
    return Captured(time_ns, on.link, body[head : head + size])
