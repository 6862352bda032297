"""The command line, and where the demo houses are."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.cli.main import app

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def run():
    """Call a verb; the result has exit_code, stdout and stderr."""
    return lambda *arguments: CliRunner().invoke(app, list(arguments))


@pytest.fixture
def demo():
    """The folder of the demo houses."""
    return ROOT / "demo"
