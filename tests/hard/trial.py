"""What every trial shares: how often it tries, what it counts, and what ends a case that hangs."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo"
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

#: A case that takes so much of a processor's time hangs [s], and one that waits so long too.
MOST_CPU_S, MOST_WAIT_S = 10.0, 120.0
#: Squares that a processor adds up in a tenth of a second, more or less; a slow one, or one that
#: others use too, takes longer for whatever it does.
_SQUARES, _USUAL_S = 2_500_000, 0.1
#: So much may a small file take of memory, above what was held before it was read [MB].
MOST_MB = 300.0
EVENFALL = (sys.executable, "-c", "import sys; from sim.cli.main import main; "
            "sys.argv[0] = 'evenfall'; main()")  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """How often a trial tries, from which seed, and where."""

    count: int
    seed: int
    folder: Path  # its own, empty
    keep: Path | None = None  # where files that made something go wrong are put

    def chance(self, *of: object) -> random.Random:
        """The same for the same seed and case, whatever came before."""
        return random.Random("/".join(map(str, (self.seed, *of))))


@dataclass
class Seen:
    """What a trial saw so far; a stop in the middle leaves what is there."""

    name: str
    cases: int = 0
    ended: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    slowest_s: float = 0.0  # of a processor
    slowest: str = ""
    most_mb: float = 0.0

    def took(self, cpu_s: float, what: str) -> None:
        """Remember the slowest case."""
        if cpu_s > self.slowest_s:
            self.slowest_s, self.slowest = cpu_s, what

    def told(self) -> str:
        """One line of figures."""
        parts = [f"{self.name:<12} {self.cases:>7,} cases"]
        parts += [f"{count:,} {what}" for what, count in sorted(self.ended.items())]
        if self.slowest_s:
            parts.append(f"slowest {self.slowest_s:.2f} s ({self.slowest})")
        if self.most_mb:
            parts.append(f"at most {self.most_mb:.0f} MB more")
        parts.append(f"{len(self.wrong)} WRONG" if self.wrong else "none wrong")
        return ", ".join(parts)


class Hung(BaseException):
    """A case that went on for too long; no `except Exception` takes it for a refusal."""


@cache
def slower() -> float:
    """How much more of a processor's time a piece of work takes here now than usual; 1 at least."""
    began = time.process_time()
    sum(number * number for number in range(_SQUARES))
    return max((time.process_time() - began) / _USUAL_S, 1.0)


@contextmanager
def timed(cpu_s: float = MOST_CPU_S) -> Iterator[None]:
    """Raises Hung where the block takes more than `cpu_s` of a usual processor, or waits for ever.

    On a slower one it may take as much longer.
    """
    cpu_s *= slower()

    def over(number: int, _: object) -> None:
        raise Hung("for ever" if number == signal.SIGALRM else f"more than {cpu_s:g} s CPU")

    clocks = ((signal.SIGPROF, signal.ITIMER_PROF, cpu_s),
              (signal.SIGALRM, signal.ITIMER_REAL, MOST_WAIT_S))  # fmt: skip
    before = [(number, clock, signal.signal(number, over)) for number, clock, _ in clocks]
    for _, clock, most in clocks:
        signal.setitimer(clock, most)
    try:
        yield
    finally:
        for number, clock, handler in before:
            signal.setitimer(clock, 0)
            signal.signal(number, handler)


class Memory:
    """The most memory that this process held since the last look (Linux; elsewhere 0)."""

    def __init__(self) -> None:
        self.held_mb = self._status("VmRSS")
        self._forget()

    def more_mb(self) -> float:
        """How far it rose above what was held when the last look ended."""
        most, before = self._status("VmHWM"), self.held_mb
        self.held_mb = self._status("VmRSS")
        self._forget()
        return max(most - before, 0.0)

    @staticmethod
    def _forget() -> None:
        with suppress(OSError):  # proc_pid_clear_refs(5): 5 sets the high mark to what is held
            Path("/proc/self/clear_refs").write_text("5")

    @staticmethod
    def _status(key: str) -> float:
        with suppress(OSError):
            for line in Path("/proc/self/status").read_text().splitlines():
                if line.startswith(key):
                    return float(line.split()[1]) / 1e3
        return 0.0


def environment(home: Path, **more: str) -> dict[str, str]:
    """Of somebody whose home is `home`, without a display; kernels are found where they are."""
    kept = {
        key: os.environ[key] for key in ("PATH", "LANG", "OMP_NUM_THREADS") if key in os.environ
    }
    home.mkdir(exist_ok=True)
    return {**kept, "HOME": str(home), "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1",
            **more}  # fmt: skip


def called(
    arguments: Sequence[object], env: Mapping[str, str], **how: object
) -> subprocess.CompletedProcess[str]:
    """The command as a process of its own; `how` as for `subprocess.run`."""
    usual: dict[str, object] = {
        "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "stdin": subprocess.DEVNULL,
        "encoding": "utf-8", "errors": "replace", "check": False, "timeout": 300, "env": env,
    }  # fmt: skip
    return subprocess.run([*EVENFALL, *map(str, arguments)], **{**usual, **how})  # type: ignore[call-overload]


def verdict(done: subprocess.CompletedProcess[str], statuses: Sequence[int]) -> str:
    """What is wrong with how a process ended; "" where nothing is."""
    errors = done.stderr or ""
    if "Traceback" in errors or "mistake of evenfall" in errors or "Exception ignored" in errors:
        return f"{errors.strip()[-400:]}"
    if done.returncode not in statuses:
        return f"status {done.returncode}: {errors.strip()[-300:]}"
    if done.returncode == 2 and not errors.strip():
        return "status 2 without a word"
    return ""


def cpu_s() -> float:
    """Of this process [s]."""
    return time.process_time()


def can_be_powerless() -> bool:
    """Whether a process may give away what lets it write into shut folders."""
    return sys.platform == "linux"


def powerless() -> None:
    """Root without the power to go over modes of files (capabilities(7)); others have none.

    For a child between fork and exec, and for one that goes on as it is.
    """
    import ctypes

    libc = ctypes.CDLL(None)
    for number in range(64):
        libc.prctl(24, number, 0, 0, 0)  # PR_CAPBSET_DROP
    head = (ctypes.c_uint32 * 2)(0x20080522, 0)  # _LINUX_CAPABILITY_VERSION_3, this process
    libc.capset(head, (ctypes.c_uint32 * 6)())
