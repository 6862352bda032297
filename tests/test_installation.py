"""What is installed with Evenfall: enough, nothing idle, and time zones on a bare machine."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest
from packaging.utils import canonicalize_name

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


@pytest.fixture(scope="module")
def licences() -> ModuleType:
    """`tests/licences.py`, which reads pyproject.toml, the lock and the list of licences."""
    spec = importlib.util.spec_from_file_location("licences", ROOT / "tests" / "licences.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def test_the_lock_holds_all_that_is_asked_for(licences: ModuleType) -> None:
    """Whoever installs from the lock needs nothing besides, and every bound is kept."""
    pinned = licences.locked()
    for extra in licences.EXTRAS:
        for wish in licences.asked(extra):
            versions = pinned[canonicalize_name(wish.name)]
            assert all(wish.specifier.contains(each) for each in versions), (wish, versions)
        assert licences.needed(licences.asked(extra)).keys() <= pinned.keys(), extra


def test_every_package_of_the_lock_has_its_hashes(licences: ModuleType) -> None:
    """pip and uv then take no other file than those (pip's `--require-hashes`)."""
    entries = re.split(r"^(?=[\w.-]+==)", licences.LOCK.read_text("utf-8"), flags=re.MULTILINE)[1:]
    assert len(entries) == sum(map(len, licences.locked().values()))
    for entry in entries:
        assert re.search(r"--hash=sha256:[0-9a-f]{64}\b", entry), entry


def test_the_licence_of_everything_needed_is_listed(licences: ModuleType) -> None:
    """As the metadata of what is installed tell it, where that is the version of the lock."""
    listed, pinned = licences.listed(), licences.locked()
    compared = 0
    for extra in licences.EXTRAS:
        for name, dist in licences.needed(licences.asked(extra)).items():
            assert name in listed, f"run tests/licences.py for {name}"
            if dist is not None and dist.version in pinned[name]:
                assert listed[name][0] == licences.told(dist), name
                compared += 1
    assert listed.keys() <= pinned.keys()
    if os.environ.get("CI"):  # there everything is what the lock says, but where this is a trial
        assert compared, "nothing installed is of the lock"


def test_the_quick_tests_of_other_versions_are_there(licences: ModuleType) -> None:
    """Each is a file or one test of it, and every library stands over those that would tell."""
    lines = (ROOT / ".ci" / "quick.txt").read_text("utf-8").splitlines()
    for line in lines:
        if line and not line.startswith("#"):
            file, _, test = line.partition("::")
            assert f"def {test}" in (ROOT / file).read_text(encoding="utf-8"), line
    named = " ".join(line.lower() for line in lines if line.startswith("#"))
    asked = {canonicalize_name(each.name) for each in licences.asked("")}
    asked |= {canonicalize_name(each.name) for each in licences.asked("test")}
    assert asked - RUN_THE_TESTS == {
        each for each in asked if re.search(rf"(^|[ ,]){each}\b", named.replace("_", "-"))
    }


#: What `.ci/run` runs itself, beside the tests or in order to run them.
RUN_THE_TESTS = {
    "import-linter", "mypy", "pytest", "pytest-xdist", "ruff", "types-pyyaml", "uv",
}  # fmt: skip
