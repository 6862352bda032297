"""Every verb on changed files that their readers take: it ends with 0, 1 or 2, and in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

from mutants import mutant, thinner
from texts import SCHEME, SEASON, TEXTS, written_beside
from trial import Asked, Hung, Seen, called, cpu_s, environment, timed, verdict
from try_readers import readers

from layouts.errors import EvenfallError

#: What is read of a house of whatever wiring, and how long that may take of a processor [s].
MOST_VERB_S = 60.0
SOME = ("--seconds", "0.2s")
SMALL = ("--size", "96x64")
#: Verbs by the sort of file that was changed; capitals stand for files.
CALLS: dict[str, tuple[tuple[str, ...], ...]] = {
    "house": (
        ("check", "HOUSE", "SCHEME", *SOME),
        ("check", "HOUSE", "--json", "--noise", "--light"),
        ("power", "HOUSE", "SCHEME", *SOME, "--csv", "OUT.csv"),
        ("power", "HOUSE", "SCHEME", "--at", "1s", "--json"),
        ("power", "HOUSE", "SCHEME", *SOME, "--between", "-20", "35"),
        ("power", "HOUSE", "SCHEME", *SOME, "--spread", "20"),
        ("render", "HOUSE", "SCHEME", *SMALL, "--out", "OUT.png"),
        ("render", "HOUSE", "SCHEME", *SMALL, "--ground", "wet", "--json", "--out", "OUT.png"),
        ("render", "HOUSE", "--sheet", "--out", "OUT.png"),
        ("render", "HOUSE", "SCHEME", *SMALL, *SOME, "--fps", "10", "--out", "OUT.gif"),
        ("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "ws2815", *SOME),
        ("season", "HOUSE", "SEASON", "--year", "2026", "--out", "OUT.ics"),
        ("parts", "HOUSE", "--csv", "OUT.csv"),
        ("parts", "HOUSE", "--parts", "PARTS", "--json"),
        ("fault", "HOUSE", "SCHEME", "FAULTS", *SMALL, "--out", "OUT.png"),
        ("diagnose", "HOUSE", "SIGHTINGS"),
        ("repair", "HOUSE", "eave[3]"),
        ("plan", "HOUSE", "--parts", "PARTS", "--out", "OUT.yaml"),
        ("plan", "HOUSE", "SCHEME", "--anew", *SOME, "--json"),
        ("meter", "HOUSE", "READINGS"),
        ("patch", "HOUSE", "--csv", "OUT.csv"),
        ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.pcap"),
        ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.npz"),
        ("handover", "HOUSE", "SCHEME", *SOME, "--date", "2026-11-26", "--out", "OUT.html"),
        ("send", "HOUSE", "SCHEME", "--to", "127.0.0.1", "--port", "45568", *SOME),
    ),
    "scheme": (
        ("check", "HOUSE", "SCHEME", *SOME),
        ("power", "HOUSE", "SCHEME", *SOME, "--json"),
        ("render", "HOUSE", "SCHEME", *SMALL, "--out", "OUT.png"),
        ("frames", "HOUSE", "SCHEME", *SOME, "--out", "OUT.csv"),
        ("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "ws2815", *SOME),
        ("plan", "HOUSE", "SCHEME", *SOME),
        ("fault", "HOUSE", "SCHEME", "FAULTS"),
    ),
    "season": (
        ("season", "HOUSE", "SEASON", "--year", "2026", "--json"),
        ("season", "HOUSE", "SEASON", "--year", "2027", "--out", "OUT.html"),
        ("handover", "HOUSE", "SEASON", *SOME, "--date", "2026-11-26", "--out", "OUT.html"),
    ),
    "prices": (("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "sk6812", *SOME),),
    "parts": (
        ("parts", "HOUSE", "--parts", "PARTS"),
        ("plan", "HOUSE", "--parts", "PARTS"),
    ),
    "faults": (("fault", "HOUSE", "SCHEME", "FAULTS", "--json"),),
    "sightings": (("diagnose", "HOUSE", "SIGHTINGS", "--json"),),
    "readings": (("meter", "HOUSE", "READINGS", "--json"),),
    "rates": (
        ("power", "HOUSE", "SCHEME", *SOME, "--age", "8", "--rates", "RATES"),
        ("render", "HOUSE", "SCHEME", *SMALL, "--age", "8", "--rates", "RATES", "--out", "OUT.png"),
    ),
    "priors": (("diagnose", "HOUSE", "SIGHTINGS", "--priors", "PRIORS"),),
}
NAMES = {"HOUSE": "house", "SCHEME": "scheme", "SEASON": "season", "PARTS": "parts",
         "FAULTS": "faults", "SIGHTINGS": "sightings", "READINGS": "readings", "RATES": "rates",
         "PRIORS": "priors"}  # fmt: skip


def sound_files(folder: Path) -> dict[str, Path]:
    """A sound file of every sort that verbs read, by the word that stands for it in a call."""
    written_beside(folder)
    made = {}
    for word, name in NAMES.items():
        made[word] = folder / TEXTS[name].file
        made[word].write_text(TEXTS[name].sound[0], encoding="utf-8")
    made["SCHEME"].write_text(SCHEME, encoding="utf-8")
    made["SEASON"].write_text(SEASON, encoding="utf-8")
    return made


def words(call: tuple[str, ...], files: dict[str, Path], folder: Path) -> list[str]:
    """The call with files in place of their names."""
    return [
        str(files[word]) if word in files
        else str(folder / word) if word.startswith("OUT.") else word
        for word in call
    ]  # fmt: skip


def accepted(asked: Asked, folder: Path) -> Iterator[tuple[str, bytes, str]]:
    """Changed files that their reader takes, in turn of every sort that verbs read."""
    return _taken(folder, lambda sound, number: mutant(sound, asked.chance("verbs", number)))


def thinned(asked: Asked, folder: Path) -> Iterator[tuple[str, bytes, str]]:
    """As `accepted`, files of which one or two parts, of whatever depth, are left out or empty."""
    return _taken(folder, lambda sound, number: thinner(sound, asked.chance("thinned", number)))


def _taken(
    folder: Path, changed: Callable[[bytes, int], bytes]
) -> Iterator[tuple[str, bytes, str]]:
    each = {one.name: one for one in readers(folder) if one.name in CALLS}
    # a house has most verbs, and most of what can be odd
    turn = [name for name in each for _ in range(6 if name == "house" else 1)]
    number = 0
    while True:
        name = turn[number % len(turn)]
        reader = each[name]
        data = changed(reader.sound[0], number)
        path = folder / ("tried-" + reader.file)
        path = path if name != "prices" else folder / reader.file
        path.write_bytes(data)
        number += 1
        try:
            with timed():
                reader.read(path)
        except (EvenfallError, Hung):
            continue
        finally:
            path.unlink()
        yield name, data, f"{name} {number - 1}"


def on_mutants(asked: Asked, seen: Seen) -> None:
    """`asked.count` changed files that are accepted, each through one verb; some as processes."""
    _through_verbs(asked, seen, partial(accepted, asked))


def on_thinned(asked: Asked, seen: Seen) -> None:
    """As `on_mutants`, of files from which something is left out."""
    _through_verbs(asked, seen, partial(thinned, asked))


def _through_verbs(
    asked: Asked, seen: Seen, cases: Callable[[Path], Iterator[tuple[str, bytes, str]]]
) -> None:
    from typer.testing import CliRunner

    from sim.cli.main import app

    done = dict.fromkeys(CALLS, 0)
    tried = asked.folder / "readers"
    tried.mkdir()
    for name, data, what in cases(tried):
        if seen.cases >= asked.count:
            return
        call = CALLS[name][done[name] % len(CALLS[name])]
        done[name] += 1
        folder = asked.folder / f"case-{seen.cases}"
        folder.mkdir()
        files = sound_files(folder)
        (folder / TEXTS[name].file).write_bytes(data)
        arguments = words(call, files, folder)
        seen.cases += 1
        as_process = seen.cases % 20 == 0
        began = cpu_s()
        if as_process:
            wrong = verdict(called(arguments, environment(asked.folder / "home")), (0, 1, 2))
            seen.ended["as processes"] += 1
        else:
            wrong = _inside(partial(CliRunner().invoke, app, arguments), seen)
        seen.took(cpu_s() - began, f"{call[0]} on {what}")
        left = [one.name for one in folder.iterdir() if one.name.endswith(".tmp")]
        if left:
            wrong = wrong or f"left {left}"
        if wrong:
            seen.wrong.append(f"{what}: {' '.join(call)}: {wrong}")
            if asked.keep is not None:
                asked.keep.joinpath(f"{what.replace(' ', '-')}-{TEXTS[name].file}").write_bytes(
                    data
                )


def _inside(invoke: Callable[[], Any], seen: Seen) -> str:
    """Run a verb in this process; what is wrong with how it ended."""
    try:
        with timed(MOST_VERB_S):
            result = invoke()
    except Hung as hung:
        return f"it went on {hung}"
    seen.ended[f"status {result.exit_code}"] += 1
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        return f"{type(result.exception).__name__}: {result.exception}"
    if result.exit_code not in (0, 1, 2):
        return f"status {result.exit_code}: {result.stderr.strip()[-400:]}"
    if result.exit_code == 2 and not result.stderr.strip():
        return "status 2 without a word"
    said = result.stderr + result.stdout
    if not all(one.isprintable() or one in "\n\t\r" for one in said):
        return "control characters in what it says"
    return ""
