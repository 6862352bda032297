"""A wheel built from the tree, installed alone: the demo runs from an empty folder."""

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """The `evenfall` of an environment that holds the wheel and borrows the libraries."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "-q"]
    uv = shutil.which("uv", path=Path(sys.executable).parent) or shutil.which("uv")
    if uv:  # makes the source distribution first, and the wheel from that
        subprocess.run([uv, "build", "-q", "--out-dir", folder, ROOT], check=True)
        (source,) = folder.glob("evenfall-*.tar.gz")
        with tarfile.open(source) as held:
            inside = {name.partition("/")[2] for name in held.getnames()}
        assert {"README.md", ".ci/lock.txt", "tests/conftest.py", "pyproject.toml"} <= inside
    else:
        assert not os.environ.get("CI"), "uv of the extra 'test' is missing"
        subprocess.run([*pip, "wheel", "--no-deps", "-w", folder, ROOT], check=True)
    (wheel,) = folder.glob("evenfall-*.whl")
    home = folder / "env"
    venv.create(home, with_pip=False)
    python = home / "bin" / "python"
    subprocess.run([*pip, "--python", python, "install", "--no-deps", wheel], check=True)
    (site,) = home.glob("lib/python*/site-packages")
    (site / "libraries.pth").write_text(sysconfig.get_paths()["purelib"] + "\n")
    return home / "bin" / "evenfall"


def test_the_demo_runs_without_a_display_from_an_empty_folder(installed, tmp_path):
    environment = {k: v for k, v in os.environ.items() if "DISPLAY" not in k}
    called = subprocess.run(
        [installed, "demo"], cwd=tmp_path, env=environment, capture_output=True, text=True
    )
    assert called.returncode == 0, called.stderr
    assert "no display" in called.stderr
    out = tmp_path / "evenfall-demo"
    pictures = sorted(path.name for path in out.glob("*.png"))
    schemes = sorted(ROOT.glob("demo/*/*.scheme.yaml"))
    assert pictures == sorted(
        f"{path.parent.name}-{path.name.removesuffix('.scheme.yaml')}.png" for path in schemes
    )
    assert "Supplies" in (out / "cottage-christmas-power.txt").read_text(encoding="utf-8")
    assert str(installed.parents[1]) in called.stdout  # its own demo files, not the tree's


#: Run one after the other in a folder with nothing in it but what those before have written.
CALLS = (
    "--help", "list kinds", "schema house", "new a", "check a/house.yaml",
    "new b --form gable --width 10m --eave 3m", "check b/house.yaml", "parts a/house.yaml",
    "patch a/house.yaml",
)  # fmt: skip


def test_the_main_verbs_run_from_an_empty_folder(installed, tmp_path):
    for call in CALLS:
        done = subprocess.run(
            [installed, *call.split()], cwd=tmp_path, capture_output=True, text=True
        )
        # 1: something dangerous was found, which is for whoever wires the house to mend
        assert done.returncode in ((0, 1) if call.startswith("check") else (0,)), done.stderr
        assert done.stdout.strip(), call
        assert "Traceback" not in done.stderr, call


def test_the_wheel_carries_what_it_reads(installed):
    (site,) = installed.parents[1].glob("lib/python*/site-packages")
    for folder in ("layouts", "effects", "sim"):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and path.suffix not in (".pyc", ".nbi", ".nbc"):
                assert (site / path.relative_to(ROOT)).is_file(), path
    assert not (site / "sim" / "_demo" / "pictures").exists()


def test_no_other_package_has_taken_its_names(installed):
    """Import names that are plain words may be another's too: whose they are is looked up."""
    code = (
        "from importlib.metadata import packages_distributions as of; import json; found = of()\n"
        "print(json.dumps([sorted(set(found[n])) for n in ('layouts', 'effects', 'sim')]))"
    )
    python = installed.parent / "python"
    done = subprocess.run([python, "-c", code], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == [["evenfall"]] * 3
