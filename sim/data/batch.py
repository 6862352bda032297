"""Many datagrams at once: what each is, or why it is dropped, as arrays.

Gives what `packets.packet_of` gives, reason for reason, without an object a packet. A reader of
captures and a listener look through thousands of datagrams so, and make records of those alone
that concern the house.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .packets import (
    DATA_ROOT,
    DISCOVERY_SIZE,
    EXTENDED_ROOT,
    HEAD,
    IDENTIFIER,
    LAST_UNIVERSE,
    MESSAGE,
    PREAMBLE,
    REASONS,
    SLOTS,
    SYNC_SIZE,
    TOP_PRIORITY,
    UNIVERSE_LIST,
)

#: Values of `Datagrams.sort`; a malformed datagram has MALFORMED.
MALFORMED, DATA, SYNC, DISCOVERY = range(4)

#: Octets kept of a datagram: the longest discovery page; data packets end at 638.
WIDEST = DISCOVERY_SIZE + 2 * SLOTS


@dataclass(frozen=True, eq=False)
class Datagrams:
    """P datagrams. What a sort of packet does not have is 0 there."""

    sort: np.ndarray  # (P,) MALFORMED, DATA, SYNC or DISCOVERY
    reason: np.ndarray  # (P,) index into `REASONS`, -1 where there is a packet
    universe: np.ndarray  # (P,) of data packets; of synchronisation packets their address
    sequence: np.ndarray  # (P,)
    priority: np.ndarray  # (P,)
    sync: np.ndarray  # (P,) synchronisation address of data packets
    options: np.ndarray  # (P,)
    start: np.ndarray  # (P,) START code
    slots: np.ndarray  # (P,) how many
    cid: np.ndarray  # (P,) 16 octets
    rows: np.ndarray  # (P, W) the octets; the levels begin at column 126


def rows_of(datagrams: Sequence[bytes]) -> tuple[np.ndarray, np.ndarray]:
    """(P, W) octets with zeros behind, and (P,) how many each has, cut at the widest packet."""
    size = np.fromiter(map(len, datagrams), dtype=np.int64, count=len(datagrams))
    width = int(min(max(size.max(initial=0), HEAD), WIDEST))
    joined = b"".join(each[:width].ljust(width, b"\0") for each in datagrams)
    return np.frombuffer(joined, dtype=np.uint8).reshape(-1, width), size


def decode(rows: np.ndarray, size: np.ndarray) -> Datagrams:
    """Look through datagrams `rows` (P, W ≥ 126) uint8 of `size` (P,) octets."""
    count = len(rows)
    head = np.ascontiguousarray(rows[:, :HEAD])
    reason = np.full(count, -1, dtype=np.int8)

    def drop(where: np.ndarray, why: str) -> None:
        reason[(reason < 0) & where] = REASONS.index(why)

    def word(at: int) -> np.ndarray:
        return head[:, at].astype(np.int32) << 8 | head[:, at + 1]

    def differs(at: int, octets: bytes) -> np.ndarray:
        wanted = np.frombuffer(octets, dtype=np.uint8)
        return (head[:, at : at + len(octets)] != wanted).any(axis=1)

    def is_vector(at: int, value: int) -> np.ndarray:
        return ~differs(at, value.to_bytes(4, "big"))

    drop(size < 44, "short")
    drop(differs(4, IDENTIFIER), "identifier")
    drop(differs(0, PREAMBLE), "preamble")
    data_root, extended = is_vector(18, DATA_ROOT), is_vector(18, EXTENDED_ROOT)
    drop(~(data_root | extended), "root-vector")
    first, second = is_vector(40, 1), is_vector(40, 2)
    data, sync, discovery = data_root & second, extended & first, extended & second
    drop(~(data | sync | discovery), "framing-vector")
    least = np.where(data, HEAD, np.where(sync, SYNC_SIZE, DISCOVERY_SIZE))
    drop(size < least, "short")

    root, framing = word(16), word(38)
    inner = np.where(data, word(115), np.where(sync, framing, word(112)))
    flags = (root >> 12 != 7) | (framing >> 12 != 7) | (inner >> 12 != 7)
    drop(flags, "flags")
    length = root & 0xFFF
    # what the inner lengths fall short of the root's, in each sort of packet
    behind = np.where(data, 99, np.where(sync, 22, 96))
    wrong = ((framing & 0xFFF) + 22 != length) | ((inner & 0xFFF) + behind != length)
    wrong |= np.where(sync, length != 33, 16 + length > size)
    drop(wrong, "length")
    list_vector = ~is_vector(114, UNIVERSE_LIST)
    drop((data & differs(117, MESSAGE)) | (discovery & list_vector), "message")
    properties, listed = word(123), length - 104
    uncounted = (properties != length - 109) | (properties < 1) | (properties > SLOTS + 1)
    unlisted = (listed % 2 != 0) | (listed < 0) | (listed > 2 * SLOTS)
    drop((data & uncounted) | (discovery & unlisted), "count")
    universe = np.where(data, word(113), np.where(sync, word(45), 0))
    out_of_range = (universe < 1) | (universe > LAST_UNIVERSE)
    drop(data & out_of_range, "universe")
    drop(data & (head[:, 108] > TOP_PRIORITY), "priority")
    drop(sync & out_of_range, "sync-address")

    sort = np.where(data, DATA, np.where(sync, SYNC, DISCOVERY))
    sort[reason >= 0] = MALFORMED
    is_data = sort == DATA

    def octet(at: int) -> np.ndarray:
        return np.where(is_data, head[:, at], 0)

    return Datagrams(
        sort=sort,
        reason=reason,
        universe=np.where(is_data | (sort == SYNC), universe, 0),
        sequence=np.where(sort == SYNC, head[:, 44], octet(111)),
        priority=octet(108),
        sync=np.where(is_data, word(109), 0),
        options=octet(112),
        start=octet(125),
        slots=np.where(is_data, properties - 1, 0),
        cid=_cid(head),
        rows=rows,
    )


def _cid(head: np.ndarray) -> np.ndarray:
    """(P,) void of 16 octets, which keeps NULs at the end."""
    return np.ascontiguousarray(head[:, 22:38]).view(np.dtype((np.void, 16)))[:, 0]
