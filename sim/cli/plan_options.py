"""`evenfall plan` with `--kinds`: options of one house side by side, or a sweep over many.

The verb hands over here as soon as kinds, densities or more than one house are named.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any

import typer

from sim.cli.common import (
    announce_compiling,
    console,
    fail,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
)

KindsOption = Annotated[
    list[str] | None,
    typer.Option("--kinds", metavar="KIND KIND…", help="Kinds to plan with, side by side."),
]
DensitiesOption = Annotated[
    list[float] | None,
    typer.Option(
        "--density", metavar="N", help="Pixels a metre, for every kind; may stand several times."
    ),
]
SeasonOption = Annotated[
    Path | None,
    typer.Option("--season", metavar="FILE", help="Energy as this season lights the house."),
]
ClusterOption = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", help="Sweep on a Dask cluster: tcp://HOST:PORT."),
]
#: What `--out` may be: a picture of the options, or the results of a sweep.
PICTURE, RESULTS = ".png", ".jsonl"


@dataclass(frozen=True)
class Asked:
    """What the verb was asked beside houses and kinds."""

    parts: Path | None = None
    schemes: tuple[Path, ...] = ()  # none: every channel full
    brightness: float | None = None
    seconds: float | None = None
    between_c: tuple[float, float] | None = None
    rules: tuple[tuple[str, float], ...] = ()  # of `sim.plan.records.Rules`
    as_json: bool = False


def show_or_sweep(
    files: Sequence[Path],
    kinds: Sequence[str],
    densities: Sequence[float],
    asked: Asked,
    *,
    full: bool,
    season: Path | None,
    out: Path | None,
    cluster: str | None,
) -> None:
    """Options of one house, or a sweep: of several, on a cluster, or kept in a file of results.

    `files` are houses and schemes; `full`: every channel full, whatever schemes there are.
    """
    houses, schemes = sorted_files(files)
    if not houses:
        fail(f"evenfall plan: none of {', '.join(map(str, files))} is a house; name one")
    asked = replace(asked, schemes=() if full else tuple(schemes))
    if len(houses) == 1 and cluster is None and (out is None or out.suffix.lower() != RESULTS):
        show_options(houses[0], kinds, densities, asked, season, out)
        return
    if season is not None:
        fail("evenfall plan: --season is for the options of one house; leave it out of a sweep")
    run_sweep(houses, kinds, densities, asked, out, cluster)


def sorted_files(files: Sequence[Path]) -> tuple[list[Path], list[Path]]:
    """Houses and schemes among `files`, by the format that each says it has.

    What says it is something else, as a parts file caught by `*.yaml`, is left out with a remark;
    what says nothing counts as a house, and is told as one that cannot be read.
    """
    found: dict[str, list[Path]] = {"house": [], "scheme": []}
    for path in files:
        try:
            text = path.read_text(encoding="utf-8", errors="replace")
        except OSError:
            text = ""
        said = re.search(r"^format:\s*[\"']?evenfall-(\w+)/", text, re.MULTILINE)
        what = said[1] if said else "house"
        if what in found:
            found[what].append(path)
        else:
            say(f"{path} is a file of {what}: left out")
    return found["house"], found["scheme"]


def show_options(
    house: Path,
    kinds: Sequence[str],
    densities: Sequence[float],
    asked: Asked,
    season: Path | None = None,
    out: Path | None = None,
) -> None:
    """Options of one house: table or JSON, and their picture in `out`."""
    will_write(out, endings=(PICTURE,), inputs=(house, asked.parts, season, *asked.schemes))
    announce_compiling()
    from effects import load_scheme
    from layouts import load_house
    from sim.parts import load_parts, parts_beside
    from sim.plan.plan import Wanted
    from sim.plan.records import Rules
    from sim.report.plan_options import PlannedLoad, chosen, options
    from sim.report.plan_options_json import options_json
    from sim.report.plan_options_text import options_blocks
    from sim.report.terminal import print_blocks

    built = load_house(house)
    will_write(out, endings=(PICTURE,), inputs=read_beside(built))
    parts = load_parts(asked.parts, built) if asked.parts else parts_beside(built)
    schemes = tuple(load_scheme(each, built) for each in asked.schemes)
    load = PlannedLoad(schemes, not schemes, asked.brightness, asked.seconds)
    names = kinds or list(dict.fromkeys(run.kind.name for run in built.runs))
    rules: Any = dict(asked.rules)
    wanted = Wanted(rules=Rules(**rules), between_c=asked.between_c, anew=True)
    year = _year(season, built)
    with progress("planning") as report:
        made = options(built, load, chosen(names, densities, built), parts, wanted, year, report)
    if out is not None:
        from sim.report.plan_options_picture import options_png

        write_out(out, options_png(built.name, load, made))
        say(f"wrote {out}")
    if asked.as_json:
        print_json({"house": built.name, "options": options_json(made)})
        return
    print_blocks(console(), options_blocks(built.name, load, made))


def run_sweep(
    houses: Sequence[Path],
    kinds: Sequence[str],
    densities: Sequence[float],
    asked: Asked,
    out: Path | None = None,
    cluster: str | None = None,
) -> None:
    """Every house with every kind at every density; finished results are kept in `out`."""
    will_write(out, endings=(RESULTS,), inputs=(*houses, asked.parts, *asked.schemes))
    if not kinds:
        fail("evenfall plan: several houses are compared by kind; write --kinds A B")
    announce_compiling()
    from sim.report.plan_sweep import Job, jobs_of, results_in, sweep
    from sim.report.plan_sweep_text import by_price, sweep_blocks
    from sim.report.terminal import print_blocks

    like = Job(
        house="",
        kind="",
        parts=None if asked.parts is None else str(asked.parts.absolute()),
        schemes=tuple(str(each.absolute()) for each in asked.schemes),
        brightness=asked.brightness,
        seconds=asked.seconds,
        between_c=asked.between_c,
        rules=asked.rules,
    )
    jobs = jobs_of([str(each.absolute()) for each in houses], kinds, densities, like)
    before = 0 if out is None else len(results_in(out))
    if before:
        say(f"{out} holds {before} results; what it has is not worked out again")
    try:
        with progress("sweeping") as report:
            lines = sweep(jobs, out, cluster=cluster, progress=report)
    except KeyboardInterrupt:
        if out is not None:
            say(f"{out} keeps {len(results_in(out))} results; the same command goes on from there")
        raise
    if asked.as_json:
        print_json({"options": by_price(lines)})
        return
    print_blocks(console(), sweep_blocks(lines))


def _year(season: Path | None, house: Any) -> Any:
    """The season planned for this year, or None."""
    if season is None:
        return None
    from datetime import datetime

    from sim.season import load_season, plan

    year = datetime.now().year
    return plan(load_season(season, house, year=year), year)
