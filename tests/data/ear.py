"""Waiting until a command listens: how soon it does, the machine's load decides."""

from __future__ import annotations

import time
from pathlib import Path


def wait_for_an_ear(port: int) -> None:
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
