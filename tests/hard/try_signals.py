"""Every long verb, stopped in the middle: a status that says why, no traceback, nothing left."""

from __future__ import annotations

import os
import signal
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

from forked import Forge
from texts import written_beside
from trial import DEMO, Asked, Seen, environment, verdict
from try_verbs import sound_files, words

COTTAGE = DEMO / "cottage"
HOUSE, EVENING, HARVEST = (
    str(COTTAGE / name) for name in ("house.yaml", "evening.scheme.yaml", "harvest.scheme.yaml")
)
#: Verbs that go on for long; most write something. `OUT.` stands for a file in a folder.
LONG = (
    ("check", HOUSE, HARVEST, "--seconds", "24h"),
    ("power", HOUSE, HARVEST, "--seconds", "24h", "--csv", "OUT.csv"),
    ("render", HOUSE, HARVEST, "--seconds", "60s", "--fps", "60", "--out", "OUT.webp"),
    ("render", HOUSE, HARVEST, "--seconds", "60s", "--fps", "60", "--out", "OUT.gif"),
    ("frames", HOUSE, HARVEST, "--seconds", "24h", "--out", "OUT.pcap"),
    ("frames", HOUSE, HARVEST, "--seconds", "24h", "--out", "OUT.csv"),
    ("compare", HOUSE, HARVEST, "--kinds", "ws2812b", "ws2815", "--seconds", "24h", "--out",
     "OUT.png"),
    ("handover", HOUSE, HARVEST, "--seconds", "24h", "--date", "2026-11-26", "--out", "OUT.html"),
    ("power", HOUSE, HARVEST, "--seconds", "10m", "--spread", "50000"),
    ("plan", HOUSE, HARVEST, "--anew", "--seconds", "24h", "--out", "OUT.yaml"),
    ("send", HOUSE, EVENING, "--to", "127.0.0.1", "--port", "45569"),
    ("listen", HOUSE, "--at", "127.0.0.1", "--port", "PORT", "--text", "--capture", "OUT.pcap"),
)  # fmt: skip
STOPS = {"SIGINT": 130, "SIGTERM": 143, "SIGHUP": 129}


def own_s(pid: int) -> float:
    """What a process was given so far [s] (Linux: proc_pid_stat(5), fields 14 and 15)."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return float("inf")
    if fields[0] == "Z":
        return float("inf")
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def one(forge: Forge, folder: Path, number: int, asked: Asked, seen: Seen) -> None:
    """One verb, stopped after a while that is drawn."""
    call = LONG[number % len(LONG)]
    name = list(STOPS)[(number + number // len(LONG)) % len(STOPS)]
    chance = asked.chance("signals", number)
    files = sound_files(folder)
    before = {path.name for path in folder.iterdir()}
    arguments = words(call, files, folder)
    arguments = [str(20_000 + number % 20_000) if each == "PORT" else each for each in arguments]
    pid = forge.start(arguments)
    # it may be anywhere, in reading and loading too
    after_s = 0.05 + chance.random() ** 2 * 3.0
    end_s = time.monotonic() + 20 + after_s  # who waits uses nothing
    while own_s(pid) < after_s and time.monotonic() < end_s:
        time.sleep(0.02)
        if call[0] in ("send", "listen") and own_s(pid) > 0.4 and time.monotonic() > end_s - 17:
            break
    began = time.monotonic()
    with suppress(ProcessLookupError):
        os.kill(pid, getattr(signal, name))
    done = forge.end()
    seen.cases += 1
    what = f"{' '.join(call[:1])} {Path(call[-1]).suffix} {name} after {after_s:.2f} s"
    if done.returncode in (0, 1):
        seen.ended["done before"] += 1
        wrong = verdict(done, (0, 1))
    else:
        seen.ended[name] += 1
        wrong = verdict(done, (STOPS[name],))
        last = [line for line in done.stderr.splitlines() if line.strip()][-1:]
        if not wrong and last != ["stopped"]:
            wrong = f"it says {last}"
        left = sorted({path.name for path in folder.iterdir()} - before)
        if left and call[0] not in ("listen", "send"):
            wrong = wrong or f"left {left}"
        if any(each.endswith(".tmp") for each in left):
            wrong = wrong or f"left {left}"
    seen.took(time.monotonic() - began, what)
    if wrong:
        seen.wrong.append(f"{what}: {wrong}")


def stopped(asked: Asked, seen: Seen) -> None:
    """`asked.count` stops, by two at a time; the slowest is the longest wait after the signal."""
    written_beside(asked.folder)
    env = environment(asked.folder / "home")

    def some(first: int) -> None:
        with Forge(env) as forge:
            for number in range(first, asked.count, 2):
                folder = asked.folder / f"stop-{number}"
                folder.mkdir()
                one(forge, folder, number, asked, seen)

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(some, range(2)))
