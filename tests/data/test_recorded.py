"""A recorded show: what its frames are; a scheme's own packets give the scheme's figures."""

import csv
import json
import sys
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from sim.cli.main import app
from sim.data.packets import DataPacket, SyncPacket, data_bytes, sync_bytes
from sim.data.pcap import udp_frame
from sim.data.receiver import Receiver
from sim.data.recorded import Recorded, recorded
from sim.data.taking import Taking, rest, taken

sys.path.insert(0, str(Path(__file__).parent))
import captures

DEMO = Path(__file__).parents[2] / "demo"
A, B = b"A" * 16, b"B" * 16

HOUSE = """\
format: evenfall-house/1
name: Test house
drawing: {size: [6, 4], viewer: 8, surfaces: []}
runs:
  - {name: eave, pixels: sk6812, path: [[1, 3], [3, 3]], aim: down, standoff: 10 cm}
  - {name: gable, pixels: sk6812-rgbw-warm, path: [[3, 3], [4, 3]], aim: down, standoff: 10 cm}
supplies:
  - {name: box, volts: 5, amps: 1, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005}
wires:
  - {from: box, to: eave.start, wire: 14 AWG, length: 1 m, fuse: 7.5}
  - {from: eave.end, to: gable.start, wire: 14 AWG, length: 0.2 m}
outputs:
  - {name: A, chain: [eave], universe: 1}
  - {name: B, chain: [gable], universe: 300}
"""


def run(*arguments):
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def told(result):
    assert result.exit_code in (0, 1), (result.stderr, result.exception)
    return json.loads(result.stdout)


@pytest.fixture
def house(tmp_path):
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE, encoding="utf-8")
    return path


SCHEME = """\
format: evenfall-scheme/1
name: Chase
brightness: 0.8
fps: 30
layers:
  - {zones: [all], effect: chase, palette: ["#ffffff", "#ff2000"], set: {speed: 0.37}}
"""


@pytest.fixture
def scheme(house):
    path = house.parent / "chase.scheme.yaml"
    path.write_text(SCHEME, encoding="utf-8")
    return path


def same_figures(scheme_told, capture_told):
    """Peaks, volts and the times they are at: equal to the last digit, means to rounding."""
    for name in ("frames", "nameplate_a", "peak_a"):
        assert capture_told[name] == scheme_told[name], name
    for part, fields in (
        ("supplies", ("name", "peak_a", "nameplate_a", "load", "rated_a")),
        ("wires", ("from", "to", "peak_a", "drop_v", "short_a", "fuse_a")),
        ("runs", ("name", "peak_a", "min_v", "min_v_pixel", "drop", "min_dim")),
    ):
        assert len(capture_told[part]) == len(scheme_told[part])
        for one, other in zip(scheme_told[part], capture_told[part], strict=True):
            assert [one[f] for f in fields] == [other[f] for f in fields], part
            assert other["peak_time_s"] == pytest.approx(one["peak_time_s"], abs=2e-9)
            assert other["mean_a"] == pytest.approx(one["mean_a"], rel=1e-6)
    assert capture_told["energy"] == pytest.approx(scheme_told["energy"], rel=1e-6)
    assert capture_told["fps"] == pytest.approx(scheme_told["fps"])
    assert capture_told["outputs"] == scheme_told["outputs"]


def test_the_packets_of_a_scheme_give_its_figures(house, scheme, tmp_path):
    out = tmp_path / "show.pcap"
    written = run("frames", house, scheme, "--seconds", "20s", "--out", out)
    assert written.exit_code == 0, written.stderr
    assert "600 frames at 30 fps" in written.stderr
    of_scheme = told(run("power", house, scheme, "--seconds", "20s", "--json"))
    of_capture = told(run("power", house, "--capture", out, "--json"))
    same_figures(of_scheme, of_capture)
    codes = {each["code"] for each in of_scheme["findings"]}
    assert codes == {each["code"] for each in of_capture["findings"]}
    assert "supply-overload" in codes


@pytest.mark.parametrize("name", ["christmas", "halloween"])
def test_so_do_those_of_the_cottage(tmp_path, name):
    house, scheme = DEMO / "cottage/house.yaml", DEMO / f"cottage/{name}.scheme.yaml"
    out = tmp_path / "show.pcap"
    assert run("frames", house, scheme, "--seconds", "30", "--out", out).exit_code == 0
    of_scheme = told(run("power", house, scheme, "--seconds", "30", "--json"))
    same_figures(of_scheme, told(run("power", house, "--capture", out, "--json")))


def test_arrays_and_table_hold_the_same_codes(house, scheme, tmp_path):
    arrays, table = tmp_path / "show.npz", tmp_path / "show.csv"
    for out in (arrays, table):
        assert run("frames", house, scheme, "--seconds", "2", "--out", out).exit_code == 0
    with np.load(arrays) as opened:
        found = dict(opened)
    assert found["codes A"].shape == (60, 360)
    assert found["codes B"].shape == (60, 240)
    assert found["outputs"].tolist() == ["A", "B"]
    assert found["channel A"][:3].tolist() == ["g", "r", "b"]
    assert found["channel B"][:4].tolist() == ["g", "r", "b", "w"]
    assert found["slot B"][:5].tolist() == [1, 2, 3, 4, 5]
    assert set(found["universe B"].tolist()) == {300}
    with table.open(encoding="utf-8", newline="") as lines:
        head, *rows = csv.reader(lines)
    assert head[:4] == ["time_s", "A eave[0] g", "A eave[0] r", "A eave[0] b"]
    codes = np.array([row[1:] for row in rows], dtype=int)
    assert np.array_equal(codes, np.hstack([found["codes A"], found["codes B"]]))
    assert float(rows[1][0]) == pytest.approx(1 / 30)


def test_the_same_call_gives_the_same_octets(house, scheme, tmp_path):
    one, other = tmp_path / "one.pcap", tmp_path / "other.pcap"
    for out in (one, other):
        run("frames", house, scheme, "--seconds", "1", "--out", out)
    assert one.read_bytes() == other.read_bytes()


def packet(universe, sequence, level, cid=A, **more):
    return DataPacket(cid, universe, sequence, bytes([level]), **more)


def frames_of(steps):
    """[(time, {universe: first level})] of (time, packet) steps."""
    taking, found = Taking(Receiver()), []
    for now_s, each in steps:
        taking, frame = taken(taking, each, "", now_s)
        found.append(frame)
    found.append(rest(taking)[1])
    return [(f.time_s, {n: v[0] for n, v in f.levels.items()}) for f in found if f is not None]


def test_a_frame_is_whole():
    steps = [(0.0, packet(1, 0, 10)), (0.001, packet(2, 0, 20))]
    steps += [(0.025, packet(1, 1, 11)), (0.026, packet(2, 1, 21))]
    assert frames_of(steps) == [(0.0, {1: 10, 2: 20}), (0.025, {1: 11, 2: 21})]


def test_no_level_is_left_out_whatever_comes_first():
    order = [packet(1, 0, 10), packet(1, 1, 11), packet(2, 0, 20), packet(2, 1, 21)]
    order.append(packet(1, 2, 12))
    fast = frames_of([(number / 1000, each) for number, each in enumerate(order)])
    assert fast == [(0.0, {1: 10}), (0.001, {1: 11, 2: 20}), (0.003, {1: 12, 2: 21})]
    slow = frames_of([(number / 100, each) for number, each in enumerate(order)])
    assert [levels for _, levels in slow] == [
        {1: 10},
        {1: 11},
        {1: 11, 2: 20},
        {1: 11, 2: 21},
        {1: 12, 2: 21},
    ]


def test_frames_are_whole_wherever_listening_began():
    sent = [(k / 40 + u / 10_000, packet(u, k, k * 10 + u)) for k in range(4) for u in (1, 2, 3)]
    assert frames_of(sent[2:]) == [
        (pytest.approx(0.0003), {3: 3}),
        (pytest.approx(0.0251), {1: 11, 2: 12, 3: 13}),
        (pytest.approx(0.0501), {1: 21, 2: 22, 3: 23}),
        (pytest.approx(0.0751), {1: 31, 2: 32, 3: 33}),
    ]


def test_synchronised_levels_are_one_frame():
    start = [(0.0, packet(1, 0, 10, sync=9)), (0.0, packet(2, 0, 20, sync=9))]
    step = [(0.01, SyncPacket(A, 0, 9))]
    more = [(0.025, packet(1, 1, 11, sync=9)), (0.026, packet(2, 1, 21, sync=9))]
    acted = [(0.03, SyncPacket(A, 1, 9))]
    assert frames_of(start + step + more + acted) == [
        (0.0, {1: 10, 2: 20}),
        (0.03, {1: 11, 2: 21}),
    ]


def written(path, steps):
    """A capture of (time [s], packet or octets) steps."""
    packets = []
    for now_s, each in steps:
        if isinstance(each, DataPacket):
            each = data_bytes(each)
        elif isinstance(each, SyncPacket):
            each = sync_bytes(each)
        frame = udp_frame(each, ("192.0.2.7", 5568), ("239.255.0.1", 5568))
        packets.append((int(now_s * 1e9), frame))
    path.write_bytes(captures.pcap(packets, nanoseconds=True))
    return path


def test_what_else_a_capture_holds_is_counted(tmp_path):
    other = udp_frame(b"x" * 60, ("192.0.2.7", 1), ("192.0.2.8", 53))
    path = tmp_path / "a.pcap"
    steps = [(5, packet(1, 0, 1)), (5.1, packet(1, 5, 2)), (5.2, packet(77, 0, 3))]
    steps += [(5.3, b"malformed"), (5.4, packet(1, 4, 9)), (5.5, packet(1, 6, 4, B))]
    written(path, steps)
    path.write_bytes(path.read_bytes() + captures.pcap([(0, other)], nanoseconds=True)[24:])
    *frames, end = recorded(path, frozenset({1}))
    assert isinstance(end, Recorded)
    assert [frame.time_s for frame in frames] == pytest.approx([0, 0.1, 0.5])
    assert end.receiver.counts == {
        "shown": 3,
        "other-universe": 1,
        "malformed:short": 1,
        "out-of-sequence": 1,
    }
    assert (end.skipped, end.packets, end.elsewhere) == ({"other-traffic": 1}, {1: 4}, {77: 1})
    assert end.missed == 4
    assert end.merged == {1}
    assert [(s.cid, s.address, s.universes) for s in end.sources] == [
        (A, "192.0.2.7", {1}),
        (B, "192.0.2.7", {1}),
    ]


def refused(result, said):
    assert result.exit_code == 2
    assert result.stdout == ""
    (line,) = result.stderr.strip().splitlines()
    assert said in line


def test_a_capture_of_other_traffic(house, tmp_path):
    path = written(tmp_path / "a.pcap", [(0, packet(77, 0, 3))])
    refused(run("power", house, "--capture", path), "universes of this house, 1, 300")
    path.write_bytes(b"no capture")
    refused(run("power", house, "--capture", path), "no capture of packets")
    refused(run("power", house, "--capture", tmp_path / "none.pcap"), "No such file")


def test_a_cut_capture_tells_how_far_it_was_read(house, scheme, tmp_path):
    out = tmp_path / "show.pcap"
    run("frames", house, scheme, "--seconds", "2", "--out", out)
    whole = out.read_bytes()
    out.write_bytes(whole[: len(whole) // 2])
    report = told(run("power", house, "--capture", out, "--json"))
    (finding,) = (each for each in report["findings"] if each["code"] == "capture-cut")
    assert "could be read up to octet" in finding["text"]
    assert report["packets"]["whole"] is False
    assert 0 < report["packets"]["octets"] <= len(whole) // 2


def test_a_universe_without_packets_is_told(house, tmp_path):
    name = "\x1b[2Jshow.pcap"
    path = written(tmp_path / name, [(0, packet(1, 0, 255, name="=\x1b[31mred"))])
    report = told(run("power", house, "--capture", path, "--json"))
    (finding,) = (f for f in report["findings"] if f["code"] == "capture-universe-missing")
    assert "universe 300" in finding["text"]
    result = run("power", house, "--capture", path)
    assert "\x1b" not in result.stdout
    assert "Flashing light" in result.stdout


@pytest.mark.parametrize(
    "more", [("x.scheme.yaml",), ("--at", "1s"), ("--seconds", "1s")], ids=lambda each: each[0]
)
def test_a_capture_is_the_show(house, tmp_path, more):
    path = written(tmp_path / "a.pcap", [(0, packet(1, 0, 3))])
    refused(run("power", house, *more, "--capture", path), "--capture is the show")


def test_power_needs_a_show(house):
    refused(run("power", house), "name a scheme file")


def test_totals_of_a_capture(house, tmp_path):
    path = written(tmp_path / "a.pcap", [(0, packet(1, 0, 255)), (1, packet(1, 1, 0))])
    out = tmp_path / "totals.csv"
    told(run("power", house, "--capture", path, "--csv", out, "--json"))
    with out.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert [float(row["time_s"]) for row in rows] == [0, 1]
    refused(run("power", house, "--capture", path, "--csv", house), "end the name in .csv")


def test_the_ceiling_of_recorded_levels(house, tmp_path):
    # 120 SK6812 at full white: 3 · 12 mA + 1 mA each, more than 1 A · 80 % (data sheet, 2nd hand)
    full = DataPacket(A, 1, 0, b"\xff" * 360)
    report = told(
        run("power", house, "--capture", written(tmp_path / "a.pcap", [(0, full)]), "--json")
    )
    assert 0 < report["brightness_ceiling"] < 1
    level = int(255 * report["brightness_ceiling"])
    low = DataPacket(A, 1, 0, bytes([level]) * 360)
    kept = told(
        run("power", house, "--capture", written(tmp_path / "b.pcap", [(0, low)]), "--json")
    )
    assert kept["brightness_ceiling"] == 1


@pytest.mark.parametrize("ending", [".txt", ""])
def test_frames_refuse_another_ending(house, scheme, tmp_path, ending):
    refused(run("frames", house, scheme, "--out", tmp_path / f"a{ending}"), "end the name in")


def test_frames_of_a_house_without_outputs(house, scheme, tmp_path):
    text = house.read_text(encoding="utf-8")
    house.write_text(text[: text.index("outputs:")], encoding="utf-8")
    refused(run("frames", house, scheme, "--out", tmp_path / "a.npz"), "no outputs")
    house.write_text(text.replace(", universe: 1", "").replace(", universe: 300", ""))
    refused(run("frames", house, scheme, "--out", tmp_path / "a.pcap"), "has a universe")
    assert run("frames", house, scheme, "--seconds", 1, "--out", tmp_path / "a.npz").exit_code == 0
    assert list(tmp_path.glob("*.tmp")) == []
