"""What listening to 100 universes at 44 Hz costs, and how fast packets are read.

Run `python tests/bench/bench_listen.py`; it prints and asserts nothing. `evenfall listen` runs as
a process of its own on a house of 17,000 pixels, fed by another process over loopback; its share
of one core is its processor time over a minute, start-up taken off. Beside it the floor: a bare
loop that receives as many datagrams.
"""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from sim.data.batch import decode
from sim.data.packets import DataPacket, data_bytes, packet_of
from sim.data.receiver import Receiver, received

ROOT = Path(__file__).parents[2]
SENDER = ROOT / "tests/data/many_universes.py"
UNIVERSES, HZ, SECONDS = 100, 44.0, 60.0


def house() -> dict:
    """100 runs of 170 RGB pixels, each on a universe and a feed of its own."""
    runs, wires, outputs = [], [], []
    for number in range(UNIVERSES):
        name, y = f"run-{number}", 0.1 * number
        runs.append(
            {
                "name": name,
                "pixels": "ws2812b-v5",
                "path": [[0, y], [3, y]],
                "count": 170,
                "aim": "down",
                "standoff": 0.1,
            }
        )
        wires.append(
            {
                "from": "box",
                "to": f"{name}.start",
                "wire": "14 AWG",
                "length": 1,
                "fuse": 7.5,
            }
        )
        outputs.append({"name": f"o{number}", "chain": [name], "universe": number + 1})
    return {
        "format": "evenfall-house/1",
        "name": "Wall of a hundred runs",
        "drawing": {"size": [4, 11], "viewer": 20, "surfaces": []},
        "runs": runs,
        "supplies": [{"name": "box", "volts": 5, "amps": 1000, "efficiency": 0.85, "no_load_w": 1}],
        "wires": wires,
        "outputs": outputs,
    }


def processor_s(pid: int) -> float:
    """[s] of processor that a process has used."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def free_port() -> int:
    """A port of loopback that nobody has."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.bind(("127.0.0.1", 0))
        return made.getsockname()[1]


def listening(port: int, path: Path) -> None:
    """Print the share of one core that `listen` takes."""
    command = [sys.executable, "-m", "sim.cli.main", "listen", str(path), "--at", "127.0.0.1"]
    with subprocess.Popen(
        [*command, "--port", str(port), "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=ROOT,
        text=True,
    ) as listener:
        assert listener.stdout is not None
        listener.stdout.readline()
        sender = subprocess.Popen(
            [sys.executable, SENDER, str(port), str(UNIVERSES), str(HZ), str(SECONDS + 4)], cwd=ROOT
        )
        for _ in range(2):
            listener.stdout.readline()
        before, begun = processor_s(listener.pid), time.monotonic()
        lines = []
        while time.monotonic() - begun < SECONDS:
            lines.append(json.loads(listener.stdout.readline()))
        used, span = processor_s(listener.pid) - before, time.monotonic() - begun
        sender.wait()
        listener.send_signal(signal.SIGINT)
    hz = [each["hz"] for line in lines for each in line["universes"]]
    late = max(line["late_ms"] for line in lines)
    print(
        f"listen, {UNIVERSES} universes at {HZ:g} Hz, {UNIVERSES * 170} pixels: "
        f"{used / span:.0%} of one core; {min(hz):.1f} to {max(hz):.1f} Hz heard, "
        f"dropped {lines[-1]['dropped']}, read after at most {late:.0f} ms"
    )


def floor(port: int) -> None:
    """Print what only receiving costs."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.bind(("127.0.0.1", port))
        made.settimeout(1.0)
        arguments = [str(port), str(UNIVERSES), str(HZ), "5"]
        sender = subprocess.Popen([sys.executable, SENDER, *arguments], cwd=ROOT)
        count, begun = 0, time.process_time()
        made.settimeout(10.0)
        try:
            while True:
                made.recv(2048)
                made.settimeout(1.0)
                count += 1
        except TimeoutError:
            pass
        used = time.process_time() - begun
        sender.wait()
    print(f"a bare loop of recv: {used / 5:.0%} of one core, {count} packets in 5 s")


def decoding() -> None:
    """Print packets a second of the batch decoder, of one by one, and of the receiver."""
    data = data_bytes(DataPacket(b"A" * 16, 1, 0, bytes(512), "x"))
    rows = np.tile(np.frombuffer(data, dtype=np.uint8), (20_000, 1))
    size = np.full(len(rows), len(data))
    decode(rows, size)
    begun = time.process_time()
    for _ in range(10):
        decode(rows, size)
    batch_hz = 10 * len(rows) / (time.process_time() - begun)
    begun = time.process_time()
    rows.copy()
    copy_hz = len(rows) / max(time.process_time() - begun, 1e-9)
    begun = time.process_time()
    for _ in range(20_000):
        packet_of(data)
    one_hz = 20_000 / (time.process_time() - begun)
    state = Receiver()
    packets = [
        DataPacket(b"A" * 16, u, k & 255, bytes(512)) for k in range(200) for u in range(1, 101)
    ]
    begun = time.process_time()
    for number, packet in enumerate(packets):
        state = received(state, packet, "", number / 4400)
    machine_hz = len(packets) / (time.process_time() - begun)
    print(
        f"packets a second: {batch_hz:,.0f} decoded in batch (a copy of their octets: "
        f"{copy_hz:,.0f}), {one_hz:,.0f} one by one, {machine_hz:,.0f} through the receiver"
    )


def main() -> None:
    """Print a few lines."""
    decoding()
    floor(free_port())
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "house.yaml"
        path.write_text(json.dumps(house()), encoding="utf-8")
        listening(free_port(), path)


if __name__ == "__main__":
    main()
