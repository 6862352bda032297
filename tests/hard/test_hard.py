"""The trials of the short run, as tests; `python tests/hard/run.py --long` is the long one."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from run import TRIALS, tried
from trial import Seen
from try_readers import Reader, try_one

from layouts.errors import EvenfallError, InputError, Problem

#: The window has tests of its own (`tests/app/test_monkey.py`), as have caches of kernels
#: (`tests/test_kernels.py`), which would be compiled anew here.
ELSEWHERE = ("window", "caches")


@pytest.mark.skipif(sys.platform != "linux", reason="limits, signals and /proc are Linux's")
@pytest.mark.parametrize("name", [name for name in TRIALS if name not in ELSEWHERE])
def test_nothing_breaks_it(name: str) -> None:
    seen = Seen(name)
    tried(name, seen, TRIALS[name].short, seed=1)
    assert seen.cases >= TRIALS[name].short
    assert seen.wrong == []


def test_mistakes_are_seen(tmp_path: Path) -> None:
    """A trial that could not fail would show nothing."""

    def broken(path: Path) -> None:
        raise ZeroDivisionError("a lamp went out")

    def nameless(path: Path) -> None:
        raise EvenfallError("no")

    def elsewhere(path: Path) -> None:
        raise InputError([Problem(str(path), 9, 1, "beyond its end")])

    seen = Seen("mistakes")
    for read in (broken, nameless, elsewhere):
        try_one(Reader("a", "a.yaml", (), read), b"a: 1\n", tmp_path / "a.yaml", seen, "a case")
    assert [each.split(":")[1].strip() for each in seen.wrong] == [
        "ZeroDivisionError", "a refusal without a place", "a place outside the file",
    ]  # fmt: skip
