"""Saves killed in the middle (kill -9): the file is the old one or the new one, whole.

As a program it saves for ever in one of the ways that files of the user are written; it is forked
and killed by the trial after a time that is drawn.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

if __name__ != "__main__":
    from trial import Asked, Seen, environment

#: Long enough that a kill hits the writing.
OCTETS = 200_000


def text_of(number: int) -> str:
    """A whole text: every letter of it the same digit."""
    return f"# {str(number % 10) * OCTETS}\n"


def is_whole(data: bytes) -> bool:
    """Whether a file holds one of those texts, from beginning to end."""
    return len(data) == OCTETS + 3 and data == text_of(int(data[2:3])).encode()


def _atomically(file: Path) -> Callable[[int], None]:
    from layouts.files.write import write_atomically

    return lambda number: write_atomically(file, text_of(number).encode())


def _with_backup(file: Path) -> Callable[[int], None]:
    from layouts.files.writeback import digest_of, write_text

    return lambda number: str(write_text(file, text_of(number), expected=digest_of(file)))  # type: ignore[return-value]


def _made_new(file: Path) -> Callable[[int], None]:
    from layouts.files.writeback import write_text

    def save(number: int) -> None:
        file.unlink(missing_ok=True)
        write_text(file, text_of(number), expected="")

    return save


def _in_pieces(file: Path) -> Callable[[int], None]:
    from layouts.files.write import piecewise

    def save(number: int) -> None:
        data = text_of(number).encode()
        with piecewise(file) as stream:
            for at in range(0, len(data), 10_000):
                stream.write(data[at : at + 10_000])

    return save


def _kept_by_the_window(file: Path) -> Callable[[int], None]:
    from sim.app.work.kept import put

    return lambda number: put(file, text_of(number))


#: Ways to save; whether the file may be gone, and whether it has a second name.
WAYS = {
    "atomically": (_atomically, False, False),
    "with a backup": (_with_backup, False, False),
    "anew": (_made_new, True, False),
    "in pieces": (_in_pieces, False, False),
    "in place": (_atomically, False, True),
    "by the window": (_kept_by_the_window, False, False),
}


def killed(asked: Asked, seen: Seen) -> None:
    """`asked.count` kills, spread over the ways."""
    hit = 0
    with subprocess.Popen(
        [sys.executable, __file__, str(asked.folder), str(asked.count), str(asked.seed)],
        stdout=subprocess.PIPE, text=True, env=environment(asked.folder / "home"),
    ) as done:  # fmt: skip
        assert done.stdout is not None
        for line in done.stdout:
            told = json.loads(line)
            seen.cases += 1
            seen.ended[told["found"]] += 1
            hit += told["left"]
            if told["wrong"]:
                seen.wrong.append(f"{told['way']} {seen.cases}: {told['wrong']}")
    if done.returncode or seen.cases != asked.count:
        seen.wrong.append(f"the saving ended with {done.returncode} after {seen.cases} kills")
    seen.ended["hit a save in the middle"] = hit
    if not hit:
        seen.wrong.append("no kill hit a save: nothing was shown")


def _play(folder: Path, count: int, seed: int) -> None:
    """Fork, save for ever, kill, look; a line of JSON for each kill."""
    import random

    from layouts.files.write import backup_of, write_atomically

    for number in range(count):
        chance = random.Random(f"{seed}/kills/{number}")
        way = list(WAYS)[number % len(WAYS)]
        saver, may_be_gone, linked = WAYS[way]
        place = folder / f"kill-{number % len(WAYS)}"
        place.mkdir(exist_ok=True)
        file = place / "a.yaml"
        file.write_bytes(text_of(0).encode())
        if linked and not (place / "other").exists():
            os.link(file, place / "other")
        save = saver(file)
        read, write = os.pipe()
        pid = os.fork()
        if not pid:
            _save_for_ever(save, write)
        os.close(write)
        os.read(read, 1)  # it has saved once
        os.close(read)
        time.sleep(chance.random() * 0.01)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        known = {"a.yaml", "other", backup_of(file).name, "a.tmp"}
        left = [path.name for path in place.iterdir() if path.name not in known]
        wrong, found = _judged(file, backup_of(file), may_be_gone, linked)
        write_atomically(file, text_of(1).encode())  # the next save clears up
        stray = [path.name for path in place.iterdir() if path.name not in known]
        wrong = wrong or (f"left for ever: {stray}" if stray else "")
        torn = found.startswith("half") or bool(left)
        print(json.dumps({"way": way, "wrong": wrong, "found": found, "left": torn}), flush=True)
        if way == "anew":
            file.unlink()


def _judged(file: Path, backup: Path, may_be_gone: bool, linked: bool) -> tuple[str, str]:
    """What is wrong with what a kill left; and what was found, in words."""
    if backup.exists() and not linked and not is_whole(backup.read_bytes()):
        return "the backup is broken", "a broken backup"
    if not file.exists():
        return ("" if may_be_gone else "the file is gone"), "none yet"
    data = file.read_bytes()
    if is_whole(data):
        return "", "whole"
    if linked and backup.exists() and is_whole(backup.read_bytes()):
        return "", "half, with the old text whole beside it"
    return f"the file is broken: {len(data)} octets, {data[:12]!r}", "broken"


def _save_for_ever(save: Callable[[int], None], told: int) -> None:
    try:
        number = 0
        while True:
            number += 1
            save(number)
            if number == 1:
                os.write(told, b".")
    finally:
        os._exit(1)


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    _play(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
