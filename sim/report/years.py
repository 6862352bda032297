"""A house after some years: light left, colours, supplies; and the picture of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from layouts.records import House, Run
from sim.frame import Rig, relight, scene
from sim.light import USUAL_HOUR, picture
from sim.report.blocks import Block, Table, columns, note, row, section
from sim.report.pair_sheet import pair_sheet
from sim.report.text import percent
from sim.upkeep.ageing import (
    ChannelAged,
    aged,
    channels_aged,
    coat_by_day,
    supply_years,
)
from sim.upkeep.rates import Rates

#: A shift that people begin to see side by side [Δu'v'], from memory: four steps of MacAdam.
VISIBLE_UV = 0.004


@dataclass(frozen=True, eq=False)
class AfterYears:
    """A house after some years, run by run of those that age alike."""

    years: float
    hours: float  # lit
    runs: tuple[tuple[Run, tuple[ChannelAged, ...]], ...]  # one run of each kind and cover
    by_day: tuple[float, float]  # Δu'v' of the unlit coat over white, least and most
    supplies_years: float
    air_c: float


def after_years(house: House, years: float, rates: Rates, air_c: float = 20.0) -> AfterYears:
    """What is left after `years`, the supplies in air of `air_c` [°C]."""
    alike: dict[tuple[str, str], Run] = {}
    for run in house.runs:
        alike.setdefault((run.kind.name, run.profile.name), run)
    ends = [
        coat_by_day(run, years, rates, end).shift_uv[0]
        for run in alike.values()
        for end in ("least", "most")
    ]
    return AfterYears(
        years=years,
        hours=years * rates.led.hours_per_year,
        runs=tuple((run, channels_aged(run, years, rates)) for run in alike.values()),
        by_day=(min(ends), max(ends)),
        supplies_years=supply_years(air_c, rates),
        air_c=air_c,
    )


def years_blocks(after: AfterYears) -> Iterator[Block]:
    """Light and colour left, channel by channel."""
    rows = [
        row(
            f"{run.kind.name}, {run.profile.name}" if number == 0 else "",
            each.channel,
            f"{percent(each.light[0])} to {percent(each.light[1])}",
            f"{each.shift_uv[1]:.4f} to {each.shift_uv[0]:.4f}",
        )
        for run, channels in after.runs
        for number, each in enumerate(channels)
    ]
    low, high = after.by_day
    yield section(
        f"After {after.years:g} years, {after.hours:.0f} hours lit",
        Table(columns("", "channel", ">light left", ">colour moves Δu'v'"), tuple(rows)),
        note(
            f"seen by day, the coat over something white moves {low:.3f} to {high:.3f};"
            f" {VISIBLE_UV:g} is seen side by side. {_verdict(after)}"
        ),
        note(
            "rates are assumed, no test of addressable parts is known; '--rates FILE' takes your"
            f" own. The supplies' capacitors last {after.supplies_years:.0f} years in air of"
            f" {after.air_c:g} °C, if nothing else fails first"
        ),
    )


def _verdict(after: AfterYears) -> str:
    """Whether the colours inside the coat move, in words."""
    single = [e.shift_uv[0] for _, each in after.runs for e in each if e.channel in "rgb"]
    mixed = [e.shift_uv[0] for _, each in after.runs for e in each if e.channel not in "rgb"]
    if not single:
        return ""
    still = max(single) < VISIBLE_UV
    said = (
        "Red, green and blue keep their colour behind it, each is too narrow to be tinted, and"
        " blue grows weaker"
        if still
        else "At these rates even single colours are seen to move"
    )
    if mixed and max(mixed) >= VISIBLE_UV:
        said += "; what is mixed of them, white most, grows yellower"
    return said + "."


def years_json(after: AfterYears) -> dict[str, Any]:
    """The same as plain data; bands are least and most."""
    return {
        "years": after.years,
        "hours": after.hours,
        "runs": [
            {
                "kind": run.kind.name,
                "profile": run.profile.name,
                "channels": {
                    each.channel: {
                        "light_band": each.light,
                        "shift_uv_band": sorted(each.shift_uv),
                    }
                    for each in channels
                },
            }
            for run, channels in after.runs
        ],
        "by_day_shift_uv_band": after.by_day,
        "supplies_years": after.supplies_years,
    }


def today_and_then(
    rig: Rig,
    light: np.ndarray,
    years: float,
    rates: Rates,
    *,
    size_px: tuple[int, int],
    hour: str = USUAL_HOUR,
    exposure_ev: float | None = None,
) -> bytes:
    """PNG of the house today and after `years`, one above the words of each, at one exposure.

    `light` (N, C) is what each pixel shows; years take nothing from its current.
    """
    today = scene(rig.house, size_px, hour)
    then = aged(rig.house, years, rates)
    later = relight(today, then.house, then.through)
    ev = today.exposure_ev if exposure_ev is None else exposure_ev
    halves = [picture(each, light, exposure_ev=ev) for each in (today, later)]
    words = ("today", f"after {years:g} years, rates in the middle of their ranges")
    return pair_sheet(halves, words, f"one exposure, {ev:+.1f} EV")
