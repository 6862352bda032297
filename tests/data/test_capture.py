"""Captures of every form read; links taken off; what is cut, damaged or something else told."""

import struct
import sys
from pathlib import Path

import numpy as np
import pytest

from layouts.errors import EvenfallError
from sim.data.capture import Captured, CaptureEnd, captured
from sim.data.links import Heard, heard_in
from sim.data.packets import DataPacket, data_bytes
from sim.data.pcap import (
    group_of,
    pcap_header,
    pcap_record,
    put_times,
    udp_frame,
    universe_records,
)

sys.path.insert(0, str(Path(__file__).parent))
import captures

T0 = 1_700_000_000_123_456_789
PAYLOAD = data_bytes(DataPacket(b"A" * 16, 1, 0, bytes(range(10)), "one"))
V4 = udp_frame(PAYLOAD, ("192.0.2.7", 4000), ("239.255.0.1", 5568))
V6 = udp_frame(PAYLOAD, ("2001:db8::7", 4000), ("ff18::8300:1", 5568))


def read(path, data):
    path.write_bytes(data)
    *packets, end = captured(path)
    assert isinstance(end, CaptureEnd)
    assert all(isinstance(each, Captured) for each in packets)
    assert end.packets == len(packets)
    return packets, end


@pytest.mark.parametrize("order", "<>")
@pytest.mark.parametrize("nanoseconds", [False, True])
def test_classic_captures(tmp_path, order, nanoseconds):
    data = captures.pcap([(T0, V4), (T0 + 5000, V6)], order=order, nanoseconds=nanoseconds)
    packets, end = read(tmp_path / "a.pcap", data)
    first = T0 if nanoseconds else T0 // 1000 * 1000
    assert packets == [Captured(first, 1, V4), Captured(first + 5000, 1, V6)]
    assert end == CaptureEnd(2, len(data))


@pytest.mark.parametrize("order", "<>")
def test_blocks_of_every_kind(tmp_path, order):
    data = captures.section(order) + captures.interface(order)
    data += captures.interface(order, link=276, resolution=9, offset_s=-7)
    data += captures.interface(order, link=101, resolution=0x80 | 10)
    data += captures.block(order, 5, b"statistics, whatever is in them")
    data += captures.enhanced(V4, 1_000_001, order)  # microseconds, where nothing is said
    data += captures.enhanced(V4 + b"odd", 9_000_000_001, order, 1)
    data += captures.enhanced(V4, 1536, order, 2)  # 1.5 s in 1/1024 s
    data += captures.old(V4, 5, order) + captures.simple(V4, order)
    other = ">" if order == "<" else "<"
    data += captures.section(other) + captures.interface(other, link=113)
    data += captures.enhanced(V4, 3, other)
    packets, end = read(tmp_path / "a.pcapng", data)
    assert [(p.time_ns, p.link, len(p.octets) - len(V4)) for p in packets] == [
        (1_000_001_000, 1, 0),
        (2_000_000_001, 276, 3),
        (1_500_000_000, 101, 0),
        (5_000, 1, 0),
        (5_000, 1, 0),
        (3_000, 113, 0),
    ]
    assert end == CaptureEnd(6, len(data))


def whole(form):
    if form == "pcap":
        return captures.pcap([(T0, V4)] * 3)
    return captures.section() + captures.interface() + captures.enhanced(V4, 1) * 3


@pytest.mark.parametrize("form", ["pcap", "pcapng"])
def test_a_capture_cut_anywhere(tmp_path, form):
    data = whole(form)
    for size in range(24 if form == "pcap" else 28, len(data)):
        packets, end = read(tmp_path / "a", data[:size])
        assert len(packets) < 3
        assert end.octets <= size
        assert end.why == ("" if end.octets == size else "it is cut")


@pytest.mark.parametrize("form", ["pcap", "pcapng"])
def test_damaged_octets_never_raise(tmp_path, form):
    rng = np.random.default_rng(1)
    for _ in range(300):
        data = bytearray(whole(form))
        for at in rng.integers(4, len(data), size=3):
            data[at] = rng.integers(256)
        _, end = read(tmp_path / "a", bytes(data))
        assert end.octets <= len(data)


@pytest.mark.parametrize("data", [b"", b"\xd4", b"PK\x03\x04 and", b"format: evenfall-house/1"])
def test_another_file_is_refused(tmp_path, data):
    path = tmp_path / "a.pcap"
    path.write_bytes(data)
    with pytest.raises(EvenfallError, match="no capture of packets"):
        list(captured(path))


IP4, IP6 = V4[14:], V6[14:]
TAG = struct.pack(">HH", 0x8100, 42)
SLL = struct.pack(">HHH8sH", 0, 1, 6, b"", 0x0800)
SLL2 = struct.pack(">HHIHBB8s", 0x86DD, 0, 1, 1, 0, 6, b"")


@pytest.mark.parametrize(
    ("link", "octets", "address"),
    [
        (1, V4, "192.0.2.7"),
        (1, V6, "2001:db8::7"),
        (1, V4[:12] + TAG + V4[12:], "192.0.2.7"),
        (1, V6[:12] + b"\x88\xa8\x00\x01" + TAG + V6[12:], "2001:db8::7"),
        (113, SLL + IP4, "192.0.2.7"),
        (276, SLL2 + IP6, "2001:db8::7"),
        (101, IP4, "192.0.2.7"),
        (229, IP6, "2001:db8::7"),
        (0, b"\x02\0\0\0" + IP4, "192.0.2.7"),
        (1, V4 + b"padding of a short frame", "192.0.2.7"),
        # a hop-by-hop header of eight octets before UDP
        (101, IP6[:6] + b"\0" + IP6[7:40] + b"\x11" + bytes(7) + IP6[40:], "2001:db8::7"),
    ],
)
def test_links_taken_off(link, octets, address):
    assert heard_in(link, octets) == Heard(address, PAYLOAD)


@pytest.mark.parametrize(
    ("link", "octets", "why"),
    [
        (147, V4, "other-link"),
        (1, V4[:12] + b"\x08\x06" + V4[14:], "other-traffic"),  # ARP
        (101, IP4[:9] + b"\x06" + IP4[10:], "other-traffic"),  # TCP
        (101, IP4[:6] + b"\x20" + IP4[7:], "fragment"),  # more follow
        (101, IP4[:7] + b"\x05" + IP4[8:], "fragment"),  # an offset
        (101, IP6[:6] + b"\x2c" + IP6[7:], "fragment"),
        (101, IP4[:22] + b"\x00\x35" + IP4[24:28] + b"x" * 50, "other-traffic"),  # port 53
        (1, b"", "other-traffic"),
        (101, b"\x45", "other-traffic"),
    ],
)
def test_what_is_something_else(link, octets, why):
    assert heard_in(link, octets) == why


def test_another_port_with_acn_is_heard():
    frame = udp_frame(PAYLOAD, ("192.0.2.7", 1), ("192.0.2.8", 6000))
    assert heard_in(1, frame) == Heard("192.0.2.7", PAYLOAD)


def test_any_octets_on_any_link():
    rng = np.random.default_rng(2)
    for _ in range(5000):
        link = int(rng.choice([0, 1, 12, 101, 108, 113, 276]))
        heard_in(link, rng.bytes(int(rng.integers(0, 90))))


@pytest.mark.parametrize("slots", [0, 1, 3, 6, 511, 512])
def test_many_records_are_each_what_one_is(slots):
    levels = np.random.default_rng(3).integers(256, size=(300, slots), dtype=np.uint8)
    rows = universe_records(DataPacket(b"A" * 16, 259, 0, b"", "one"), levels, 250)
    put_times(rows, T0 + np.arange(300, dtype=np.int64) * 25_000_000)
    for number, row in enumerate(rows):
        packet = DataPacket(b"A" * 16, 259, (250 + number) & 255, levels[number].tobytes(), "one")
        frame = udp_frame(data_bytes(packet), ("192.0.2.1", 5568), (group_of(259), 5568))
        assert row.tobytes() == pcap_record(T0 + number * 25_000_000, frame)


def test_groups():
    # ANSI E1.31-2018 9.3.1 and the IPv6 form of table 9-2
    assert [group_of(u) for u in (1, 256, 7999, 63999)] == [
        "239.255.0.1",
        "239.255.1.0",
        "239.255.31.63",
        "239.255.249.255",
    ]
    assert group_of(7999, 6) == "ff18::8300:1f3f"


def test_the_head_of_a_capture():
    assert pcap_header() == struct.pack("<IHHiIII", 0xA1B23C4D, 2, 4, 0, 0, 65535, 1)
