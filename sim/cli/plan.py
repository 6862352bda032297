"""`evenfall plan HOUSE SCHEME…`: supplies, feeds, cuts, wires and fuses at least cost."""

from __future__ import annotations

from enum import StrEnum
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    WRONG,
    HouseArgument,
    JsonFlag,
    PartsOption,
    SecondsOption,
    announce_compiling,
    console,
    fail,
    parse_share,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
)
from sim.cli.plan_options import (
    RESULTS,
    Asked,
    ClusterOption,
    DensitiesOption,
    KindsOption,
    SeasonOption,
    show_or_sweep,
)

if TYPE_CHECKING:
    from layouts.records import House
    from sim.parts import Parts
    from sim.plan.plan import Plan, Wanted
    from sim.report.plan_report import PlanReport
    from sim.scan import Scan

_HOUSES, _PICTURES = (".yaml", ".yml"), (".png",)
#: [°C] that copper in the open may be taken to have.
_COLDEST, _HOTTEST = -60.0, 120.0


class LoadChoice(StrEnum):
    """What a plan is made for."""

    full = "full"
    schemes = "schemes"


def plan(
    house: HouseArgument,
    schemes: Annotated[
        list[Path] | None,
        typer.Argument(metavar="SCHEME...", help="Scheme files: the load to design for."),
    ] = None,
    parts: PartsOption = None,
    load: Annotated[
        LoadChoice | None,
        typer.Option(
            "--for", help="Every channel full, or the schemes. Left out: schemes where given."
        ),
    ] = None,
    brightness: Annotated[
        float | None,
        typer.Option(
            "--brightness", parser=parse_share, metavar="SHARE", help="Instead of the scheme's own."
        ),
    ] = None,
    drop: Annotated[
        float,
        typer.Option(
            "--drop", parser=parse_share, metavar="SHARE", help="May be lost on the way, to 10%."
        ),
    ] = 0.10,
    between: Annotated[
        tuple[float, float] | None,
        typer.Option("--between", metavar="COLD HOT", help="°C of the wiring, e.g. -20 35."),
    ] = None,
    sure: Annotated[
        float | None,
        typer.Option(
            "--sure",
            parser=parse_share,
            metavar="SHARE",
            help="Keep every limit with this probability, whatever the parts are like: 95%.",
        ),
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="Throw away what is wired and plan all of it.")
    ] = False,
    write: Annotated[
        bool, typer.Option("--write", help="Put the plan into the house file.")
    ] = False,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="A new house file .yaml, or a picture .png."),
    ] = None,
    seconds: SecondsOption = None,
    kinds: KindsOption = None,
    density: DensitiesOption = None,
    season: SeasonOption = None,
    cluster: ClusterOption = None,
    json: JsonFlag = False,
) -> None:
    """The cheapest wiring found that keeps every limit, why it is so, and how near to least."""
    if kinds or density or cluster or season or (out is not None and out.suffix == RESULTS):
        if write or (brightness == 0):
            what = "--write takes one plan, not several" if write else "a brightness of 0 is dark"
            fail(f"evenfall plan: {what}; leave it out")
        if sure is not None:
            fail("evenfall plan: --sure serves one plan, not options side by side; leave it out")
        wanted = _wanted(drop, between, True)
        rules = (("most_drop", wanted.rules.most_drop),)
        show_or_sweep(
            (house, *(schemes or ())), kinds or [], density or [],
            Asked(parts, (), brightness, seconds, between, rules, json),
            full=load is LoadChoice.full, season=season, out=out, cluster=cluster,
        )  # fmt: skip
        return
    will_write(out, endings=(*_HOUSES, *_PICTURES), inputs=(house, *(schemes or ()), parts))
    if write:
        will_write(house, endings=(house.suffix.lower(),))
    if write and out is not None and out.suffix.lower() in _HOUSES:
        fail("evenfall plan: --write and --out FILE.yaml both write the house; give one of them")
    wanted = _wanted(drop, between, anew, sure)
    asked = load or (LoadChoice.schemes if schemes else LoadChoice.full)
    if asked is LoadChoice.schemes and not schemes:
        fail("evenfall plan: --for schemes needs a scheme file; name one, or write --for full")
    if brightness == 0:
        fail("evenfall plan: a brightness of 0 lights nothing; write more than 0")
    if out is not None and out.suffix.lower() in _PICTURES:
        _can_draw(out)
    from layouts.files.writeback import digest_of

    digest = digest_of(house)
    report = _report(house, schemes or [], parts, asked, brightness, wanted, seconds, json, out)
    picture = _picture(report.plan, out)
    if write or (out is not None and out.suffix.lower() in _HOUSES):
        from sim.plan.write import write_plan

        write_plan(report.plan, house, expected=digest, to=None if write else out)
        say(f"wrote {house if write else out}")
    if picture is not None and out is not None:
        write_out(out, picture)
        say(f"wrote {out}")
    if json:
        from sim.report.plan_data import as_json

        print_json(as_json(report))
    else:
        from sim.report.plan_text import plan_blocks
        from sim.report.terminal import print_blocks

        print_blocks(console(), plan_blocks(report))


def _wanted(
    drop: float, between: tuple[float, float] | None, anew: bool, sure: float | None = None
) -> Wanted:
    """What the plan has to keep; refuses what makes no sense."""
    from sim.plan.plan import Wanted
    from sim.plan.records import Rules

    if not 0.005 <= drop <= 0.10:
        fail(
            f"evenfall plan: a --drop of {drop:.1%} cannot be planned for; write 0.5% to 10%:"
            " beyond that 'check' warns of it"
        )
    if between is not None:
        cold, hot = between
        if not _COLDEST <= cold <= hot <= _HOTTEST:
            fail(
                f"evenfall plan: --between {cold:g} {hot:g} makes no sense; write the coldest"
                f" first, {_COLDEST:g} to {_HOTTEST:g} °C"
            )
    if sure is not None:
        from layouts.errors import EvenfallError
        from sim.plan.sure import check_share

        try:
            check_share(sure)
        except EvenfallError as error:
            fail(f"evenfall plan: --sure: {error}")
    return Wanted(Rules(most_drop=drop), between, anew, sure)


def _report(
    house: Path,
    schemes: list[Path],
    parts: Path | None,
    asked: LoadChoice,
    brightness: float | None,
    wanted: Wanted,
    seconds: float | None,
    json: bool,
    out: Path | None,
) -> PlanReport:
    """The plan, looked at from all sides; ends with status 2 where there is none."""
    announce_compiling()
    from effects import load_scheme
    from layouts import load_house
    from layouts.errors import EvenfallError, InputError
    from sim.plan.loadcase import full_codes
    from sim.plan.plan import plan_house
    from sim.plan.proposal import Infeasible
    from sim.plan.shows import plan_for
    from sim.report.plan_report import plan_report

    bare = load_house(house)
    will_write(out, endings=(*_HOUSES, *_PICTURES), inputs=read_beside(bare))
    shown = [load_scheme(path, bare) for path in schemes]
    bought = _parts(parts, bare)
    try:
        with progress(f"planning {bare.name}") as told:
            watched: tuple[Scan, ...] = ()
            if asked is LoadChoice.full:
                codes = full_codes(bare, 1.0 if brightness is None else brightness)
                made = plan_house(bare, codes, bought, wanted, told)
            else:
                made, watched = plan_for(
                    bare, shown, bought, wanted,
                    brightness=brightness, seconds=seconds, progress=told,
                )  # fmt: skip
    except Infeasible as error:
        if json:
            from sim.report.plan_data import infeasible_json

            kinds = ", ".join(dict.fromkeys(run.kind.name for run in bare.runs))
            print_json(infeasible_json(bare.name, kinds, str(error)))
        say(f"{house}: {error}")
        raise typer.Exit(WRONG) from None
    except InputError:
        raise
    except EvenfallError as error:
        fail(f"{house}: {error}")
    with progress(f"checking the plan of {bare.name}") as told:
        return plan_report(made, asked.value, brightness, watched, told)


def _parts(path: Path | None, house: House) -> Parts:
    from sim.parts import load_parts, parts_beside

    return load_parts(path, house) if path else parts_beside(house)


def _can_draw(out: Path) -> None:
    """Refuses a picture before long work, where there is nothing to draw it with."""
    from importlib.util import find_spec

    if find_spec("sim.report.plan_picture") is None:
        fail(f"{out}: plans cannot be drawn by this version; end the name in .yaml")


def _picture(made: Plan, out: Path | None) -> bytes | None:
    """The plan over its house as a PNG, where `out` asks for one."""
    if out is None or out.suffix.lower() not in _PICTURES:
        return None
    from importlib import import_module

    stream = BytesIO()
    import_module("sim.report.plan_picture").plan_picture(made).save(stream, format="PNG")
    return stream.getvalue()
