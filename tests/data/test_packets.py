"""Packets against vectors built apart from this code, and what is malformed against the standard.

The vectors were made by an own builder whose bytes equal those of the library sacn 1.11.0 and are
dissected by tshark 4.0.17. Rules: ANSI E1.31-2018, clause numbers beside them, second hand.
"""

import struct
import zlib

import numpy as np
import pytest

from sim.data.batch import DATA, DISCOVERY, MALFORMED, SYNC, decode, rows_of
from sim.data.packets import (
    REASONS,
    DataPacket,
    DiscoveryPacket,
    Malformed,
    SyncPacket,
    data_bytes,
    discovery_bytes,
    packet_of,
    sync_bytes,
)

CID = bytes.fromhex("00112233445566778899aabbccddeeff")
#: octets, flags words at 16, 38 and 115 or 112, CRC-32 of the whole
EXPECTED = [
    (638, (0x726E, 0x7258, 0x720B), 0x4A7D29E8),
    (129, (0x7071, 0x705B, 0x700E), 0xD84FD400),
    (126, (0x706E, 0x7058, 0x700B), 0xB6641F2C),
    (129, (0x7071, 0x705B, 0x700E), 0xBDDD0EBC),
    (129, (0x7071, 0x705B, 0x700E), 0xE4F02D1F),
    (49, (0x7021, 0x700B, None), 0x04ACEFA6),
    (120, (0x7068, 0x7052, 0x7008), 0x75AEBC1E),
    (126, (0x706E, 0x7058, 0x700E), 0x1131953E),
    (1144, (0x7468, 0x7452, 0x7408), 0x3F2715E3),
]


@pytest.mark.parametrize("number", range(9))
def test_the_nine_vectors(vectors, number):
    data, (size, words, crc) = vectors[number], EXPECTED[number]
    assert len(data) == size
    places = (16, 38, 115 if number < 5 else 112)
    for at, word in zip(places, words, strict=True):
        assert word is None or struct.unpack_from(">H", data, at)[0] == word
    assert zlib.crc32(data) == crc


def test_the_sync_packet_in_full(vectors):
    assert vectors[5].hex() == (
        "001000004153432d45312e3137000000702100000008"
        "00112233445566778899aabbccddeeff700b000000010a1f1a0000"
    )


def test_back_from_bytes(vectors):
    read = [packet_of(each) for each in vectors]
    assert read[1] == DataPacket(CID, 7999, 255, bytes([255, 128, 0]), "Evenfall", 200, 7962)
    assert read[3].terminated
    assert not read[3].preview
    assert read[4].preview
    assert read[5] == SyncPacket(CID, 10, 7962)
    assert read[7] == DiscoveryPacket(CID, "Evenfall", (1, 2, 7962))
    writers = {
        DataPacket: data_bytes,
        SyncPacket: sync_bytes,
        DiscoveryPacket: discovery_bytes,
    }
    assert [writers[type(packet)](packet) for packet in read] == vectors


def put(data, at, octets):
    return data[:at] + bytes(octets) + data[at + len(octets) :]


#: (which vector, what is done to it, the reason or None for "accepted")
MALFORMED_TABLE = {
    "preamble 0x0011 (5.1)": (1, lambda d: put(d, 1, [0x11]), "preamble"),
    "postamble 1 (5.2)": (1, lambda d: put(d, 3, [1]), "preamble"),
    "identifier (5.3)": (1, lambda d: put(d, 4, b"X"), "identifier"),
    "root vector 5 (5.5)": (1, lambda d: put(d, 21, [5]), "root-vector"),
    "framing vector 3 (6.5)": (1, lambda d: put(d, 43, [3]), "framing-vector"),
    "framing vector of sync under root 4": (1, lambda d: put(d, 43, [1]), "framing-vector"),
    "framing vector 3 under root 8": (5, lambda d: put(d, 43, [3]), "framing-vector"),
    "DMP vector 3 (7.2)": (1, lambda d: put(d, 117, [3]), "message"),
    "address type 0xA2 (7.3)": (1, lambda d: put(d, 118, [0xA2]), "message"),
    "first address 1 (7.4)": (1, lambda d: put(d, 120, [1]), "message"),
    "increment 2 (7.5)": (1, lambda d: put(d, 122, [2]), "message"),
    "list vector 2 (8.2)": (7, lambda d: put(d, 117, [2]), "message"),
    "sync address 0 (6.3.3.1)": (5, lambda d: put(d, 45, [0, 0]), "sync-address"),
    "reserved octets of sync (6.3.4)": (5, lambda d: put(d, 47, [9, 9]), None),
    "reserved octets of discovery (6.4.3)": (7, lambda d: put(d, 108, [1, 2, 3, 4]), None),
    "low option bits (6.2.6)": (1, lambda d: put(d, 112, [0x1F]), None),
    "cut datagram": (0, lambda d: d[:-10], "length"),
    "cut within the head": (0, lambda d: d[:125], "short"),
    "cut within the root layer": (0, lambda d: d[:30], "short"),
    "nothing": (0, lambda d: b"", "short"),
    "framing length": (1, lambda d: put(d, 38, [0x70, 0x5C]), "length"),
    "DMP length": (1, lambda d: put(d, 115, [0x70, 0x0D]), "length"),
    "flags": (1, lambda d: put(d, 16, [0xF0]), "flags"),
    "property count 513 of 3 slots": (1, lambda d: put(d, 123, [2, 1]), "count"),
    "property count 0": (1, lambda d: put(d, 123, [0, 0]), "count"),
    "universe 0": (1, lambda d: put(d, 113, [0, 0]), "universe"),
    "universe 64000": (1, lambda d: put(d, 113, [0xFA, 0]), "universe"),
    "priority 201": (1, lambda d: put(d, 108, [201]), "priority"),
    "octets behind the packet": (1, lambda d: d + b"more", None),
    "discovery list cut": (8, lambda d: d[:-2], "length"),
    "discovery of half a universe": (
        7,
        lambda d: put(put(put(d, 16, [0x70, 0x6D]), 38, [0x70, 0x57]), 112, [0x70, 0x0D]),
        "count",
    ),
}


@pytest.mark.parametrize("case", MALFORMED_TABLE)
def test_what_is_malformed(vectors, case):
    number, change, reason = MALFORMED_TABLE[case]
    data = change(vectors[number])
    assert data != vectors[number]
    read = packet_of(data)
    assert (read.reason if isinstance(read, Malformed) else None) == reason
    batch = decode(*rows_of([data]))
    assert batch.reason[0] == (-1 if reason is None else REASONS.index(reason))


def test_a_name_of_any_octets(vectors):
    # No rule seen; cut at 63 octets, decoded with replacement (common practice, no source).
    assert packet_of(put(vectors[1], 44, b"\xff" * 64)).name == "\ufffd" * 63
    long = DataPacket(CID, 1, 0, b"", "é" * 40)
    assert packet_of(data_bytes(long)).name == "é" * 31


@pytest.mark.parametrize(
    "wrong", [{"universe": 0}, {"universe": 64000}, {"slots": bytes(513)}, {"priority": 201}]
)
def test_what_shall_not_be_sent_is_not_built(wrong):
    fields = {"cid": CID, "universe": 1, "sequence": 0, "slots": b""} | wrong
    with pytest.raises(ValueError, match="no packet has"):
        data_bytes(DataPacket(**fields))


def test_many_at_once_as_one_by_one(vectors):
    changed = [change(vectors[n]) for n, change, _ in MALFORMED_TABLE.values()]
    datagrams = [*vectors, *changed, b"", b"x" * 2000]
    batch = decode(*rows_of(datagrams))
    assert set(batch.sort[:9]) == {DATA, SYNC, DISCOVERY}
    for number, data in enumerate(datagrams):
        same_as_one(batch, number, packet_of(data))


def same_as_one(batch, number, packet):
    """The arrays of a batch say what the record says."""
    if isinstance(packet, Malformed):
        assert batch.sort[number] == MALFORMED
        assert REASONS[batch.reason[number]] == packet.reason
        return
    assert batch.reason[number] == -1
    assert bytes(batch.cid[number]) == packet.cid
    if isinstance(packet, DataPacket):
        names = ("universe", "sequence", "priority", "sync", "options", "start")
        for name in names:
            assert getattr(batch, name)[number] == getattr(packet, name), name
        assert batch.slots[number] == len(packet.slots)
        slots = batch.rows[number, 126 : 126 + len(packet.slots)]
        assert np.array_equal(slots, np.frombuffer(packet.slots, dtype=np.uint8))
    elif isinstance(packet, SyncPacket):
        assert (batch.universe[number], batch.sequence[number]) == (packet.sync, packet.sequence)
