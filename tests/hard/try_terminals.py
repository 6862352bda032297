"""Terminals that are narrow, without a locale, with their input shut or nobody reading.

Each is a start of its own: what an interpreter decides as it begins is tried too.
"""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable, Mapping

from trial import EVENFALL, Asked, Seen, called, environment, verdict
from try_verbs import SOME, sound_files, words

CALLS = (
    ("check", "HOUSE", "SCHEME", *SOME),
    ("power", "HOUSE", "SCHEME", *SOME),
    ("list", "kinds"),
    ("patch", "HOUSE"),
    ("parts", "HOUSE", "--parts", "PARTS"),
    ("season", "HOUSE", "SEASON", "--year", "2026"),
    ("plan", "HOUSE", "--anew"),
    ("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "ws2815", *SOME),
    ("diagnose", "HOUSE", "SIGHTINGS"),
    ("repair", "HOUSE", "eave[3]"),
    ("fault", "HOUSE", "SCHEME", "FAULTS"),
    ("--help",),
    ("render", "--help"),
    ("list", "materials", "--json"),
    ("check", "HOUSE", "--json"),
    ("check", "HOUSE", "nowhere.scheme.yaml"),
)
BARE = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
Done = subprocess.CompletedProcess[str]


def narrow(arguments: list[str], env: Mapping[str, str], number: int) -> str:
    """So many columns that hardly a word fits."""
    done = called(arguments, {**env, "COLUMNS": str(number % 31)})
    return verdict(done, (0, 1, 2)) or _empty(done)


def no_locale(arguments: list[str], env: Mapping[str, str], number: int) -> str:
    """A C locale, in which Python has ASCII alone; and a house of another alphabet."""
    plain = {key: value for key, value in env.items() if key != "LANG"}
    done = called(arguments, {**plain, **BARE})
    wrong = verdict(done, (0, 1, 2)) or _empty(done)
    if not wrong and "--json" in arguments:
        json.loads(done.stdout)
    return wrong


def input_shut(arguments: list[str], env: Mapping[str, str], number: int) -> str:
    """Standard input closed, and in turn standard output or the errors'."""
    shut = (0, 1, 2)[number % 3]
    done = called(arguments, env, preexec_fn=lambda: os.close(shut))
    return verdict(done, (0, 1, 2)) if shut != 2 else _status(done)


def reader_gone(arguments: list[str], env: Mapping[str, str], number: int) -> str:
    """As `… | head -c N`: the reader leaves after some octets, none at all in turn."""
    with subprocess.Popen(
        [*EVENFALL, *arguments], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, env=dict(env), text=True, errors="replace",
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read((0, 1, 200)[number % 3])
        process.stdout.close()
        errors = process.stderr.read()
    if "Traceback" in errors or "Exception ignored" in errors or "roken pipe" in errors:
        return errors[-300:]
    return "" if process.returncode in (0, 1, 2, -13) else f"status {process.returncode}"


WAYS: dict[str, Callable[[list[str], Mapping[str, str], int], str]] = {
    "narrow": narrow,
    "no locale": no_locale,
    "shut": input_shut,
    "nobody reads": reader_gone,
}


def shown(asked: Asked, seen: Seen) -> None:
    """`asked.count` starts, each way in turn."""
    from concurrent.futures import ThreadPoolExecutor

    env = environment(asked.folder / "home")
    files = sound_files(asked.folder)

    def one(number: int) -> None:
        way = list(WAYS)[number % len(WAYS)]
        turn = number // len(WAYS)
        call = CALLS[(turn * 5 + number) % len(CALLS)]
        wrong = WAYS[way](words(call, files, asked.folder), env, turn)
        seen.cases += 1
        seen.ended[way] += 1
        if wrong:
            seen.wrong.append(f"{way} {turn}: {' '.join(call)}: {wrong}")

    with ThreadPoolExecutor(2) as pool:
        list(pool.map(one, range(asked.count)))


def _empty(done: Done) -> str:
    """Whether nothing at all was said."""
    return "" if (done.stdout + done.stderr).strip() else "not a word"


def _status(done: Done) -> str:
    return "" if done.returncode in (0, 1, 2) else f"status {done.returncode}"
