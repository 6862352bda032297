"""`evenfall render HOUSE SCHEME`: pictures, films and figures, without a window."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sim.cli.common import (
    AgeOption,
    GroundOption,
    HouseArgument,
    JsonFlag,
    RatesOption,
    SizeOption,
    TemperatureOption,
    announce_compiling,
    check_ground,
    console,
    fail,
    parse_share,
    parse_time_s,
    print_json,
    progress,
    read_beside,
    say,
    will_write,
    write_out,
    writing,
)
from sim.cli.probes import place_text, places_of

if TYPE_CHECKING:
    from layouts.records import House
    from sim.light import Obtrusive, Probe


def render(
    house: HouseArgument,
    scheme: Annotated[
        Path | None, typer.Argument(metavar="SCHEME", help="The scheme file; not for --sheet.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help=".png, .gif, .webp or .mp4")
    ] = None,
    at: Annotated[
        float, typer.Option("--at", parser=parse_time_s, metavar="TIME", help="When, e.g. 3s.")
    ] = 0.0,
    seconds: Annotated[
        float | None,
        typer.Option("--seconds", parser=parse_time_s, metavar="TIME", help="Length of a film."),
    ] = None,
    size: SizeOption = None,
    hour: Annotated[
        str, typer.Option("--hour", metavar="NAME", help="dusk, evening or late")
    ] = "late",
    ground: GroundOption = None,
    bounces: Annotated[
        int | None,
        typer.Option(
            "--bounces",
            min=0,
            max=2,
            help="How often light goes on between wall, soffit and ground; left out: the file's.",
        ),
    ] = None,
    fps: Annotated[
        float | None, typer.Option("--fps", min=1, max=120, help="Frames a second of a film.")
    ] = None,
    brightness: Annotated[
        float | None,
        typer.Option(
            "--brightness",
            parser=parse_share,
            metavar="SHARE",
            help="0 to 1 or 60%, in place of the scheme's own.",
        ),
    ] = None,
    exposure: Annotated[
        float | None,
        typer.Option("--exposure", min=-10, max=20, metavar="EV", help="Left out: the scene's."),
    ] = None,
    temperature: TemperatureOption = None,
    age: AgeOption = None,
    rates: RatesOption = None,
    sheet: Annotated[
        bool, typer.Option("--sheet", help="All schemes beside the house file on one picture.")
    ] = False,
    probe: Annotated[
        list[str] | None,
        typer.Option(
            "--probe",
            metavar="X,Y",
            help="cd/m² and lux there, in the house's units or with units; may be given again.",
        ),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Pictures and films of a lit house, and its light in cd/m² and lux."""
    from sim.compiling import share_compiling

    if out is not None:
        share_compiling("file")
    from sim.film_files import ENDINGS, known

    asked = probe or []
    will_write(out, endings=ENDINGS, inputs=(house, scheme))
    suffix = known(out) if out is not None else ".png"
    _refuse(scheme, out, seconds, suffix, sheet, bool(asked) or json)
    _refuse_years(temperature, age, rates, seconds, suffix, sheet)
    announce_compiling()
    from effects import bind, load_scheme
    from layouts import load_house
    from layouts.ground import with_bounces, with_ground
    from sim.frame import frame, relight, rig_for, scene
    from sim.light import HOURS, obtrusive
    from sim.light import probe as probe_at
    from sim.light.photo_shape import usual_size

    if hour not in HOURS:
        fail(f"there is no hour '{hour}'; choose {', '.join(HOURS)}")
    check_ground(ground)
    lit_house = with_bounces(with_ground(load_house(house), ground), bounces)
    size = usual_size(lit_house) if size is None else size
    places = places_of(asked, lit_house.units)
    will_write(out, endings=ENDINGS, inputs=read_beside(lit_house))
    if sheet:
        assert out is not None
        _write_sheet(out, house, lit_house, size, hour, at, exposure)
        return
    assert scheme is not None
    loaded = load_scheme(scheme, lit_house)
    show, rig = bind(lit_house, loaded), rig_for(lit_house, loaded)
    night = scene(lit_house, size, hour)
    if temperature is not None:
        from sim.upkeep.rates import load_rates
        from sim.upkeep.weather import rig_at

        rig = rig_at(rig, temperature, load_rates(rates))
        night = relight(night, rig.house)
        # that of 25 °C, to be compared with
        exposure = night.exposure_ev if exposure is None else exposure
    if out is not None and age is not None:
        from sim.report.years import today_and_then
        from sim.upkeep.rates import load_rates

        lit = frame(rig, show, at, brightness).light
        decay = load_rates(rates)
        write_out(out, today_and_then(
            rig, lit, age, decay, size_px=size, hour=hour, exposure_ev=exposure
        ))  # fmt: skip
        say(f"wrote {out}")
    elif out is not None:
        from sim.films import Film

        how = Film(rig, show, night, brightness, exposure)
        with progress(f"rendering {out.name}") as report, writing(out) as file:
            how.write(file, suffix, seconds, at_s=at, fps=fps, progress=report)
        say(f"wrote {out}")
    if not asked and not json:
        return
    lit = frame(rig, show, at, brightness).light
    near, probes = obtrusive(night, lit), []
    for text, place in zip(asked, places, strict=True):
        try:
            probes.append(probe_at(night, lit, place))
        except ValueError as error:
            fail(f"--probe {text}: {error}")
    if not json:
        _print(probes, near, lit_house.units)
        return
    facts: dict[str, Any] = {
        "house": lit_house.name,
        "scheme": loaded.name,
        "at_s": at,
        "hour": hour,
        "sun_deg": HOURS[hour].sun_deg,
        "size_px": list(size),
        "exposure_ev": night.exposure_ev if exposure is None else exposure,
        "obtrusive": near,
    }
    if probes:
        facts |= {"probe": probes[0], "probes": probes}
    print_json(facts)


def _refuse(
    scheme: Path | None,
    out: Path | None,
    seconds: float | None,
    suffix: str,
    sheet: bool,
    asks_figures: bool,
) -> None:
    """End with status 2 where the options do not go together."""
    from sim.film_files import STILL
    from sim.films import LONGEST_S

    if sheet and (out is None or suffix not in STILL):
        fail("--sheet needs --out with a name that ends in .png")
    if sheet and (scheme is not None or asks_figures):
        fail("--sheet shows every scheme; leave the scheme, --probe and --json out")
    if not sheet and scheme is None:
        fail("name a scheme file, or use --sheet for all schemes beside the house file")
    if out is None and not asks_figures:
        fail("nothing to do: give --out FILE, --probe X,Y or --json")
    if seconds is not None and (out is None or suffix in STILL):
        fail("--seconds is for films: end --out in .gif, .webp or .mp4")
    if seconds is not None and not 0 < seconds <= LONGEST_S:
        fail(f"--seconds must be above 0 and at most {LONGEST_S:g}")


def _refuse_years(
    temperature: float | None,
    age: float | None,
    rates: Path | None,
    seconds: float | None,
    suffix: str,
    sheet: bool,
) -> None:
    """End with status 2 where years or weather are asked of what shows none."""
    from sim.film_files import STILL

    if age is not None and (suffix not in STILL or seconds is not None):
        fail("--age shows today and then side by side; end --out in .png")
    if sheet and (age is not None or temperature is not None):
        fail("--sheet shows every scheme as it is today; leave --age and --temperature out")
    if rates is not None and age is None and temperature is None:
        fail("--rates serves --age and --temperature; give one of them")


def _write_sheet(
    out: Path,
    house_path: Path,
    house: House,
    size_px: tuple[int, int],
    hour: str,
    at_s: float,
    exposure_ev: float | None,
) -> None:
    """Every scheme beside the house file on one PNG."""
    from effects import load_scheme
    from layouts.file_names import SCHEMES
    from sim.report.contact_sheet import contact_sheet

    files = sorted(house_path.parent.glob(SCHEMES))
    if not files:
        fail(f"there is no {SCHEMES} beside {house_path}")
    schemes = [load_scheme(file, house) for file in files]
    with progress("lighting every scheme") as report:
        page = contact_sheet(
            house,
            schemes,
            size_px,
            hour=hour,
            at_s=at_s,
            exposure_ev=exposure_ev,
            progress=report,
        )
        write_out(out, page.png())
    say(f"wrote {out}")


def _print(probes: list[Probe], near: Obtrusive, units: str) -> None:
    """The figures as lines a person reads, with the limits beside them."""
    from rich.table import Table

    from layouts.units import length_text

    out = console()
    for got in probes:
        material = f" ({got.material})" if got.material else ""
        dark = got.luminance_dark_cd_m2
        out.print(f"{place_text((got.x_m, got.y_m), units)}: {got.surface or 'sky'}{material}")
        out.print(f"  {got.illuminance_lx:.3g} lx from the pixels")
        out.print(f"  {got.luminance_cd_m2:.3g} cd/m² seen, {dark:.3g} cd/m² with the pixels dark")
    out.print(
        f"façade {near.facade_mean_cd_m2:.3g} cd/m² on average; "
        f"{near.window_lx:.3g} lx on a window {length_text(near.viewer_m, units)} opposite, "
        "direct light only"
    )
    table = Table("zone", "", "window lx", "after curfew", "façade cd/m²", box=None)
    for zone in near.zones:
        table.add_row(
            zone.zone,
            zone.meaning,
            _limit(zone.window_before_curfew_lx, zone.window_before_curfew_ok),
            _limit(zone.window_after_curfew_lx, zone.window_after_curfew_ok),
            _limit(zone.facade_cd_m2, zone.facade_ok),
        )
    out.print("most that CIE 150 and ILP GN01 allow (second hand, façade from memory):")
    out.print(table)


def _limit(value: float | None, within: bool | None) -> str:
    return "–" if value is None else f"{value:g} {'kept' if within else 'exceeded'}"
