"""Listening: nothing lost by us, what is told is right, what cannot be bound is said."""

import json
import signal
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.cli.main import app
from sim.data.capture import CaptureEnd, captured
from sim.data.inbox import Inbox
from sim.data.links import heard_in
from sim.data.packets import DataPacket, data_bytes
from sim.data.sockets import receiving_sockets

ROOT = Path(__file__).parents[2]
HOUSE = """\
format: evenfall-house/1
name: Test house
drawing: {size: [6, 4], viewer: 8, surfaces: []}
runs:
  - {name: eave, pixels: sk6812, path: [[1, 3], [3, 3]], aim: down, standoff: 10 cm}
supplies:
  - {name: box, volts: 5, amps: 2, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005}
wires:
  - {from: box, to: eave.start, wire: 14 AWG, length: 1 m, fuse: 7.5}
outputs:
  - {name: A, chain: [eave], universe: 1}
"""
A, NAME, TOLD = b"A" * 16, "desk\x1b[31m", r"desk\x1b[31m"  # as it is sent, and as it is told


@pytest.fixture
def house(tmp_path):
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE, encoding="utf-8")
    return path


def run(*arguments):
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def sent(port, packets, gap_s=0.025):
    """Send packets to loopback from another thread, again and again."""
    stop = threading.Event()

    def work():
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
            number = 0
            while not stop.wait(gap_s):
                for make in packets:
                    made.sendto(make(number & 255), ("127.0.0.1", port))
                number += 1

    thread = threading.Thread(target=work)
    thread.start()
    return stop, thread


def full(number):
    return data_bytes(DataPacket(A, 1, number, b"\xff" * 360, NAME))


def test_what_is_told_a_second(house, port, tmp_path):
    stop, thread = sent(port, [full, lambda n: b"malformed", lambda n: full(n)])
    try:
        out = tmp_path / "kept.pcap"
        result = run(
            "listen", house, "--at", "127.0.0.1", "--port", port, "--seconds", "2.5", "--json",
            "--capture", out,
        )  # fmt: skip
    finally:
        stop.set()
        thread.join()
    # 120 SK6812 at full white on a supply of 2 A: more than it is rated for
    assert result.exit_code == 1, (result.stderr, result.exception)
    lines = [json.loads(line) for line in result.stdout.splitlines()]
    assert len(lines) == 3
    told = lines[-1]
    load, (universe,) = told["load"], told["universes"]
    assert load["supplies"][0]["load"] > 1
    assert "supply-overload" in {each["code"] for each in load["findings"]}
    assert 0 < load["level_ceiling"] < 1
    assert load["min_v"] < 5
    assert universe["state"] == "live"
    assert universe["hz"] > 5
    assert universe["sources"] == [{"name": TOLD, "address": "127.0.0.1", "priority": 100}]
    assert told["packets"]["malformed:short"] > 10
    assert told["packets"]["out-of-sequence"] > 10  # each number comes twice
    assert told["dropped"] in (0, None)
    assert "Mains work" in result.stderr
    assert "Flashing light" in result.stderr
    # the capture holds what arrived, and power tells the same peak of it
    *packets, end = captured(out)
    assert isinstance(end, CaptureEnd)
    assert not end.why
    heard = [heard_in(each.link, each.octets) for each in packets]
    # another port than the standard's: what does not say that it is E1.31 is other traffic there
    assert heard.count("other-traffic") == told["packets"]["malformed:short"]
    assert len(heard) == sum(told["packets"].values())
    kept = json.loads(run("power", house, "--capture", out, "--json").stdout)
    assert kept["peak_a"] == told["most_a"]


def test_lines_for_a_person(house, port):
    stop, thread = sent(port, [full])
    try:
        result = run(
            "listen", house, "--at", "127.0.0.1", "--port", port, "--seconds", "1.2", "--text"
        )
    finally:
        stop.set()
        thread.join()
    assert result.exit_code == 1, (result.stderr, result.exception)
    for said in ("1 of 1 universes live", "danger: box supply-overload", f"{TOLD} at 127.0.0.1"):
        assert said in result.stdout
    assert "\x1b" not in result.stdout


SCHEME = """\
format: evenfall-scheme/1
name: Chase
brightness: 0.6
fps: 30
layers:
  - {zones: [all], effect: chase, palette: ["#ffffff", "#ff2000"], set: {speed: 0.37}}
  - {zones: [all], effect: twinkle, palette: ["#40a0ff"], blend: add}
"""


def test_a_capture_played_into_it_has_the_peak_of_its_scheme(house, port, tmp_path, an_ear):
    scheme, show = tmp_path / "chase.scheme.yaml", tmp_path / "show.pcap"
    scheme.write_text(SCHEME, encoding="utf-8")
    assert run("frames", house, scheme, "--seconds", "3", "--out", show).exit_code == 0
    of_scheme = json.loads(run("power", house, scheme, "--seconds", "3", "--json").stdout)
    *packets, _ = captured(show)

    def play():
        an_ear(port)
        begun = time.monotonic()
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
            for each in packets:
                time.sleep(max(0.0, begun + each.time_ns / 1e9 - time.monotonic()))
                made.sendto(heard_in(each.link, each.octets).payload, ("127.0.0.1", port))

    player = threading.Thread(target=play)
    player.start()
    result = run("listen", house, "--at", "127.0.0.1", "--port", port, "--seconds", 5, "--json")
    player.join()
    told = json.loads(result.stdout.splitlines()[-1])
    assert told["packets"] == {"shown": len(packets)}
    assert told["most_a"] == of_scheme["peak_a"]


def test_nothing_comes(house, port):
    result = run("listen", house, "--at", "127.0.0.1", "--port", port, "--seconds", "0.2", "--text")
    assert result.exit_code == 0
    assert "nothing for this house yet" in result.stdout


def test_a_source_that_stops_is_lost_and_held(house, port, an_ear):
    def some():
        an_ear(port)
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
            for number in range(10):
                made.sendto(full(number), ("127.0.0.1", port))
                time.sleep(0.025)

    thread = threading.Thread(target=some)
    thread.start()
    result = run("listen", house, "--at", "127.0.0.1", "--port", port, "--seconds", "5", "--json")
    thread.join()
    lines = [json.loads(line) for line in result.stdout.splitlines()]
    assert lines[-1]["universes"][0]["state"] == "lost"
    assert lines[-1]["load"]["now_a"] == lines[0]["load"]["now_a"]


def refused(result, said):
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr.strip().splitlines()[-1]


def test_an_address_in_use(house):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        port = other.getsockname()[1]
        result = run("listen", house, "--at", "127.0.0.1", "--port", port)
    refused(result, "another program listens there already")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--at", "192.0.2.99"), "this machine has no such address"),
        (("--at", "nowhere at all"), "--at nowhere at all: no such address"),
        (("--at", "239.255.0.1"), "name an address of this machine"),
        (("--at", "192.0.2.99", "--multicast"), "cannot be joined on 192.0.2.99"),
        (("--at", "127.0.0.1", "--capture", "house.yaml"), "end the name in .pcap"),
    ],
)
def test_what_is_refused(house, port, options, said):
    refused(run("listen", house, "--port", port, "--seconds", "1", *options), said)


def test_no_route_for_groups(house, port, monkeypatch):
    def no_route(self, *option):
        if option[1] == socket.IP_ADD_MEMBERSHIP:
            raise OSError(19, "No such device")
        return super(socket.socket, self).setsockopt(*option)

    monkeypatch.setattr(socket.socket, "setsockopt", no_route)
    result = run("listen", house, "--port", port, "--seconds", "1")
    refused(result, "there is no route for groups; name the address")


def test_only_what_is_asked_is_bound(port):
    (made,) = receiving_sockets("127.0.0.1", (1, 2), port=port)
    with made:
        assert made.getsockname() == ("127.0.0.1", port)
    groups = receiving_sockets("127.0.0.1", (1, 300), port=port, multicast=True)
    names = [each.getsockname() for each in groups]
    for each in groups:
        each.close()
    assert names == [("239.255.0.1", port), ("239.255.1.44", port)]


def test_groups_heard_on_loopback(port):
    with Inbox(receiving_sockets("127.0.0.1", (1, 300), port=port, multicast=True)) as inbox:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
            here = socket.inet_aton("127.0.0.1")
            made.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, here)
            made.sendto(b"one", ("239.255.0.1", port))
            made.sendto(b"other", ("239.255.0.2", port))
            made.sendto(b"three hundred", ("239.255.1.44", port))
        letters, until = [], time.monotonic() + 60
        while len(letters) < 2 and time.monotonic() < until:
            time.sleep(0.02)
            letters += inbox.taken()
    assert sorted(each.payload for each in letters) == [b"one", b"three hundred"]


def test_ipv6(ipv6, house, port, tmp_path, an_ear):
    out = tmp_path / "kept.pcap"
    sender = threading.Thread(target=lambda: (an_ear(port), sent_once(port)))
    sender.start()
    result = run(
        "listen", house, "--at", "::1", "--port", port, "--seconds", "1", "--json",
        "--capture", out,
    )  # fmt: skip
    sender.join()
    assert result.exit_code == 1, (result.stderr, result.exception)
    told = json.loads(result.stdout.splitlines()[-1])
    assert told["universes"][0]["sources"][0]["address"] == "::1"
    (packet, _) = captured(out)
    assert heard_in(packet.link, packet.octets).address == "::1"


def sent_once(port):
    with socket.socket(socket.AF_INET6, socket.SOCK_DGRAM) as made:
        made.sendto(full(0), ("::1", port))


def test_ctrl_c_keeps_the_capture(house, port, tmp_path, ctrl_c_counts):
    out = tmp_path / "kept.pcap"
    command = [sys.executable, "-m", "sim.cli.main", "listen", house, "--at", "127.0.0.1"]
    stop, thread = sent(port, [full])
    try:
        with subprocess.Popen(
            [*command, "--port", str(port), "--capture", out],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=ROOT,
            text=True,
            preexec_fn=ctrl_c_counts,
        ) as process:
            assert "live" in process.stdout.readline()
            process.send_signal(signal.SIGINT)
            _, err = process.communicate(timeout=300)
    finally:
        stop.set()
        thread.join()
    assert process.returncode == 130, err
    *packets, end = captured(out)
    assert len(packets) > 3
    assert not end.why
