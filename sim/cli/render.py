"""`evenfall render HOUSE SCHEME`: pictures, films and figures, without a window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
import typer

from sim.cli.common import (
    HouseArgument,
    JsonFlag,
    Progress,
    announce_compiling,
    console,
    fail,
    parse_size_px,
    parse_time_s,
    print_json,
    progress,
    say,
    will_write,
    write_out,
)
from sim.cli.film import STILL, encoded, frame_rate, known

if TYPE_CHECKING:
    from effects import Show
    from sim.frame import Rig
    from sim.light import Scene

LONGEST_S = 600.0  # of a film; more is a mistake or another program's work
BLOCK = 16  # frames computed at once
SAMPLES = 9  # frames looked at for the colours of a film


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
    size: Annotated[
        Any, typer.Option("--size", parser=parse_size_px, metavar="WxH", help="In pixels.")
    ] = "1280x720",
    hour: Annotated[
        str, typer.Option("--hour", metavar="NAME", help="dusk, evening or late")
    ] = "evening",
    fps: Annotated[
        float | None, typer.Option("--fps", min=1, max=120, help="Frames a second of a film.")
    ] = None,
    brightness: Annotated[
        float | None,
        typer.Option("--brightness", min=0, max=1, help="In place of the scheme's own."),
    ] = None,
    exposure: Annotated[
        float | None,
        typer.Option("--exposure", min=-10, max=20, metavar="EV", help="Left out: the scene's."),
    ] = None,
    sheet: Annotated[
        bool, typer.Option("--sheet", help="All schemes beside the house file on one picture.")
    ] = False,
    probe: Annotated[
        str | None,
        typer.Option("--probe", metavar="X,Y", help="cd/m² and lux there; metres, or with units."),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Pictures and films of a lit house, and its light in cd/m² and lux."""
    place = _place(probe) if probe is not None else None
    suffix = known(out) if out is not None else ".png"
    _refuse(scheme, out, seconds, suffix, sheet, place is not None or json)
    will_write(out)
    announce_compiling()
    from effects import bind, load_scheme
    from effects.course import frame_count
    from layouts import load_house
    from sim.frame import frame, rig_for, scene
    from sim.light import HOURS, obtrusive
    from sim.light import probe as probe_at

    if hour not in HOURS:
        fail(f"there is no hour '{hour}'; choose {', '.join(HOURS)}")
    lit_house = load_house(house)
    if sheet:
        from sim.cli.sheet import contact_sheet

        with progress("lighting every scheme") as report:
            assert out is not None
            write_out(out, contact_sheet(house, lit_house, size, hour, at, exposure, report))
        say(f"wrote {out}")
        return
    assert scheme is not None
    loaded = load_scheme(scheme, lit_house)
    show, rig = bind(lit_house, loaded), rig_for(lit_house, loaded)
    night = scene(lit_house, size, hour)
    if out is not None:
        rate = frame_rate(suffix, fps, show.fps)
        count = 1 if suffix in STILL else frame_count(seconds or _length_s(show), rate)
        times = at + np.arange(count) / rate
        with progress(f"rendering {out.name}") as report:
            how = Film(rig, show, night, brightness, exposure)
            colours = how.sample(times) if suffix == ".gif" else None
            write_out(out, encoded(suffix, how.frames(times, report), rate, colours))
        say(f"wrote {out}")
    if place is None and not json:
        return
    lit = frame(rig, show, at, brightness).light
    facts: dict[str, Any] = {
        "house": lit_house.name,
        "scheme": loaded.name,
        "at_s": at,
        "hour": hour,
        "sun_deg": HOURS[hour].sun_deg,
        "size_px": list(size),
        "exposure_ev": night.exposure_ev if exposure is None else exposure,
        "obtrusive": obtrusive(night, lit),
    }
    if place is not None:
        try:
            facts["probe"] = probe_at(night, lit, place)
        except ValueError as error:
            fail(f"--probe {probe}: {error}")
    if json:
        print_json(facts)
    else:
        _print(facts)


def _refuse(
    scheme: Path | None,
    out: Path | None,
    seconds: float | None,
    suffix: str,
    sheet: bool,
    asks_figures: bool,
) -> None:
    """End with status 2 where the options do not go together."""
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


def _length_s(show: Show) -> float:
    """A film without `--seconds` shows one period, or ten seconds of what never repeats."""
    return min(show.period_s or 10.0, 60.0)


def _place(text: str) -> tuple[float, float]:
    """`2.5,1.2` in metres, or lengths with their own units: `8 ft,4 ft 6 in` -> (x, y) [m]."""
    from layouts.units import length_m

    try:
        x, y = (length_m(_number(part)) for part in text.split(","))
    except ValueError:
        fail(f"--probe {text}: write it as X,Y in metres or with units, e.g. 2.5,1.2 or 8 ft,4 ft")
    return x, y


def _number(text: str) -> float | str:
    """A bare number as one, anything else as it is."""
    try:
        return float(text)
    except ValueError:
        return text


@dataclass(frozen=True)
class Film:
    """What the frames of a film have in common."""

    rig: Rig
    show: Show
    night: Scene
    brightness: float | None
    exposure_ev: float | None

    def frames(self, times_s: np.ndarray, report: Progress | None = None) -> Iterator[np.ndarray]:
        """The pictures at those times, one after the other."""
        from sim.frame import frame
        from sim.light import picture

        for first in range(0, len(times_s), BLOCK):
            block = times_s[first : first + BLOCK]
            lights = frame(self.rig, self.show, block, self.brightness).light
            for number, light in enumerate(lights, start=first + 1):
                yield picture(self.night, light, exposure_ev=self.exposure_ev)
                if report is not None:
                    report(number, len(times_s))

    def sample(self, times_s: np.ndarray) -> np.ndarray:
        """A few frames spread over the film, small, one above the other."""
        some = times_s[:: -(-len(times_s) // SAMPLES)]
        return np.concatenate([picture[::4, ::4] for picture in self.frames(some)])


def _print(facts: dict[str, Any]) -> None:
    """The figures as lines a person reads, with the limits beside them."""
    from rich.table import Table

    out = console()
    got, near = facts["probe"], facts["obtrusive"]
    what = got["surface"] or "sky"
    material = f" ({got['material']})" if got["material"] else ""
    out.print(f"{got['x_m']:g}, {got['y_m']:g} m: {what}{material}")
    out.print(f"  {got['illuminance_lx']:.3g} lx from the pixels")
    dark = got["luminance_dark_cd_m2"]
    out.print(f"  {got['luminance_cd_m2']:.3g} cd/m² seen, {dark:.3g} cd/m² with the pixels dark")
    out.print(
        f"façade {near['facade_mean_cd_m2']:.3g} cd/m² on average; "
        f"{near['window_lx']:.3g} lx on a window {near['viewer_m']:g} m opposite, direct light only"
    )
    table = Table("zone", "", "window lx", "after curfew", "façade cd/m²", box=None)
    for zone in near["zones"]:
        table.add_row(
            zone["zone"],
            zone["meaning"],
            _limit(zone["window_before_curfew_lx"], zone["window_before_curfew_ok"]),
            _limit(zone["window_after_curfew_lx"], zone["window_after_curfew_ok"]),
            _limit(zone["facade_cd_m2"], zone["facade_ok"]),
        )
    out.print("most that CIE 150 and ILP GN01 allow (second hand, façade from memory):")
    out.print(table)


def _limit(value: float | None, within: bool | None) -> str:
    return "–" if value is None else f"{value:g} {'kept' if within else 'exceeded'}"
