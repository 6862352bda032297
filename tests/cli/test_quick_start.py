"""Nobody waits for what a verb does not use: what is imported, each in a process of its own.

How long it takes, `tests/bench/bench_start.py` measures.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COTTAGE = "demo/cottage/house.yaml"
HEAVY = {"numba", "scipy", "colour", "pygame", "PIL", "sim.light"}
CODE = """\
import sys
from sim.cli.main import main
sys.argv = ["evenfall", *sys.argv[1:]]
try:
    main()
finally:
    print("imported", *sys.modules, file=sys.stderr)
"""


def imported_by(*arguments: str) -> set[str]:
    """The modules in memory when a call has ended well."""
    done = subprocess.run(
        [sys.executable, "-c", CODE, *arguments], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode in (0, 1), done.stderr
    assert "Traceback" not in done.stderr
    return set(done.stderr.partition("imported")[2].split())


@pytest.mark.parametrize(
    ("call", "without"),
    [
        (("--help",), {"numpy", "pydantic", "layouts", "effects"}),
        (
            ("check", COTTAGE),
            {"numba", "scipy", "colour", "pygame", "PIL", "sim.light", "sim.scan"},
        ),
        (("list", "kinds"), HEAVY),
    ],
    ids=lambda each: each[0] if isinstance(each, tuple) else "",
)
def test_what_a_verb_does_without(call: tuple[str, ...], without: set[str]) -> None:
    there = imported_by(*call)
    assert "sim.cli.main" in there
    assert sorted(without & there) == []


def test_one_verb_imports_no_other() -> None:
    there = {name for name in imported_by("list", "kinds") if name.startswith("sim.cli.")}
    assert "sim.cli.list" in there
    assert {"sim.cli.check", "sim.cli.render", "sim.cli.new"} & there == set()
