"""What is installed with Evenfall: enough, nothing idle, and time zones on a bare machine."""

from __future__ import annotations

import os
import re
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


#: How a dependency is imported, where it is not by its own name.
IMPORTED = {"colour-science": "colour", "pillow": "PIL", "pygame-ce": "pygame", "pyyaml": "yaml"}


def _dependencies() -> dict[str, tuple[int, ...]]:
    """The lowest version of every dependency, by name."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    pairs = (each.split(">=") for each in project["dependencies"])
    return {name.lower(): tuple(map(int, version.split("."))) for name, version in pairs}


def test_no_dependency_is_idle() -> None:
    files = [path for each in ("layouts", "effects", "sim") for path in (ROOT / each).rglob("*.py")]
    code = "\n".join(path.read_text(encoding="utf-8") for path in files)
    for name in _dependencies().keys() - {"tzdata"}:  # data alone, read by zoneinfo
        wanted = IMPORTED.get(name, name)
        assert re.search(rf"^\s*(import|from) {wanted}\b", code, re.MULTILINE), name


def test_the_lowest_versions_are_those_that_work() -> None:
    lowest = _dependencies()
    assert lowest["holidays"] >= (0, 90)  # tried: 0.60 has feasts on wrong days
    # typer 0.29.2 itself asks for rich>=13.8.0 (its metadata, Requires-Dist)
    assert lowest["rich"] >= (13, 8)
