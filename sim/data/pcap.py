"""Writing captures: classic pcap with times to the nanosecond, UDP over IPv4 or IPv6 on Ethernet.

Format: the public description of pcap (magic 0xa1b23c4d for nanoseconds, link type 1). Checksums:
RFC 768, RFC 791, RFC 8200. Addresses of what was never sent are those kept for documentation (RFC
5737), the Ethernet address of a group is its last 23 bits behind 01:00:5e (RFC 1112).
"""

from __future__ import annotations

import ipaddress
import struct

import numpy as np

from .packets import HEAD, PORT, DataPacket, data_bytes

LINK_ETHERNET = 1
NANOSECONDS = 0xA1B23C4D
#: Longest packet kept.
SNAPLEN = 65535
#: What Ethernet adds with check sum, preamble and gap; how long an octet takes at 100 Mbit/s [s].
ETHERNET_EXTRA, OCTET_S = 24, 8e-8

_OUR_MAC = b"\x02\x00\x00\x00\x00\x01"  # locally administered
DOCUMENTED = "192.0.2.1"
_RECORD, _ETHERNET, _UDP = 16, 14, 8


def pcap_header() -> bytes:
    """What a capture begins with."""
    return struct.pack("<IHHiIII", NANOSECONDS, 2, 4, 0, 0, SNAPLEN, LINK_ETHERNET)


def pcap_record(time_ns: int, octets: bytes) -> bytes:
    """One packet as it stands in the file."""
    seconds, rest = divmod(time_ns, 1_000_000_000)
    return struct.pack("<IIII", seconds, rest, len(octets), len(octets)) + octets


def group_of(universe: int, version: int = 4) -> str:
    """The multicast address of a universe."""
    if version == 4:
        return f"239.255.{universe >> 8}.{universe & 255}"
    return f"ff18::8300:{universe:x}"


def udp_frame(
    payload: bytes, source: tuple[str, int], target: tuple[str, int], ttl: int = 1
) -> bytes:
    """An Ethernet frame of one datagram; both addresses are IPv4 or both IPv6."""
    begin, end = (ipaddress.ip_address(each[0].split("%")[0]) for each in (source, target))
    length = _UDP + len(payload)
    udp = struct.pack(">HHHH", source[1], target[1], length, 0) + payload
    if begin.version == 4:
        pseudo = begin.packed + end.packed + struct.pack(">BBH", 0, 17, length)
        head = struct.pack(">BBHHHBBH", 0x45, 0, 20 + length, 0, 0x4000, ttl, 17, 0)
        head += begin.packed + end.packed
        head = head[:10] + struct.pack(">H", _checksum(head)) + head[12:]
        kind, group = b"\x08\x00", b"\x01\x00\x5e" + bytes([end.packed[1] & 127]) + end.packed[2:]
    else:
        pseudo = begin.packed + end.packed + struct.pack(">II", length, 17)
        head = struct.pack(">IHBB", 0x60000000, length, 17, ttl) + begin.packed + end.packed
        kind, group = b"\x86\xdd", b"\x33\x33" + end.packed[-4:]
    check = _checksum(pseudo + udp) or 0xFFFF
    udp = udp[:6] + struct.pack(">H", check) + udp[8:]
    return (group if end.is_multicast else _OUR_MAC) + _OUR_MAC + kind + head + udp


def universe_records(packet: DataPacket, levels: np.ndarray, first: int) -> np.ndarray:
    """(T, L) uint8: T records of one universe, times still 0; sequence numbers count from `first`.

    `packet` says all but slots and sequence; `levels` (T, slots) uint8. Each is what `pcap_record`
    makes of `udp_frame`; the checksum is summed for all at once.
    """
    count, slots = levels.shape
    payload = data_bytes(
        DataPacket(
            packet.cid,
            packet.universe,
            0,
            bytes(slots),
            packet.name,
            packet.priority,
            packet.sync,
            packet.options,
        )
    )
    addresses = (DOCUMENTED, PORT), (group_of(packet.universe), PORT)
    dark = pcap_record(0, udp_frame(payload, *addresses))
    rows = np.tile(np.frombuffer(dark, dtype=np.uint8), (count, 1))
    udp = _RECORD + _ETHERNET + 20
    body = udp + _UDP
    sequence = ((first + np.arange(count)) & 255).astype(np.uint8)
    rows[:, body + 111] = sequence
    rows[:, body + HEAD : body + HEAD + slots] = levels
    # ones' complement: what was added to the dark packet's sum; the octets lie on whole words
    even = np.zeros((count, slots + slots % 2), dtype=np.uint8)
    even[:, :slots] = levels
    words = even.view(">u2").sum(axis=1, dtype=np.int64) + sequence
    total = words + (~np.int64(int.from_bytes(dark[udp + 6 : udp + 8], "big")) & 0xFFFF)
    total = (total & 0xFFFF) + (total >> 16)
    total = (total & 0xFFFF) + (total >> 16)
    check = ~total & 0xFFFF
    check[check == 0] = 0xFFFF
    rows[:, udp + 6], rows[:, udp + 7] = check >> 8, check & 255
    return rows


def put_times(rows: np.ndarray, time_ns: np.ndarray) -> None:
    """Write the times (T,) [ns] into records (T, L)."""
    seconds, rest = np.divmod(time_ns.astype(np.int64), 1_000_000_000)
    rows[:, 0:4] = seconds.astype("<u4").view(np.uint8).reshape(-1, 4)
    rows[:, 4:8] = rest.astype("<u4").view(np.uint8).reshape(-1, 4)


def _checksum(octets: bytes) -> int:
    """The Internet checksum (RFC 1071)."""
    padded = octets + b"\0" * (len(octets) % 2)
    total = sum(struct.unpack(f">{len(padded) // 2}H", padded))
    while total >> 16:
        total = (total & 0xFFFF) + (total >> 16)
    return ~total & 0xFFFF
