"""How hard the program is to break: `python tests/hard/run.py`, and `--long` by hand.

Prints a line of figures for each trial and, below, what was wrong. The same seed tries the same.
Ctrl-C ends it and prints what was seen so far. `--keep DIR` keeps files that made something wrong.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
sys.path.insert(0, str(Path(__file__).parent))

import try_captures
import try_disks
import try_homes
import try_kills
import try_photographs
import try_readers
import try_signals
import try_terminals
import try_verbs
import try_window
from trial import Asked, Seen


class Trial(Protocol):
    """Tries `asked.count` cases and tells `seen` of each."""

    def __call__(self, asked: Asked, seen: Seen) -> None: ...


@dataclass(frozen=True)
class Row:
    """A trial, what it counts, and how often in a short and in a long run."""

    trial: Trial
    what: str
    short: int
    long: int


TRIALS = {
    "mutants": Row(try_readers.mutated, "changed files through every reader", 280, 100_000),
    "bombs": Row(try_readers.choked, "bombs a reader", 1, 30),
    "noise": Row(try_readers.scratched_bytes, "files of noise", 140, 10_000),
    "photographs": Row(try_photographs.photographs, "changed pictures", 480, 20_000),
    "captures": Row(try_captures.mangled_captures, "changed captures", 300, 20_000),
    "window": Row(try_window.played, "events at the window", 200, 100_000),
    "verbs": Row(
        try_verbs.on_mutants, "changed files that are accepted, each through a verb", 16, 3_000
    ),
    "thinned": Row(
        try_verbs.on_thinned, "files with something left out, each through a verb", 16, 3_000
    ),
    "kills": Row(try_kills.killed, "saves killed in the middle", 24, 500),
    "disks": Row(try_disks.refused, "results on full disks and into shut folders", 15, 84),
    "outputs": Row(try_disks.printed, "results on a standard output that takes none", 4, 60),
    "terminals": Row(
        try_terminals.shown, "terminals narrow, shut, deaf or without letters", 12, 320
    ),
    "homes": Row(try_homes.homes, "starts without a home or in shut folders", 3, 24),
    "caches": Row(try_homes.caches, "caches of kernels that are broken or raced for", 0, 12),
    "signals": Row(try_signals.stopped, "verbs stopped in the middle", 6, 360),
}


def tried(name: str, seen: Seen, count: int, seed: int, keep: Path | None = None) -> None:
    """One trial in a folder of its own."""
    with tempfile.TemporaryDirectory(prefix="hard-") as folder:
        TRIALS[name].trial(Asked(count, seed, Path(folder), keep), seen)


def _cpu_s() -> float:
    """Of this process and of those that it started and that have ended [s]."""
    told = os.times()
    return told.user + told.system + told.children_user + told.children_system


def main(arguments: list[str] | None = None) -> int:
    """Try all, or what is asked for; 1 where something was wrong."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--long", action="store_true", help="as by hand: hours")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", nargs="+", choices=list(TRIALS), help="some trials")
    asked.add_argument("--keep", type=Path, help="where to put files that made something wrong")
    for name, row in TRIALS.items():
        asked.add_argument(f"--{name}", type=int, metavar="N",
                           help=f"{row.what}; {row.short}, long {row.long}")  # fmt: skip
    wanted = asked.parse_args(arguments)
    if wanted.keep is not None:
        wanted.keep.mkdir(parents=True, exist_ok=True)
    every, stopped = [], False
    for name in wanted.only or TRIALS:
        row, count = TRIALS[name], getattr(wanted, name)
        if count is None:
            count = row.long if wanted.long else row.short
        seen, began, cpu = Seen(name), time.monotonic(), _cpu_s()
        every.append(seen)
        try:
            tried(name, seen, count, wanted.seed, wanted.keep)
        except KeyboardInterrupt:
            stopped = True
        took = f"{time.monotonic() - began:.1f} s, {_cpu_s() - cpu:.1f} s CPU"
        print(f"{seen.told()}, {took}", flush=True)
        if stopped:
            print("stopped: the rest was not tried")
            break
    wrong = [f"WRONG {seen.name}: {each}" for seen in every for each in seen.wrong]
    print("\n".join(line[:600] for line in wrong[:200]))
    return 130 if stopped else 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
