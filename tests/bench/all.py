"""Every ratio that the scripts of this folder print, as one table with what is asked beside it.

Run `python tests/bench/all.py`, or with names after it (`scan circuit`). Each script runs as a
process of its own, one after another; what its lines say is read from them. A script that fails,
and a figure that its lines no longer hold, is told. Figures asked for are ratios of one run on two
idle cores; a busy machine spoils the milliseconds first.
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
#: [s] after which a script is given up.
LONGEST_S = 1800
#: Effects made of noise, which costs more.
_NOISY = "flurry|glint|hearth|thaw|twinkle|wander|wick"


@dataclass(frozen=True)
class Figure:
    """One row: the numbers that `pattern` finds in the lines of a script, made one."""

    script: str
    what: str
    pattern: str  # its one group is the number
    of_all: Callable[[Sequence[float]], float]
    least: float | None = None
    most: float | None = None

    @property
    def asked(self) -> str:
        """What is asked, in words; – where nothing is."""
        if self.least is not None:
            return f"≥ {self.least:g}"
        return "–" if self.most is None else f"≤ {self.most:g}"

    def slipped(self, value: float) -> bool:
        """Whether a figure is not what is asked."""
        too_little = self.least is not None and value < self.least
        return too_little or (self.most is not None and value > self.most)


FIGURES = (
    Figure("start", "--help × importing numpy", r"--help .*, ([\d.]+) ×", max, most=2),
    Figure("start", "check of the cottage s", r"check of the cottage ([\d.]+) s", max, most=0.6),
    Figure("start", "power of the cottage s", r"power of the cottage ([\d.]+) s", max, most=2),
    Figure("start", "first picture s", r"first picture ([\d.]+) s", max, most=1.5),
    Figure("start", "the same, nothing compiled s", r"no kernel compiled ([\d.]+) s", max, most=10),
    Figure("scan", "slowest scheme × real time", r": +([\d.]+) × real time", min, least=300),
    Figure("scan", "middle scheme × real time", r": +([\d.]+) × real time", statistics.median,
           least=500),
    Figure("circuit", "ngspice's time, least gain", r"a point: 1/([\d.]+)", min, least=500),
    Figure("circuit", "far shorts s, worst house", r"far shorts +([\d.]+) s", max, most=10),
    Figure("colour", "held, beyond gamut: ns a pixel", r"(?:held|gamut) +([\d.]+) ns", max,
           most=40),
    Figure("effects", "plain effect alone µs, worst", rf"^(?!{_NOISY})\w+ +([\d.]+) µs +\d+ × sin",
           max, most=60),
    Figure("effects", "of noise alone µs, worst", rf"^(?:{_NOISY}) +([\d.]+) µs +\d+ × sin",
           max, most=200),
    Figure("light", "1920×1080, 95 % ms", r"1920×1080: .*95 % ([\d.]+) ms", max, most=20),
    Figure("light", "× a bare scatter", r"([\d.]+) × matplotlib", max, most=1),
    Figure("season", "year × the bare sun", r"= ([\d.]+) × the bare sun", max),
    Figure("season", "flash test × its product", r"= ([\d.]+) × its sparse", max),
    Figure("spread", "quick bands % of the report", r"s, ([\d.]+)% of it", max),
    Figure("plan", "plan × one scan, worst", r"([\d.]+) × one scan", max),
    Figure("handover", "document × its floor", r"^ratio +([\d.]+)", max),
    Figure("draw", "a step of the file read, worst", r"([\d.]+) of the file read", max),
    Figure("drag", "turn at 95 % × its floor", r"a turn at 95 % is ([\d.]+) x", max),
    Figure("window", "turn at 95 % × its floor", r"a turn at 95 % is ([\d.]+) x", max),
    Figure("listen", "% of a core, 100 universes", r": ([\d.]+)% of one core;", max),
    Figure("turns", "1080p, drawn turns at 95 % ms", r"clock, where it drew: .*95 % +([\d.]+)",
           max, most=16.6),
    Figure("turns", "ms of all threads a frame", r"([\d.]+) ms CPU of all threads", max),
)  # fmt: skip


def lines_of(script: str) -> tuple[str, str]:
    """What a script printed, and what went wrong; empty where nothing did."""
    command = [sys.executable, str(HERE / f"bench_{script}.py")]
    try:
        ran = subprocess.run(command, capture_output=True, text=True, timeout=LONGEST_S)
    except subprocess.TimeoutExpired:
        return "", f"not done after {LONGEST_S} s"
    wrong = ran.stderr.strip().splitlines() or [f"status {ran.returncode}"]
    return ran.stdout, wrong[-1] if ran.returncode else ""


def row(figure: Figure, text: str, wrong: str) -> str:
    """One line of the table."""
    found = [float(each) for each in re.findall(figure.pattern, text, re.MULTILINE)]
    head = f"{figure.script:10} {figure.what:32}"
    if not found:
        return f"{head} {'?':>9}  {figure.asked:>7}  {wrong or 'no such line'}"
    value = figure.of_all(found)
    said = "SLIPPED" if figure.slipped(value) else ""
    return f"{head} {value:9.4g}  {figure.asked:>7}  {said or wrong}".rstrip()


def main(names: Sequence[str]) -> None:
    """Print the table, script by script as they end."""
    own = sorted(path.stem.removeprefix("bench_") for path in HERE.glob("bench_*.py"))
    unknown = sorted({*names} - {*own})
    if unknown:
        sys.exit(f"no bench {', '.join(unknown)}; there are: {', '.join(own)}")
    print(f"{'script':10} {'figure':32} {'measured':>9}  {'asked':>7}", flush=True)
    for script in names or own:
        own_figures = [figure for figure in FIGURES if figure.script == script]
        if not own_figures:
            print(f"{script:10} not run: it prints no ratio", flush=True)
            continue
        text, wrong = lines_of(script)
        for figure in own_figures:
            print(row(figure, text, wrong), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
