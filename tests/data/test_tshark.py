"""tshark reads what is written: packets of six slots and more, captures, checksums.

tshark's protocol is `acn`, whose heuristic is off by default. It dissects data packets alone and
takes those of fewer than six slots for malformed, which they are not (its summary prints six).
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.data.packets import DataPacket, data_bytes
from sim.data.pcap import group_of, pcap_header, put_times, udp_frame, universe_records

sys.path.insert(0, str(Path(__file__).parent))
import captures

pytestmark = [
    pytest.mark.outside,
    pytest.mark.skipif(
        shutil.which("tshark") is None and not os.environ.get("CI"), reason="tshark is not here"
    ),
]
CID = bytes.fromhex("00112233445566778899aabbccddeeff")
FIELDS = (
    *("frame.time_epoch", "ip.dst", "acn.cid", "acn.dmx.source_name", "acn.dmx.universe"),
    *("acn.dmx.priority", "acn.dmx.reserved", "acn.dmx.seq_number", "acn.dmx.options"),
    *("acn.dmx.start_code2", "acn.dmx.count", "acn.pdu.length", "udp.payload"),
    *("ip.checksum.status", "udp.checksum.status", "_ws.malformed"),
)


def dissected(path):
    """One dict a packet."""
    command = ["tshark", "-n", "-r", str(path), "--enable-heuristic", "acn", "-T", "fields"]
    for option in ("acn.dmx_enable:TRUE", "ip.check_checksum:TRUE", "udp.check_checksum:TRUE"):
        command += ["-o", option]
    command += ["-E", "separator=|", "-E", "aggregator=;"]
    for field in FIELDS:
        command += ["-e", field]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300).stdout
    return [dict(zip(FIELDS, line.split("|"), strict=True)) for line in told.splitlines()]


@pytest.mark.parametrize("slots", [6, 30, 510, 512])
def test_a_data_packet(tmp_path, slots):
    packet = DataPacket(
        CID, 7999, 255, bytes(i % 256 for i in range(slots)), "Evenfall", 200, 7962, 0x20
    )
    frame = udp_frame(data_bytes(packet), ("192.0.2.7", 5568), (group_of(7999), 5568))
    path = tmp_path / "a.pcap"
    path.write_bytes(captures.pcap([(1_500_000_000, frame)], nanoseconds=True))
    (read,) = dissected(path)
    assert read["ip.dst"] == "239.255.31.63"
    assert read["acn.cid"] == "00112233-4455-6677-8899-aabbccddeeff"
    assert read["acn.dmx.source_name"].rstrip("\0") == "Evenfall"
    numbers = ("universe", "priority", "reserved", "seq_number")
    assert [int(read[f"acn.dmx.{n}"]) for n in numbers] == [7999, 200, 7962, 255]
    assert int(read["acn.dmx.options"], 0) == 0x20
    assert int(read["acn.dmx.start_code2"], 0) == 0
    assert int(read["acn.dmx.count"], 0) == slots + 1
    assert read["acn.pdu.length"] == f"{110 + slots};{88 + slots};{11 + slots}"
    assert bytes.fromhex(read["udp.payload"])[126:] == packet.slots
    assert (read["ip.checksum.status"], read["udp.checksum.status"]) == ("1", "1")
    assert read["_ws.malformed"] == ""


def test_a_capture_read_back(tmp_path):
    levels = np.random.default_rng(4).integers(256, size=(200, 511), dtype=np.uint8)
    rows = universe_records(DataPacket(CID, 259, 0, b"", "Evenfall"), levels, 100)
    put_times(rows, 25_000_000 * np.arange(200, dtype=np.int64) + 1_700_000_000_000_000_000)
    path = tmp_path / "a.pcap"
    path.write_bytes(pcap_header() + rows.tobytes())
    read = dissected(path)
    assert len(read) == 200
    assert {r["_ws.malformed"] for r in read} == {""}
    assert {r["udp.checksum.status"] for r in read} == {"1"}
    assert {r["ip.checksum.status"] for r in read} == {"1"}
    assert {r["ip.dst"] for r in read} == {"239.255.1.3"}
    assert [int(r["acn.dmx.seq_number"]) for r in read] == [(100 + i) & 255 for i in range(200)]
    assert read[3]["frame.time_epoch"] == "1700000000.075000000"
    for row, each in zip(levels, read, strict=True):
        assert bytes.fromhex(each["udp.payload"])[126:] == row.tobytes()


def test_our_reader_and_tshark_agree_on_what_tshark_writes(tmp_path):
    """pcapng made by tshark itself of a capture of ours holds the same packets."""
    from sim.data.capture import CaptureEnd, captured

    frame = udp_frame(
        data_bytes(DataPacket(CID, 1, 0, bytes(9), "x")), ("192.0.2.7", 1), ("192.0.2.8", 5568)
    )
    ours, theirs = tmp_path / "a.pcap", tmp_path / "b.pcapng"
    ours.write_bytes(captures.pcap([(5_000_000_123, frame), (7, frame)], nanoseconds=True))
    subprocess.run(
        ["tshark", "-n", "-r", str(ours), "-F", "pcapng", "-w", str(theirs)],
        capture_output=True,
        check=True,
        timeout=300,
    )
    *one, end = captured(ours)
    *other, other_end = captured(theirs)
    assert one == other
    assert isinstance(end, CaptureEnd)
    assert (end.packets, end.why) == (other_end.packets, other_end.why) == (2, "")
