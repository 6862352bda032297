"""The packets of the test vectors, made once."""

import signal
import socket
import time
from pathlib import Path

import pytest

from sim.data.packets import (
    DataPacket,
    DiscoveryPacket,
    SyncPacket,
    data_bytes,
    discovery_bytes,
    sync_bytes,
)


def _has_ipv6() -> bool:
    """Whether this machine has the loopback address of IPv6: many a container has not, though
    Python and the kernel know the protocol."""
    try:
        with socket.socket(socket.AF_INET6, socket.SOCK_DGRAM) as made:
            made.bind(("::1", 0))
    except OSError:
        return False
    return True


@pytest.fixture
def ipv6():
    """For tests that need it."""
    if not _has_ipv6():
        pytest.skip("no IPv6 here")


@pytest.fixture
def ctrl_c_counts():
    """For a process to be interrupted (`preexec_fn`), even where whoever runs the tests had Ctrl-C
    ignored, as a shell has it for a job in the background."""
    return lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)


CID = bytes.fromhex("00112233445566778899aabbccddeeff")


@pytest.fixture(scope="session")
def vectors():
    """The nine packets of the vectors, in their order."""
    ramp = bytes(i % 256 for i in range(512))
    return [
        data_bytes(DataPacket(CID, 1, 0, ramp, "Evenfall")),
        data_bytes(DataPacket(CID, 7999, 255, bytes([255, 128, 0]), "Evenfall", 200, 7962)),
        data_bytes(DataPacket(CID, 1, 1, b"", "Evenfall")),
        data_bytes(DataPacket(CID, 1, 2, bytes(3), "Evenfall", options=0x40)),
        data_bytes(DataPacket(CID, 63999, 3, bytes([1, 2, 3]), "Evenfall", options=0x80)),
        sync_bytes(SyncPacket(CID, 10, 7962)),
        discovery_bytes(DiscoveryPacket(CID, "Evenfall", ())),
        discovery_bytes(DiscoveryPacket(CID, "Evenfall", (1, 2, 7962))),
        discovery_bytes(DiscoveryPacket(CID, "Evenfall", tuple(range(1, 513)))),
    ]


@pytest.fixture
def an_ear():
    """an_ear(port) waits until a command listens: how soon it does, the machine's load decides."""

    def wait(port: int) -> None:
        """Until somebody has that UDP port."""
        end_s = time.monotonic() + 120
        while time.monotonic() < end_s:
            tables = [Path("/proc/net/udp"), Path("/proc/net/udp6")]  # Linux: proc_pid_net(5)
            if not tables[0].exists():
                time.sleep(0.5)
                return
            if any(f":{port:04X} " in table.read_text() for table in tables if table.exists()):
                return
            time.sleep(0.02)
        raise AssertionError(f"nobody listens on port {port}")

    return wait


@pytest.fixture
def port():
    """A UDP port of loopback that nobody has."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.bind(("127.0.0.1", 0))
        return made.getsockname()[1]
