"""The packets of ANSI E1.31-2018: bytes to frozen records and back.

A data packet carries up to 512 slots of one universe, a synchronisation packet says that what
waits may be shown, a discovery packet lists the universes of a source. What is malformed is told
with a reason and never raises. All integers are big-endian.

    short                                   fewer octets than its kind of packet has
    identifier, preamble                    not the ACN root layer over UDP
    root-vector, framing-vector             no data, synchronisation or discovery packet
    flags, length                           a length word that does not fit the datagram
    message                                 the layer below is not as the standard fixes it
    count                                   property count or list that does not fit the length
    universe, priority, sync-address        outside what a source shall send

Octets after the packet, reserved octets and reserved option bits are ignored. What is done with
lengths that disagree, reserved universes and priorities above 200 is not in the standard: such
packets are dropped (common practice, no source).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

PORT = 5568  # UDP
SLOTS = 512
LAST_UNIVERSE = 63999
DISCOVERY_UNIVERSE = 64214
USUAL_PRIORITY, TOP_PRIORITY = 100, 200
#: A source that is not heard for so long is lost [s].
LOSS_S = 2.5
PREVIEW, TERMINATED, FORCE_SYNC = 0x80, 0x40, 0x20

#: Octets before the first slot, and in a synchronisation and an empty discovery packet.
HEAD, SYNC_SIZE, DISCOVERY_SIZE = 126, 49, 120
DATA_ROOT, EXTENDED_ROOT = 4, 8
FRAMING_DATA, FRAMING_SYNC, FRAMING_DISCOVERY = 2, 1, 2
PREAMBLE = b"\x00\x10\x00\x00"
IDENTIFIER = b"ASC-E1.17\x00\x00\x00"
#: DMP vector, address and data type, first address, increment.
MESSAGE = b"\x02\xa1\x00\x00\x00\x01"
UNIVERSE_LIST = 1

#: In the order in which they are looked for.
REASONS = (
    "short",
    "identifier",
    "preamble",
    "root-vector",
    "framing-vector",
    "flags",
    "length",
    "message",
    "count",
    "universe",
    "priority",
    "sync-address",
)

_DATA = struct.Struct(">4s12sHI16sHI64sBHBBHH6sHB")
_SYNC = struct.Struct(">4s12sHI16sHIBH")
_DISCOVERY = struct.Struct(">4s12sHI16sHI64sIHIBB")


@dataclass(frozen=True, slots=True)
class DataPacket:
    """The slots of one universe. `start` other than 0 says that they are no levels."""

    cid: bytes  # 16 octets that stand for the source
    universe: int  # 1..63999
    sequence: int  # 0..255
    slots: bytes  # 0..512, the first is slot 1
    name: str = ""  # of the source
    priority: int = USUAL_PRIORITY
    sync: int = 0  # the universe of its synchronisation packets; 0: act at once
    options: int = 0
    start: int = 0

    @property
    def preview(self) -> bool:
        """Not meant for live output."""
        return bool(self.options & PREVIEW)

    @property
    def terminated(self) -> bool:
        """The source stops; the slots mean nothing."""
        return bool(self.options & TERMINATED)

    @property
    def force_sync(self) -> bool:
        """Once synchronisation is lost, go on without it."""
        return bool(self.options & FORCE_SYNC)


@dataclass(frozen=True, slots=True)
class SyncPacket:
    """What waits for this address may be shown."""

    cid: bytes
    sequence: int
    sync: int  # 1..63999


@dataclass(frozen=True, slots=True)
class DiscoveryPacket:
    """One page of the universes that a source sends."""

    cid: bytes
    name: str
    universes: tuple[int, ...]  # sorted
    page: int = 0
    last_page: int = 0


@dataclass(frozen=True, slots=True)
class Malformed:
    """No packet; `reason` is one of `REASONS`."""

    reason: str


Packet = DataPacket | SyncPacket | DiscoveryPacket


def data_bytes(packet: DataPacket) -> bytes:
    """The datagram of a data packet; raises ValueError for values that shall not be sent."""
    count = len(packet.slots)
    if count > SLOTS or not 1 <= packet.universe <= LAST_UNIVERSE:
        raise ValueError(f"no packet has {count} slots in universe {packet.universe}")
    if not 0 <= packet.priority <= TOP_PRIORITY or not 0 <= packet.sync <= LAST_UNIVERSE:
        raise ValueError(f"no packet has priority {packet.priority}, sync address {packet.sync}")
    return _DATA.pack(
        PREAMBLE,
        IDENTIFIER,
        0x7000 | (110 + count),
        DATA_ROOT,
        packet.cid,
        0x7000 | (88 + count),
        FRAMING_DATA,
        _name_bytes(packet.name),
        packet.priority,
        packet.sync,
        packet.sequence & 255,
        packet.options,
        packet.universe,
        0x7000 | (11 + count),
        MESSAGE,
        count + 1,
        packet.start,
    ) + bytes(packet.slots)


def sync_bytes(packet: SyncPacket) -> bytes:
    """The datagram of a synchronisation packet; raises ValueError for an address nobody has."""
    if not 1 <= packet.sync <= LAST_UNIVERSE:
        raise ValueError(f"no synchronisation packet has the address {packet.sync}")
    head = (PREAMBLE, IDENTIFIER, 0x7021, EXTENDED_ROOT, packet.cid, 0x700B, FRAMING_SYNC)
    return _SYNC.pack(*head, packet.sequence & 255, packet.sync) + b"\0\0"


def discovery_bytes(packet: DiscoveryPacket) -> bytes:
    """The datagram of one page of universes, at most 512; raises ValueError for more."""
    size = 2 * len(packet.universes)
    if size > 2 * SLOTS:
        raise ValueError("a page lists at most 512 universes")
    head = (PREAMBLE, IDENTIFIER, 0x7000 | (104 + size), EXTENDED_ROOT, packet.cid)
    framing = (0x7000 | (82 + size), FRAMING_DISCOVERY, _name_bytes(packet.name), 0)
    listed = (0x7000 | (8 + size), UNIVERSE_LIST, packet.page, packet.last_page)
    universes = struct.pack(f">{len(packet.universes)}H", *packet.universes)
    return _DISCOVERY.pack(*head, *framing, *listed) + universes


def packet_of(data: bytes) -> Packet | Malformed:
    """The packet in a datagram, or why there is none. Never raises."""
    size = len(data)
    if size < 44:
        return Malformed("short")
    if data[4:16] != IDENTIFIER:
        return Malformed("identifier")
    if data[:4] != PREAMBLE:
        return Malformed("preamble")
    root, framing = data[18:22], data[40:44]
    if root == b"\0\0\0\x04":
        if framing != b"\0\0\0\x02":
            return Malformed("framing-vector")
        return _data(data) if size >= HEAD else Malformed("short")
    if root != b"\0\0\0\x08":
        return Malformed("root-vector")
    if framing == b"\0\0\0\x01":
        return _sync(data) if size >= SYNC_SIZE else Malformed("short")
    if framing == b"\0\0\0\x02":
        return _discovery(data) if size >= DISCOVERY_SIZE else Malformed("short")
    return Malformed("framing-vector")


def name_of(field: bytes) -> str:
    """The source name of its 64 octets: up to the first NUL, 63 at most, whatever they are."""
    return field[:63].split(b"\0", 1)[0].decode("utf-8", "replace")


def _data(data: bytes) -> DataPacket | Malformed:
    (
        *_,
        root_word,
        _vector,
        cid,
        framing_word,
        _framing,
        name,
        priority,
        sync,
        sequence,
        options,
        universe,
        message_word,
        message,
        count,
        start,
    ) = _DATA.unpack_from(data)
    length = root_word & 0xFFF
    if not root_word >> 12 == framing_word >> 12 == message_word >> 12 == 7:
        return Malformed("flags")
    inner = (framing_word & 0xFFF) + 22, (message_word & 0xFFF) + 99
    if inner != (length, length) or 16 + length > len(data):
        return Malformed("length")
    if message != MESSAGE:
        return Malformed("message")
    if count != length - 109 or not 1 <= count <= SLOTS + 1:
        return Malformed("count")
    if not 1 <= universe <= LAST_UNIVERSE:
        return Malformed("universe")
    if priority > TOP_PRIORITY:
        return Malformed("priority")
    slots = data[HEAD : HEAD + count - 1]
    return DataPacket(cid, universe, sequence, slots, name_of(name), priority, sync, options, start)


def _sync(data: bytes) -> SyncPacket | Malformed:
    *_, root_word, _vector, cid, framing_word, _framing, sequence, sync = _SYNC.unpack_from(data)
    if not root_word >> 12 == framing_word >> 12 == 7:
        return Malformed("flags")
    if (root_word & 0xFFF, framing_word & 0xFFF) != (33, 11):
        return Malformed("length")
    if not 1 <= sync <= LAST_UNIVERSE:
        return Malformed("sync-address")
    return SyncPacket(cid, sequence, sync)


def _discovery(data: bytes) -> DiscoveryPacket | Malformed:
    (
        *_,
        root_word,
        _vector,
        cid,
        framing_word,
        _framing,
        name,
        _reserved,
        list_word,
        list_vector,
        page,
        last_page,
    ) = _DISCOVERY.unpack_from(data)
    length = root_word & 0xFFF
    if not root_word >> 12 == framing_word >> 12 == list_word >> 12 == 7:
        return Malformed("flags")
    inner = (framing_word & 0xFFF) + 22, (list_word & 0xFFF) + 96
    if inner != (length, length) or 16 + length > len(data):
        return Malformed("length")
    if list_vector != UNIVERSE_LIST:
        return Malformed("message")
    size = length - 104
    if size % 2 or not 0 <= size <= 2 * SLOTS:
        return Malformed("count")
    universes = struct.unpack_from(f">{size // 2}H", data, DISCOVERY_SIZE)
    return DiscoveryPacket(cid, name_of(name), universes, page, last_page)


def _name_bytes(name: str) -> bytes:
    """63 octets at most, cut between characters, and NUL to the end."""
    return name.encode()[:63].decode("utf-8", "ignore").encode().ljust(64, b"\0")
