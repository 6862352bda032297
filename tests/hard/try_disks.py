"""Every verb that writes, on a disk that is full or a folder that is shut: status 2 and a sentence.

The old file is as it was, and there is no half of a new one. A full disk is a small one in memory
where this may be mounted, and a limit on the size of files everywhere; shut are folders of somebody
else, which nobody but root may write to.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from forked import Forge
from texts import HOUSE, TEXTS
from trial import DEMO, Asked, Seen, can_be_powerless, environment, verdict
from try_verbs import SMALL, SOME, sound_files, words

#: Every way to write. `OUT.` is a file that is there already; `NEW` a folder that is not.
WRITING = (
    ("power", "HOUSE", "SCHEME", *SOME, "--csv", "OUT.csv"),
    ("render", "HOUSE", "SCHEME", *SMALL, "--out", "OUT.png"),
    ("render", "HOUSE", "--sheet", "--out", "OUT.png"),
    ("render", "HOUSE", "SCHEME", *SMALL, *SOME, "--out", "OUT.gif"),
    ("render", "HOUSE", "SCHEME", *SMALL, *SOME, "--out", "OUT.webp"),
    ("render", "HOUSE", "SCHEME", *SMALL, *SOME, "--out", "OUT.mp4"),
    ("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "ws2815", *SOME, "--out", "OUT.png"),
    ("season", "HOUSE", "SEASON", "--year", "2026", "--out", "OUT.ics"),
    ("season", "HOUSE", "SEASON", "--year", "2026", "--out", "OUT.html"),
    ("parts", "HOUSE", "--parts", "PARTS", "--csv", "OUT.csv"),
    ("fault", "HOUSE", "SCHEME", "FAULTS", *SMALL, "--out", "OUT.png"),
    ("diagnose", "HOUSE", "SIGHTINGS", "--out", "OUT.png"),
    ("plan", "HOUSE", "--parts", "PARTS", "--anew", "--write"),
    ("plan", "HOUSE", "--parts", "PARTS", "--anew", "--out", "OUT.yaml"),
    ("plan", "HOUSE", "--parts", "PARTS", "--anew", "--out", "OUT.png"),
    ("plan", "HOUSE", "--parts", "PARTS", "--kinds", "ws2812b", "--out", "OUT.jsonl"),
    ("meter", "HOUSE", "READINGS", "--write"),
    ("patch", "HOUSE", "--csv", "OUT.csv"),
    ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.pcap"),
    ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.csv"),
    ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.npz"),
    ("handover", "HOUSE", "SCHEME", *SOME, "--date", "2026-11-26", "--out", "OUT.html"),
    ("list", "palettes", "--out", "OUT.png"),
    ("new", "NEW"),
    ("new", "NEW", "--form", "gable", "--width", "9 m"),
    ("new", "NEW", "--svg", str(DEMO / "drawing" / "house.svg"), "--width", "12 m"),
    ("new", "NEW", "--from-template", str(DEMO / "template" / "house.yaml")),
    ("new", "NEW", "--photo", "PHOTO", "--point", "100,500=0 m,0 m", "--point", "900,500=9 m,0 m",
     "--point", "900,100=9 m,4 m", "--point", "100,100=0 m,4 m"),
)  # fmt: skip
#: What only shows is printed where nothing more can be written, too.
PRINTING = (
    ("check", "HOUSE", "SCHEME", *SOME, "--json"),
    ("list", "materials"),
    ("schema", "house"),
)
#: So many octets may a file have: enough for no result, and for a temporary file of none [octets].
MOST_OCTETS = 64


@contextmanager
def full_disk(folder: Path) -> Iterator[bool]:
    """A disk of 64 kB in `folder`, where root may mount one; whether there is one."""
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "none", str(folder)],
        capture_output=True, check=False,
    )  # fmt: skip
    try:
        yield done.returncode == 0
    finally:
        if done.returncode == 0:
            subprocess.run(["umount", str(folder)], check=True)


def state_of(folder: Path) -> dict[str, bytes]:
    """What a folder holds."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def _prepared(call: tuple[str, ...], folder: Path, at: Path) -> list[str]:
    """The call, its files in `folder`, its outputs in `at` and there already."""
    files = sound_files(folder)
    if "--write" in call:  # what is written to is what is read
        files["HOUSE"] = at / "house.yaml"
        for word in ("HOUSE", "SCHEME", "READINGS"):
            name = {"HOUSE": "house", "SCHEME": "scheme", "READINGS": "readings"}[word]
            shutil.copy(folder / TEXTS[name].file, at / TEXTS[name].file)
        shutil.copy(folder / "test.scheme.yaml", at / "test.scheme.yaml")
        files["READINGS"] = at / TEXTS["readings"].file
        (at / "house.yaml").write_text(HOUSE, encoding="utf-8")
    made = []
    for word in words(call, files, at):
        if word.startswith(str(at / "OUT.")) and not word.endswith(".jsonl"):
            Path(word).write_text("old")
        made.append(str(at / "new") if word == "NEW" else word)
    return [str(DEMO / "photo" / "house.jpg") if each == "PHOTO" else each for each in made]


def _judged(
    call: tuple[str, ...],
    before: dict[str, bytes],
    at: Path,
    done: subprocess.CompletedProcess[str],
) -> str:
    wrong = verdict(done, (2,))
    after = state_of(at)
    changed = sorted(
        name for name in before.keys() | after.keys() if before.get(name) != after.get(name)
    )
    # A backup of what stays as it is is no half of anything. A sweep keeps the lines that it has,
    # and passes over one that is torn.
    changed = [name for name in changed if not name.endswith((".bak", ".jsonl"))]
    if not wrong and changed:
        wrong = f"changed or left: {changed}"
    lines = [line for line in done.stderr.splitlines() if line.strip()]
    if not wrong and not any(str(at) in line for line in lines):
        wrong = f"it does not say what: {lines}"
    return wrong


def refused(asked: Asked, seen: Seen) -> None:
    """Verbs that write, in turn: a full disk, a limit of size, a folder that is shut."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    ways = ["limit", *(["shut"] if can_be_powerless() else []), *(["disk"] if root else [])]
    env = environment(asked.folder / "home")
    with Forge(env) as forge:
        for number in range(asked.count):
            call = WRITING[number % len(WRITING)]
            way = ways[(number + number // len(WRITING)) % len(ways)]
            folder, at = asked.folder / f"case-{number}", asked.folder / f"out-{number}"
            folder.mkdir()
            at.mkdir()
            seen.cases += 1
            seen.ended[way] += 1
            wrong = _one(forge, call, way, folder, at, seen)
            if wrong:
                seen.wrong.append(f"{way}: {' '.join(call)}: {wrong}")


def _one(forge: Forge, call: tuple[str, ...], way: str, folder: Path, at: Path, seen: Seen) -> str:
    if way == "disk":
        with full_disk(at) as mounted:
            if not mounted:
                seen.ended["no disk could be mounted"] += 1
                return ""
            arguments = _prepared(call, folder, at)
            with until_full(), (at / "filler").open("wb", buffering=0) as filler:
                while True:
                    filler.write(b"x" * 4096)
            before = state_of(at)
            done = forge.call(arguments)
            return _judged(call, before, at, done)
    arguments = _prepared(call, folder, at)
    how: dict[str, object] = {"most_bytes": MOST_OCTETS}
    if way == "shut":
        how = {"powerless": True}
        at.chmod(0o555)
    before = state_of(at)
    done = forge.call(arguments, **how)
    return _judged(call, before, at, done)


@contextmanager
def until_full() -> Iterator[None]:
    """Until the disk takes no more."""
    with suppress(OSError):
        yield


def printed(asked: Asked, seen: Seen) -> None:
    """What is printed, on a standard output that is full, shut, or read by nobody."""
    env = environment(asked.folder / "home")
    files = sound_files(asked.folder)
    with Forge(env) as forge:
        for number in range(asked.count):
            call = PRINTING[number % len(PRINTING)]
            arguments = words(call, files, asked.folder)
            how = ("full", "closed")[(number + number // len(PRINTING)) % 2]
            seen.cases += 1
            seen.ended[how] += 1
            if how == "full":
                done = forge.call(arguments, device="/dev/full")
                wrong = verdict(done, (2,))
            else:
                done = forge.call(arguments, closed=1)
                wrong = verdict(done, (0, 1, 2))
            if wrong:
                seen.wrong.append(f"{how}: {' '.join(call)}: {wrong}")
