"""Cores that a container allows, by the texts of its control groups.

The texts are those of the kernel's documentation (admin-guide/cgroup-v2, "cpu.max"; scheduler/
sched-bwc, "Management"; cgroups(7), /proc/pid/cgroup): µs of quota, µs of period.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sim import quota

ROOT = Path("/sys/fs/cgroup")
OWN = Path("/proc/self/cgroup")


@pytest.mark.parametrize(
    ("files", "cores"),
    [
        ({}, None),  # no Linux, or nothing that may be read
        ({"cpu.max": "max 100000\n"}, None),
        ({"cpu.max": "100000 100000\n"}, 1.0),
        ({"cpu.max": "50000 100000\n"}, 0.5),
        ({"cpu.max": "250000 100000\n"}, 2.5),
        ({"cpu.max": "100000"}, None),  # no period
        ({"cpu.max": "0 0\n"}, None),
        ({"cpu.max": "garbage\n"}, None),
        ({"cpu.max": "-1 100000\n"}, None),
        # the least of the group and of those above it; of another group nothing
        ({"/": "0::/a/b\n", "a/b/cpu.max": "max 100000", "a/cpu.max": "100000 50000",
          "c/cpu.max": "1000 100000"}, 2.0),
        ({"/": "0::/a/b\n", "a/b/cpu.max": "100000 100000", "a/cpu.max": "400000 100000"}, 1.0),
        # a container that knows its group by the name outside: the root is its own
        ({"/": "0::/../../x\n", "cpu.max": "100000 100000"}, 1.0),
        # the first version: files of their own, under the controller's name
        ({"/": "4:cpu,cpuacct:/docker/1\n", "cpu,cpuacct/docker/1/cpu.cfs_quota_us": "100000\n",
          "cpu,cpuacct/docker/1/cpu.cfs_period_us": "100000\n"}, 1.0),
        ({"/": "4:cpu:/\n", "cpu/cpu.cfs_quota_us": "-1\n",
          "cpu/cpu.cfs_period_us": "100000\n"}, None),
        ({"/": "4:cpu:/docker/1\n", "cpu/cpu.cfs_quota_us": "150000\n",
          "cpu/cpu.cfs_period_us": "100000\n"}, 1.5),
        ({"/": "4:cpu:/\n", "cpu/cpu.cfs_quota_us": "100000\n"}, None),
        ({"/": "3:cpuset:/a\n9:name=systemd:/\nnonsense\n", "cpuset/a/cpu.max": "1 1"}, None),
    ],
)  # fmt: skip
def test_the_least_that_any_group_allows(files: dict[str, str], cores: float | None) -> None:
    held = {OWN if name == "/" else ROOT / name: text for name, text in files.items()}
    assert quota.quota_cores(lambda file: held.get(file, "")) == cores


@pytest.mark.parametrize(
    ("allowed", "cores"), [(None, 4), (0.5, 1), (1.0, 1), (1.9, 1), (2.0, 2), (64.0, 4)]
)
def test_a_quota_is_less_than_the_cores_one_sees(
    allowed: float | None, cores: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1, 2, 3}, raising=False)
    monkeypatch.setattr(quota, "quota_cores", lambda _: allowed)
    assert quota.cores() == cores


def test_what_cannot_be_read_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "cpu.max").write_bytes(b"\xff\xfe")
    assert [quota._text(tmp_path / name) for name in ("gone", ".", "cpu.max")] == ["", "", ""]
    assert quota.cores() >= 1
