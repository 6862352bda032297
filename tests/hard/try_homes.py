"""Starts without a home, in shut folders, with broken caches of kernels, and two at once.

Kernels that matter are few here: a small house and a short look.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from trial import EVENFALL, Asked, Seen, called, can_be_powerless, environment, powerless, verdict
from try_verbs import SMALL, SOME, sound_files, words

CALL = ("power", "HOUSE", "SCHEME", *SOME, "--json")
WIRES = ("list", "wires", "--json")


def _env(folder: Path, **more: str) -> dict[str, str]:
    """A home with a cache of kernels of its own."""
    return environment(folder / "home", NUMBA_CACHE_DIR=str(folder / "kernels"), **more)


def no_home(folder: Path, number: int) -> str:
    """HOME is nowhere, a file, or unset, and so are the places of caches."""
    homes = ("/nonexistent", str(folder / "file"), "")
    (folder / "file").write_text("no folder")
    env = {**environment(folder / "home"), "HOME": homes[number % 3]}
    env |= {"XDG_CACHE_HOME": "/nonexistent/c", "XDG_STATE_HOME": str(folder / "file")}
    if number % 3 == 2:
        del env["HOME"]
    call = words(CALL, sound_files(folder), folder)
    return verdict(called(call, env), (0, 1))


def shut_folder(folder: Path, number: int) -> str:
    """House, home, the place of caches and the working folder may not be written to."""
    if not can_be_powerless():
        return ""
    files = sound_files(folder)
    home = folder / "home"
    env = environment(home, TMPDIR=str(folder), NUMBA_CACHE_DIR=str(home))
    for each in (home, folder):
        each.chmod(0o555)
    call = words((CALL, WIRES, ("patch", "HOUSE", "--json"))[number % 3], files, folder)
    done = called(call, env, preexec_fn=powerless, cwd=folder)
    for each in (home, folder):
        each.chmod(0o755)
    return verdict(done, (0, 1))


def broken_cache(folder: Path, number: int) -> str:
    """Files of the cache emptied, cut, changed, put in each other's place: the same answer."""
    kept = folder / "kernels"
    env = _env(folder)
    call = words(CALL, sound_files(folder), folder)
    kept.mkdir(exist_ok=True)
    first = called(call, env)
    wrong = verdict(first, (0, 1))
    files = sorted(path for path in kept.rglob("*") if path.suffix in (".nbi", ".nbc"))
    if wrong or not files:
        return wrong or "no kernel was kept: nothing was shown"
    other = files[-1].read_bytes()
    harms: tuple[Callable[[bytes], bytes], ...] = (
        lambda raw: b"",
        lambda raw: raw[: len(raw) // 2],
        lambda raw: raw[:-20] + bytes([raw[-20] ^ 4]) + raw[-19:],
        lambda raw: other,
    )
    for place, file in enumerate(files[number % 3 :: 3]):
        file.write_bytes(harms[(place + number) % len(harms)](file.read_bytes()))
    again = called(call, env)
    wrong = verdict(again, (first.returncode,))
    if not wrong and again.stdout != first.stdout:
        wrong = "another answer with a broken cache"
    return wrong


def two_at_once(folder: Path, number: int) -> str:
    """Two starts at the same time with an empty cache: both answer, and the same."""
    env = _env(folder)
    call = words(CALL, sound_files(folder), folder)
    both = [
        subprocess.Popen([*EVENFALL, *call], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.PIPE, env=env, text=True)
        for _ in range(2)
    ]  # fmt: skip
    said = []
    for each in both:
        out, errors = each.communicate(timeout=600)
        said.append(subprocess.CompletedProcess([], each.returncode, out, errors))
    third = called(call, env)
    wrong = next((w for each in (*said, third) if (w := verdict(each, (0, 1)))), "")
    if not wrong and len({each.stdout for each in (*said, third)}) > 1:
        wrong = "the two tell different things"
    return wrong


KERNEL = """\
from sim.kernels import njit

@njit(cache=True)
def twice(x):
    total = 0.0
    for k in range(8):
        total += x * 0.25
    return total

print(round(twice(21.0), 9), twice(2), sep="|")
"""


def two_kernels(folder: Path, number: int) -> str:
    """As `two_at_once`, of one small kernel."""
    file = folder / "small.py"
    file.write_text(KERNEL)
    env = environment(folder / "home")
    three: list[str] = []
    for many in (2, 1):
        at_once = [
            subprocess.Popen([sys.executable, str(file)], stdout=subprocess.PIPE,
                             stderr=subprocess.STDOUT, env=env, text=True)
            for _ in range(many)
        ]  # fmt: skip
        three += [each.communicate(timeout=300)[0] for each in at_once]
    return "" if three == ["42.0|4.0\n"] * 3 else f"they say {three}"


def first_picture(folder: Path, number: int) -> str:
    """A first picture: two processes compile, one does, and one or the other is killed.

    The same picture each time, and no process is left over.
    """
    way = ("both", "alone", "second killed", "first killed")[number % 4]
    env, picture = _env(folder), folder / "OUT.png"
    call = words(("render", "HOUSE", "SCHEME", *SMALL, "--out", "OUT.png"),
                 sound_files(folder), folder)  # fmt: skip
    one_core = partial(os.sched_setaffinity, 0, sorted(os.sched_getaffinity(0))[:1])
    first = subprocess.Popen([*EVENFALL, *call], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE, env=env, text=True,
                             preexec_fn=one_core if way == "alone" else None)  # fmt: skip
    seconds = _seconds(first, folder / "kernels")
    if "killed" in way and seconds:
        time.sleep(0.3 + number % 3)
        os.kill(seconds[0] if way == "second killed" else first.pid, signal.SIGKILL)
    out, errors = first.communicate(timeout=600)
    wrong = verdict(subprocess.CompletedProcess([], first.returncode, out, errors),
                    (-9,) if way == "first killed" and seconds else (0,))  # fmt: skip
    if bool(seconds) is (way == "alone" or len(os.sched_getaffinity(0)) < 2):
        wrong = wrong or f"{len(seconds)} second processes"
    if any(_lives(pid, 10.0) for pid in seconds):
        wrong = wrong or "the second process is left over"
    if way != "first killed":
        made = picture.read_bytes() if picture.exists() else b"no picture"
    wrong = wrong or verdict(called(call, env), (0,))
    if not wrong and way != "first killed" and picture.read_bytes() != made:
        wrong = "another picture"
    if any(folder.joinpath("kernels").rglob("*.tmp.*")) and way in ("both", "alone"):
        wrong = wrong or "a half file is left over"
    return wrong


def _seconds(first: subprocess.Popen[str], kept: Path) -> list[int]:
    """The processes that it has started by the time that something is kept."""
    children = Path(f"/proc/{first.pid}/task/{first.pid}/children")
    for _ in range(3000):
        time.sleep(0.02)
        found = children.read_text().split() if children.exists() else []
        if found or first.poll() is not None or any(kept.rglob("*.nbc")):
            return [int(pid) for pid in found]
    return []


def _lives(pid: int, within_s: float) -> bool:
    """Whether a process is still there after so long."""
    until = time.monotonic() + within_s
    while time.monotonic() < until:
        if not Path(f"/proc/{pid}").exists():
            return False
        time.sleep(0.05)
    return True


WAYS = {"no home": no_home, "shut": shut_folder, "two of a kernel": two_kernels}
SLOW = {"broken cache": broken_cache, "two at once": two_at_once, "first picture": first_picture}


def homes(asked: Asked, seen: Seen) -> None:
    """`asked.count` starts of the quick ways."""
    _tried(asked, seen, WAYS)


def caches(asked: Asked, seen: Seen) -> None:
    """The ways that compile kernels anew: half a minute each."""
    _tried(asked, seen, SLOW)


def _tried(asked: Asked, seen: Seen, ways: dict[str, Callable[[Path, int], str]]) -> None:
    for number in range(asked.count):
        way = list(ways)[number % len(ways)]
        folder = asked.folder / f"case-{number}"
        folder.mkdir()
        wrong = ways[way](folder, number // len(ways))
        seen.cases += 1
        seen.ended[way] += 1
        if wrong:
            seen.wrong.append(f"{way} {number // len(ways)}: {wrong}")
        shutil.rmtree(folder, ignore_errors=True)
