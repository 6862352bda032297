"""What every verb shares: its arguments, how it loads, talks, refuses and writes.

A verb is one file of this folder with one function named like it, registered in `main.py`.
Results go to stdout; progress, remarks and errors go to stderr, so `--json` stays pure.
Imports that cost time belong inside functions: `evenfall --help` must stay quick.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, BinaryIO, NoReturn

import typer

from sim.cli.bar import progress as progress
from sim.cli.ending import at_once_while

if TYPE_CHECKING:
    from rich.console import Console

    from effects import Scheme, Show
    from layouts.records import House
    from sim.frame import Rig

#: Exit statuses of every verb.
FINE, DANGER, WRONG, BROKEN = 0, 1, 2, 3

#: No time that is asked for lies further away [s]: a year, and effects stay exact to the ms.
LONGEST_S = 365 * 86_400.0


def parse_time_s(text: str | float) -> float:
    """`3s`, `1m20s`, `250 ms`, `1h` or a bare number of seconds -> [s].

    Raises typer.BadParameter where the text is no time.
    """
    if isinstance(text, (int, float)):
        return float(text)
    unit_s = {"h": 3600.0, "m": 60.0, "min": 60.0, "s": 1.0, "ms": 0.001, "": 1.0}
    part = r"(\d+(?:\.\d*)?|\.\d+)\s*(h|min|ms|m|s|)"
    if not re.fullmatch(rf"\s*{part}(?:\s*{part})*\s*", text):
        raise _wrong(text, " is no time; write 3s, 1m20s or 250ms")
    parts = re.findall(part, text)
    if len(parts) > 1 and any(not unit for _, unit in parts):
        raise _wrong(text, " leaves a unit out; write 3s, 1m20s or 250ms")
    seconds = sum(float(number) * unit_s[unit] for number, unit in parts)
    if seconds > LONGEST_S:
        raise _wrong(text, " is more than a year; write at most 8760h")
    return seconds


def parse_span_s(text: str | float) -> float:
    """A time as `parse_time_s` reads it, longer than nothing and at most a day [s]."""
    seconds = parse_time_s(text)
    if not 0 < seconds <= 86400:
        raise _wrong(str(text), " must be longer than nothing and at most 24h")
    return seconds


def parse_share(text: str | float) -> float:
    """`60%`, `60 %` or `0.6` -> 0.6; raises typer.BadParameter outside 0..1."""
    from layouts.files.numerals import in_unit

    if isinstance(text, (int, float)):
        return float(text)
    try:
        share = float(text) if (said := in_unit(text, "")) is None else said
    except ValueError:
        raise _wrong(text, " is no share; write 0.6 or 60%") from None
    if not 0 <= share <= 1:
        raise _wrong(text, " is out of range; write 0 to 1, or 0% to 100%")
    return share


def parse_size_px(text: str | tuple[int, int]) -> tuple[int, int]:
    """`1280x720` -> (1280, 720) [px]; raises typer.BadParameter outside 16..8192 a side."""
    if isinstance(text, tuple):
        return text
    found = re.fullmatch(r"\s*(\d{1,9})\s*[x×]\s*(\d{1,9})\s*", text)
    if not found:
        raise _wrong(text, " is no size; write 1280x720")
    width, height = int(found[1]), int(found[2])
    if not (16 <= width <= 8192 and 16 <= height <= 8192):
        raise _wrong(text, ": each side must be 16 to 8192 pixels")
    return width, height


def _wrong(text: str, what: str) -> typer.BadParameter:
    """The refusal of a value on the command line."""
    from layouts.errors import shown

    return typer.BadParameter(f"'{shown(text)}'{what}")


HouseArgument = Annotated[Path, typer.Argument(metavar="HOUSE", help="The house file.")]
SchemeArgument = Annotated[Path, typer.Argument(metavar="SCHEME", help="The scheme file.")]
JsonFlag = Annotated[bool, typer.Option("--json", help="Pure JSON on stdout.")]
PartsOption = Annotated[
    Path | None,
    typer.Option(
        "--parts", metavar="FILE", help="Left out: parts.yaml beside the house, if there."
    ),
]
SecondsOption = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        parser=parse_span_s,
        metavar="TIME",
        help="How long to look: 30s, 10m. Left out: one period of the scheme, or 10 minutes.",
    ),
]

#: Between these the tables of parts mean something [°C].
COLDEST_C, HOTTEST_C = -50, 80
TemperatureOption = Annotated[
    float | None,
    typer.Option(
        "--temperature", min=COLDEST_C, max=HOTTEST_C, metavar="T", help="°C of every part."
    ),
]
AgeOption = Annotated[
    float | None,
    typer.Option("--age", min=0, max=50, metavar="YEARS", help="Light and colour after so long."),
]
RatesOption = Annotated[
    Path | None,
    typer.Option("--rates", metavar="FILE", help="Rates of cold, heat and years of your own."),
]
SizeOption = Annotated[
    Any,
    typer.Option(
        "--size",
        parser=parse_size_px,
        metavar="WxH",
        help="In pixels. Left out: 1280x720, or the shape of the house's photograph.",
    ),
]
GroundOption = Annotated[
    str | None,
    typer.Option("--ground", metavar="NAME", help="grass, wet or snow; left out: the file's."),
]


def console() -> Console:
    """Where results are printed. Text is printed as it is: no markup, no guessing of colours."""
    from rich.console import Console

    return Console(markup=False, highlight=False, emoji=False)


def stderr() -> Console:
    """Where progress and remarks are printed."""
    from rich.console import Console

    return Console(stderr=True, markup=False, highlight=False, emoji=False)


def say(text: str) -> None:
    """One remark on stderr, whose line ends are ours; other control characters are escaped."""
    from layouts.errors import harmless

    plain = "\n".join(harmless(line.replace("\t", " ")) for line in text.split("\n"))
    print(plain, file=sys.stderr, flush=True)


def fail(text: str) -> NoReturn:
    """Refuse: one line on stderr, exit status 2."""
    say(text)
    raise typer.Exit(WRONG)


def check_ground(ground: str | None) -> None:
    """End with status 2 where there is no such ground."""
    from layouts.drawn import GROUNDS

    if ground is not None and ground not in GROUNDS:
        fail(f"there is no ground '{ground}'; choose {', '.join(GROUNDS)}")


def load(house_path: Path, scheme_path: Path) -> tuple[House, Scheme]:
    """Both files, checked; raises InputError with every problem of the first wrong one."""
    from effects import load_scheme
    from layouts import load_house

    house = load_house(house_path)
    return house, load_scheme(scheme_path, house)


def load_show(house_path: Path, scheme_path: Path) -> tuple[Rig, Show]:
    """Both files, ready to be asked for frames; tells the user when kernels are compiled."""
    announce_compiling()
    from effects import bind
    from sim.frame import rig_for

    house, scheme = load(house_path, scheme_path)
    return rig_for(house, scheme), bind(house, scheme)


@cache
def announce_compiling() -> None:
    """Have compilations say on stderr what takes so long: once for each thing that kernels serve.

    Kernels are compiled when they are first needed and kept on disk from then on. The compiler
    cannot be interrupted: while it works, a stop ends the process there and then.
    """
    from sim.kernels import in_words, serves, tell_compiling

    deep, said = 0, set[str]()  # kernels call kernels, which belong to what the outermost serves

    def begun(name: str) -> None:
        nonlocal deep
        deep += 1
        what = serves(name)
        if deep == 1 and what not in said:
            said.add(what)
            say(in_words(what))

    def ended() -> None:
        nonlocal deep
        deep -= 1

    tell_compiling(begun, ended)
    at_once_while(lambda: deep > 0, say)


def print_json(data: Any) -> None:
    """`data` (records, mappings, arrays, numbers) as JSON on stdout."""
    from sim.cli.streams import writes_every_letter
    from sim.report.jsonable import jsonable

    escaped = not writes_every_letter()
    print(json.dumps(jsonable(data), indent=2, ensure_ascii=escaped, allow_nan=False))


def will_write(
    path: Path | None, *, endings: Iterable[str], inputs: Iterable[Path | str | None] = ()
) -> None:
    """Refuse before long work a path that may not be written.

    That is one whose name ends in none of `endings`, that is one of `inputs` under whatever name,
    or that `write_out` would refuse after the work. A pipe or device needs no ending where there
    is one form only.
    """
    endings = tuple(endings)
    if path is None or (_is_stream(path) and len(endings) == 1):
        return
    if path.suffix.lower() not in endings:
        wanted = f"{', '.join(endings[:-1])} or {endings[-1]}" if endings[1:] else endings[0]
        fail(f"{path}: cannot write '{path.suffix}'; end the name in {wanted}")
    if _is_stream(path):
        return
    if path.is_dir():
        fail(f"{path}: cannot be written: it is a folder")
    for read in inputs:
        if read is not None and _is_same(path, Path(read)):
            fail(f"{path}: cannot be written: this call reads it; name another file")
    if not path.parent.is_dir():
        fail(f"{path}: cannot be written: there is no folder {path.parent}")
    if not os.access(path.parent, os.W_OK):
        fail(f"{path}: cannot be written: the folder may not be written to")


def read_beside(house: House) -> list[Path]:
    """What a verb reads beside the files it is given: the photograph, the prices, the schemes."""
    from layouts.file_names import PARTS, PRICES, SCHEMES

    folder = Path(house.file).parent
    photo = house.drawing.photo
    found = [folder / PRICES, folder / PARTS, *folder.glob(SCHEMES)]
    return [*found, Path(photo.file)] if photo is not None else found


def _is_stream(path: Path) -> bool:
    """Whether a path is a pipe, a terminal or another device."""
    return path.exists() and not path.is_file() and not path.is_dir()


def _is_same(one: Path, other: Path) -> bool:
    """Whether two paths are one file: by links, relative names or, somewhere, another case."""
    if one.exists() and other.exists() and one.samefile(other):
        return True
    return os.path.realpath(one).casefold() == os.path.realpath(other).casefold()


def write_out(path: Path, data: bytes) -> None:
    """Write a result: whole or not at all. A path that cannot be written ends with status 2."""
    from layouts.files.write import write_atomically

    try:
        write_atomically(path, data)
    except OSError as error:
        fail(f"{path}: cannot be written: {error.strerror or error}")


@contextmanager
def writing(path: Path) -> Iterator[BinaryIO]:
    """A result written piece by piece: whole or not at all, as `write_out` does."""
    from layouts.files.write import piecewise

    try:
        with piecewise(path) as file:
            yield file
    except OSError as error:
        fail(f"{path}: cannot be written: {error.strerror or error}")
