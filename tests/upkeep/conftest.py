"""Houses in code, ngspice on both rails as the circuit's tests have them, and the command line."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest
from typer.testing import CliRunner

from sim.cli.main import app

ROOT = Path(__file__).resolve().parents[2]
CIRCUIT = ROOT / "tests" / "circuit"


def _module(file: Path, name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, file)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[name] = made  # dataclasses look their module up
    spec.loader.exec_module(made)
    return made


_houses = _module(CIRCUIT / "conftest.py", "upkeep_circuit_houses")
_ngspice = _module(CIRCUIT / "ngspice" / "conftest.py", "upkeep_ngspice")

make = _houses.make
both = _ngspice.both


@pytest.fixture
def run():
    """Call a verb; the result has exit_code, stdout and stderr."""
    return lambda *arguments: CliRunner().invoke(app, list(arguments))


@pytest.fixture
def demo():
    """The folder of the demo houses."""
    return ROOT / "demo"
