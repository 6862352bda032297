"""The small languages for parts of a run: `eave[10:40]` in a zone, `eave@2.5 m` on a wire."""

from __future__ import annotations

import re
from dataclasses import dataclass

from layouts.records import Run
from layouts.units import length_m, length_text

_SLICE = re.compile(r"(?P<name>.+?)\[\s*(?P<first>-?\d*)\s*(?P<colon>:?)\s*(?P<last>-?\d*)\s*\]")
_PAD = re.compile(r"(?P<name>.+?)(?:\.(?P<word>\w+)|\[\s*(?P<index>-?\d+)\s*\]|@(?P<along>.+))")


@dataclass(frozen=True)
class RunSlice:
    """Pixels `first` up to and without `last` of the run called `name`; None: open."""

    name: str
    first: int | None
    last: int | None


def run_slice(text: str) -> RunSlice:
    """What `run`, `run[a:b]` or `run[a]` says. Raises ValueError for other brackets."""
    match = _SLICE.fullmatch(text.strip())
    if match is None:
        if "[" in text or "]" in text:
            raise ValueError(f"'{text}' is not a part of a run; write it like 'eave[10:40]'")
        return RunSlice(text.strip(), None, None)
    first, last = _index(match["first"], text), _index(match["last"], text)
    if not match["colon"]:
        if first is None:
            raise ValueError(f"'{text}' names no pixel; write it like 'eave[10:40]'")
        return RunSlice(match["name"], first, first + 1)
    return RunSlice(match["name"], first, last)


def _index(digits: str | None, text: str) -> int | None:
    """The number of a pixel, None where there are no `digits`. Raises ValueError beyond sense."""
    if digits and len(digits) > 9:
        raise ValueError(f"the number in '{text}' is too large; no run has so many pixels")
    return int(digits) if digits else None


def split_end(text: str) -> tuple[str, str | None]:
    """The name a wire's end starts with, and the point that follows it (None: none does)."""
    match = _PAD.fullmatch(text.strip())
    if match is None:
        return text.strip(), None
    return match["name"], text.strip()[len(match["name"]) :]


def pad(run: Run, point: str, unit: str) -> int:
    """The pad of `run` that `point` means: `.start`, `.end`, `[75]` or `@2.5 m`.

    Pads are 0 (start), k + 1 (beside pixel k) and count + 1 (end). Raises ValueError.
    """
    if point == ".start":
        return 0
    if point == ".end":
        return run.count + 1
    if point.startswith("["):
        index = _index(point.strip("[] "), point)
        if index is None or not 0 <= index < run.count:
            raise ValueError(
                f"run '{run.name}' has no pixel {index}; its pixels are 0 to {run.count - 1}"
            )
        return index + 1
    if point.startswith("@"):
        return _pad_at(run, point[1:].strip(), unit)
    raise ValueError(
        f"'{run.name}{point}' is not a point of a run; write .start, .end, [75] or @2.5 m"
    )


def length_at(point: str, unit: str) -> float:
    """[m] along the run that a point `@2.5 m` is; a bare number is in `unit`. Raises ValueError."""
    text = point.removeprefix("@").strip()
    try:
        value: float | str = float(text)
    except ValueError:
        value = text
    return length_m(value, unit)


def _pad_at(run: Run, text: str, unit: str) -> int:
    along_m = length_at(text, unit)
    strip_m = run.count * run.pitch_m
    if not 0 <= along_m <= max(strip_m, run.length_m):
        long = length_text(strip_m, unit)
        raise ValueError(
            f"run '{run.name}' is {long} long, {length_text(along_m, unit)} is beyond it;"
            f" write 0 to {long}"
        )
    if along_m <= run.pitch_m / 4:
        return 0
    if along_m >= strip_m - run.pitch_m / 4:
        return run.count + 1
    return min(run.count, int(along_m / run.pitch_m) + 1)
