"""Captures written by hand, as the public descriptions of the formats have them."""

import struct


def pcap(packets, *, order="<", nanoseconds=False, link=1):
    """Classic pcap of (time_ns, octets)."""
    magic, unit = (0xA1B23C4D, 1) if nanoseconds else (0xA1B2C3D4, 1000)
    parts = [struct.pack(f"{order}IHHiIII", magic, 2, 4, 0, 0, 65535, link)]
    for time_ns, octets in packets:
        seconds, rest = divmod(time_ns, 10**9)
        head = struct.pack(f"{order}IIII", seconds, rest // unit, len(octets), len(octets))
        parts.append(head + octets)
    return b"".join(parts)


def block(order, kind, body):
    body += b"\0" * (-len(body) % 4)
    length = struct.pack(f"{order}I", len(body) + 12)
    return struct.pack(f"{order}I", kind) + length + body + length


def section(order="<"):
    return block(order, 0x0A0D0D0A, struct.pack(f"{order}IHHq", 0x1A2B3C4D, 1, 0, -1))


def interface(order="<", *, link=1, resolution=None, offset_s=None, snaplen=0):
    body = struct.pack(f"{order}HHI", link, 0, snaplen)
    if resolution is not None:
        body += struct.pack(f"{order}HHB3x", 9, 1, resolution)
    if offset_s is not None:
        body += struct.pack(f"{order}HHq", 14, 8, offset_s)
    return block(order, 1, body + struct.pack(f"{order}HH", 0, 0))


def enhanced(octets, ticks, order="<", number=0):
    head = struct.pack(f"{order}IIIII", number, ticks >> 32, ticks & 0xFFFFFFFF, *[len(octets)] * 2)
    return block(order, 6, head + octets)


def old(octets, ticks, order="<"):
    head = struct.pack(
        f"{order}HHIIII", 0, 0xFFFF, ticks >> 32, ticks & 0xFFFFFFFF, *[len(octets)] * 2
    )
    return block(order, 2, head + octets)


def simple(octets, order="<"):
    return block(order, 3, struct.pack(f"{order}I", len(octets)) + octets)
