"""What holds for every test: examples drawn are the same each time, and none is timed.

How fast something is, `tests/bench` measures; on a machine that others load a wall clock tells
nothing. Other examples than the usual ones: `HYPOTHESIS_PROFILE=other pytest`.

What the environment says of colours and widths of terminals is forgotten before anything reads it:
many a CI has pipes coloured.

The tests run in two processes (`pyproject.toml`); `-n 0` runs them in one, and so does
`-p no:xdist`.
"""

from __future__ import annotations

import importlib.util
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

#: By these rich (rich.console) and typer (typer.rich_utils) take a pipe for a terminal, or choose
#: its colours and width.
OF_TERMINALS = (
    "FORCE_COLOR", "NO_COLOR", "PY_COLORS", "GITHUB_ACTIONS", "TTY_COMPATIBLE", "TTY_INTERACTIVE",
    "COLORTERM", "COLUMNS", "LINES", "TERMINAL_WIDTH",
)  # fmt: skip
for _each in OF_TERMINALS:
    os.environ.pop(_each, None)

_UNTIMED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("same", derandomize=True, **_UNTIMED)
settings.register_profile("other", **_UNTIMED)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


def pytest_addoption(parser: pytest.Parser, pluginmanager: pytest.PytestPluginManager) -> None:
    """Where xdist is kept out (`-p no:xdist`), its options of `pyproject.toml` mean nothing."""
    if not pluginmanager.hasplugin("xdist"):
        group = parser.getgroup("xdist", "without xdist")
        group._addoption("-n", dest="numprocesses", help="meant for xdist")  # its short name
        group.addoption("--dist", dest="dist", help="meant for xdist")


def pytest_configure(config: pytest.Config) -> None:
    """Where several processes run: kernels are compiled before, and each has one thread."""
    if hasattr(config, "workerinput") or not getattr(config.option, "tx", None):
        return
    # Two processes with two threads each would stand in each other's way on two cores.
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    if config.args_source == pytest.Config.ArgsSource.TESTPATHS:
        _warm().both()


def _warm():
    path = Path(__file__).with_name("warm.py")
    spec = importlib.util.spec_from_file_location("evenfall_tests_warm", path)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made
