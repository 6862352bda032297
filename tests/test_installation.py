"""What a bare machine may lack: a database of time zones."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_a_machine_without_time_zones(tmp_path: Path) -> None:
    """Minimal Linux images have none; the package `tzdata` then stands in (PEP 615)."""
    code = (
        "import zoneinfo, sys\n"
        "from layouts import load_house\n"
        "assert zoneinfo.TZPATH == (sys.argv[1],), zoneinfo.TZPATH\n"
        "print(load_house(sys.argv[2]).location.timezone)\n"
    )
    house = ROOT / "demo" / "cottage" / "house.yaml"
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path), str(house)],
        capture_output=True, text=True, check=False, cwd=ROOT,
        env={**os.environ, "PYTHONTZPATH": str(tmp_path)},
    )  # fmt: skip
    assert done.stdout.strip() == "America/Chicago", done.stderr


def test_every_platform_gets_them() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    (wanted,) = [each for each in project["dependencies"] if each.startswith("tzdata")]
    assert ";" not in wanted
