"""Sending: what, when and to whom; how it ends; what it refuses."""

import itertools
import json
import signal
import socket
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from typer.testing import CliRunner

from effects import bind, load_scheme
from layouts import load_house
from sim.cli.main import app
from sim.data import pacing
from sim.data.packets import DataPacket, DiscoveryPacket, packet_of
from sim.data.patch import levels_from, patch_of
from sim.data.receiver import in_sequence
from sim.data.sending import DMX_HZ, Sending, due, last_packets, next_due_s, offer
from sim.data.sockets import SendingLine, sending_line
from sim.frame import on_wire, rig_for

A = b"A" * 16
HOUSE = """\
format: evenfall-house/1
name: Test house
drawing: {size: [6, 4], viewer: 8, surfaces: []}
runs:
  - {name: eave, pixels: sk6812, path: [[1, 3], [3, 3]], aim: down, standoff: 10 cm}
  - {name: gable, pixels: sk6812-rgbw-warm, path: [[3, 3], [4, 3]], aim: down, standoff: 10 cm}
supplies:
  - {name: box, volts: 5, amps: 20, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005}
wires:
  - {from: box, to: eave.start, wire: 12 AWG, length: 1 m, fuse: 10}
  - {from: box, to: gable.start, wire: 12 AWG, length: 1 m, fuse: 10}
outputs:
  - {name: A, chain: [eave], universe: 1}
  - {name: B, chain: [gable], universe: 300}
"""
SCHEME = """\
format: evenfall-scheme/1
name: Chase
brightness: 0.3
layers:
  - {zones: [all], effect: chase, palette: ["#ffffff", "#ff2000"], set: {speed: 0.37}}
"""


@pytest.fixture
def house(tmp_path):
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE, encoding="utf-8")
    return path


@pytest.fixture
def scheme(tmp_path):
    path = tmp_path / "chase.scheme.yaml"
    path.write_text(SCHEME, encoding="utf-8")
    return path


@pytest.fixture
def ear():
    """A socket on loopback that hears what is sent to it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4 << 20)
        made.bind(("127.0.0.1", 0))
        made.settimeout(0.3)
        yield made


def heard(ear):
    """Every packet that has come."""
    found = []
    try:
        while True:
            found.append(packet_of(ear.recv(2048)))
    except TimeoutError:
        return found


def run(*arguments):
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def test_what_stays_is_sent_three_times_then_kept_alive():
    # ANSI E1.31-2018 6.6.2, second hand: three packets, then one every 800 to 1000 ms
    state, sent = Sending(A, "x"), []
    for frame in range(200):
        state, out = due(state, {1: b"\1"}, frame / 40)
        sent += [frame / 40] * len(out)
    assert sent[:3] == [0, 1 / 40, 2 / 40]
    gaps = np.diff(sent[2:])
    assert len(gaps) >= 5
    assert ((gaps >= 0.8) & (gaps <= 1.0)).all()
    assert next_due_s(state) == pytest.approx(sent[-1] + 0.85)
    state, out = due(state, {1: b"\2"}, 5.0)
    assert packet_of(out[0][1]).sequence == len(sent)
    assert due(state, {1: b"\2"}, 5.025)[1]


def test_the_sequence_of_each_universe_goes_round():
    state, numbers = Sending(A, "x"), []
    for frame in range(300):
        state, out = due(state, {1: bytes([frame & 255]), 7: b""}, frame / 40)
        numbers += [packet_of(data).sequence for universe, data in out if universe == 1]
    assert numbers == [i & 255 for i in range(300)]
    assert all(in_sequence(a, b) for a, b in itertools.pairwise(numbers))
    state, out = last_packets(state)
    one, seven = (packet_of(data) for _, data in out)
    assert one.terminated
    assert one.sequence == 300 & 255
    assert seven.sequence == state.universes[7].sequence


def test_universes_are_offered_512_a_page():
    pages = [packet_of(each) for each in offer(A, "x", tuple(range(1, 1026)))]
    assert all(isinstance(page, DiscoveryPacket) for page in pages)
    assert [(page.page, page.last_page) for page in pages] == [(0, 2), (1, 2), (2, 2)]
    assert [u for page in pages for u in page.universes] == list(range(1, 1026))


def test_the_rate_of_a_full_universe():
    # 92 + 12 + 513 · 44 µs = 22 676 µs (E1.11 minima)
    assert pytest.approx(1e6 / 22_676) == DMX_HZ


@pytest.mark.parametrize(
    ("late_ms", "told_ms"),
    [
        ([], (0, 0, 0)),
        (range(1, 101), (50.5, 95.05, 100)),  # at position 1 + 0.95 (n - 1), by hand
        ([0.125] * 39 + [4.125], (0.225, 0.125, 4.125)),
    ],
)
def test_how_late_frames_were(late_ms, told_ms):
    pace = pacing.Pace(late_s=[each / 1000 for each in late_ms])
    assert pace.jitter_ms() == pytest.approx(told_ms)


def test_what_is_left_out_is_of_the_show(monkeypatch):
    now = [0.0]

    def passes(seconds, *_):
        now[0] += seconds

    clock = SimpleNamespace(monotonic=lambda: now[0], sleep=passes)
    monkeypatch.setattr(pacing, "time", clock)
    slow = SimpleNamespace(sendto=lambda *_: passes(0.45))  # four frames and a half of ten a second
    line, pace = SendingLine(slow, {1: ("127.0.0.1", 1)}, None, ""), pacing.Pace()
    pacing.send_show(line, Sending(A, "x"), lambda k: {1: bytes([k])}, fps=10, seconds=1, pace=pace)
    # frame 0 until 0.45 s, frame 4 until 0.9 s, frame 9 until 1.35 s; 3 and 4 are left out between
    assert (len(pace.late_s), pace.left_out) == (3, 7)


def test_what_is_sent_is_what_the_scheme_shows(house, scheme, ear):
    port = ear.getsockname()[1]
    result = run(
        "send", house, scheme, "--to", "127.0.0.1", "--port", port, "--seconds", 1, "--json"
    )
    assert result.exit_code == 0, result.stderr
    told, packets = json.loads(result.stdout), heard(ear)
    assert told["frames"] + told["left_out"] == 40
    assert told["packets"] == len(packets)
    late = told["late_ms"]
    # one late frame of forty lifts the mean above what 95 of 100 keep
    assert late["most"] >= max(late["p95"], late["mean"])
    assert min(late["p95"], late["mean"]) >= 0
    assert told["ended"]
    built = load_house(house)
    loaded = load_scheme(scheme, built)
    patch, show, rig = patch_of(built), bind(built, loaded), rig_for(built, loaded)
    shown = levels_from(patch, on_wire(rig, show, np.arange(40) / 40))
    for u, universe in enumerate((1, 300)):
        ours = [each for each in packets if each.universe == universe]
        assert [each.terminated for each in ours[-3:]] == [True] * 3
        assert not any(each.terminated for each in ours[:-3])
        assert [each.sequence for each in ours] == list(range(len(ours)))
        assert {(each.name, each.priority) for each in ours} == {("Evenfall Test house", 100)}
        wanted = {row[: patch.counts[u]].tobytes() for row in shown[:, u]}
        assert {each.slots for each in ours} <= wanted
        assert ours[0].slots == shown[0, u, : patch.counts[u]].tobytes()


def test_it_says_what_it_sends_where(house, scheme, ear):
    port = ear.getsockname()[1]
    result = run("send", house, scheme, "--to", "127.0.0.1", "--port", port, "--seconds", "0.1s")
    assert result.exit_code == 0
    words = " ".join(result.stdout.split())
    for said in ("127.0.0.1, port", "2 universes, 1 to 300", "40 frames a second", "80.0 packets",
                 "Mains work", "Flashing light", "late on average"):  # fmt: skip
        assert said in words


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_stopped_it_ends_every_universe(house, scheme, ear, number, ctrl_c_counts):
    port = str(ear.getsockname()[1])
    command = [sys.executable, "-m", "sim.cli.main", "send", house, scheme]
    ear.settimeout(300)
    with subprocess.Popen(
        [*command, "--to", "127.0.0.1", "--port", port],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=Path(__file__).parents[2],
        text=True,
        preexec_fn=ctrl_c_counts,
    ) as process:
        came = []
        while min(came.count(1), came.count(300)) < 3:  # it is under way with both
            packet = packet_of(ear.recv(2048))
            assert isinstance(packet, DataPacket)
            came.append(packet.universe)
        process.send_signal(number)
        out, err = process.communicate(timeout=300)
    assert process.returncode == 128 + number, err
    assert err.strip().endswith("stopped")
    assert "frames in" in out
    ear.settimeout(0.3)
    packets = heard(ear)
    for universe in (1, 300):
        ours = [each for each in packets if each.universe == universe]
        assert [each.terminated for each in ours[-3:]] == [True] * 3
        assert not any(each.terminated for each in ours[:-3])


def test_above_the_ceiling_it_does_not_start(house, scheme, ear):
    house.write_text(HOUSE.replace("amps: 20", "amps: 1"), encoding="utf-8")
    port = ear.getsockname()[1]
    call = ("send", house, scheme, "--to", "127.0.0.1", "--port", port, "--seconds", "0.2")
    result = run(*call)
    assert result.exit_code == 1
    assert "above the ceiling" in result.stderr
    assert "--over" in result.stderr
    assert heard(ear) == []
    assert run(*call, "--over").exit_code == 0
    assert heard(ear)


def refused(result, said):
    assert result.exit_code == 2
    assert result.stdout == ""
    (line,) = result.stderr.strip().splitlines()
    assert said in line


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "missing option '--to'"),
        (("--to", "no such address"), "--to no such address: no such address"),
        (("--to", "239.255.0.1"), "write --to multicast"),
        (("--to", "255.255.255.255"), "write --to multicast"),
        (("--to", "multicast", "--from", "192.0.2.99"), "--from 192.0.2.99"),
        (("--to", "127.0.0.1", "--ttl", "0"), "ttl"),
        (("--to", "127.0.0.1", "--seconds", "0"), "longer than nothing"),
    ],
)
def test_what_is_refused(house, scheme, options, said):
    refused(run("send", house, scheme, *options), said)


def test_groups_of_every_universe():
    line = sending_line("multicast", (1, 7999), source="127.0.0.1", ttl=1)
    with line.socket:
        assert line.targets == {1: ("239.255.0.1", 5568), 7999: ("239.255.31.63", 5568)}
        assert line.discovery == ("239.255.250.214", 5568)
        assert line.socket.getsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_TTL) == 1


def test_groups_of_ipv6(ipv6):
    line = sending_line("multicast-ipv6", (7999,), source=None, ttl=1)
    with line.socket:
        assert line.targets == {7999: ("ff18::8300:1f3f", 5568, 0, 0)}


def test_slower_than_the_keep_alive(house, scheme, ear):
    scheme.write_text(SCHEME.replace("brightness", "fps: 1\nbrightness"), encoding="utf-8")
    port = ear.getsockname()[1]
    run("send", house, scheme, "--to", "127.0.0.1", "--port", port, "--seconds", 3)
    ours = [each for each in heard(ear) if each.universe == 1]
    assert len(ours) >= 3 + 2 + 3  # frames, what keeps them alive, the end
