"""So many cores a process may use: by affinity, and by the quota of a container it runs in."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

_ROOT, _OWN = Path("/sys/fs/cgroup"), Path("/proc/self/cgroup")


def cores() -> int:
    """So many cores this process may use; at least one.

    A container with a quota of one core sees all of the machine's: neither its affinity nor
    `os.process_cpu_count` tells (Python 3.13 to 3.14).
    """
    many = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    allowed = quota_cores(_text)
    return many if allowed is None else max(min(many, int(allowed)), 1)


def quota_cores(text_of: Callable[[Path], str]) -> float | None:
    """The cores that the control groups of this process allow; None where they set no limit.

    `text_of` gives what a file holds, "" where it cannot be read. The least of a group and of those
    above it counts, as it does for the kernel (Linux, admin-guide/cgroup-v2 "cpu.max" and
    scheduler/sched-bwc): of the second version a quota and a period [µs] or `max`, of the first a
    file each, the quota -1 where there is none.
    """
    found = []
    for folder in _folders(text_of(_OWN)):
        quota, _, period = text_of(folder / "cpu.max").strip().partition(" ")
        if not quota:
            quota = text_of(folder / "cpu.cfs_quota_us").strip()
            period = text_of(folder / "cpu.cfs_period_us").strip()
        if quota.isdecimal() and period.isdecimal() and int(quota) and int(period):
            found.append(int(quota) / int(period))
    return min(found, default=None)


def _folders(own: str) -> list[Path]:
    """Where the groups of a process and those above them are, by its `/proc/self/cgroup`.

    A line is `number:controllers:path`, without controllers for the second version (cgroups(7)). A
    container often sees its own group as the root, and the path of it as it is outside.
    """
    found = {_ROOT: None, _ROOT / "cpu": None, _ROOT / "cpu,cpuacct": None}
    for line in own.splitlines():
        _, _, rest = line.partition(":")
        controllers, _, path = rest.partition(":")
        if controllers and "cpu" not in controllers.split(","):
            continue
        root = _ROOT / controllers if controllers else _ROOT
        here = root / path.lstrip("/")
        for each in (here, *here.parents):
            if ".." in each.parts or not each.is_relative_to(_ROOT):
                break
            found.setdefault(each)
    return list(found)


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="ascii")
    except (OSError, ValueError):
        return ""
