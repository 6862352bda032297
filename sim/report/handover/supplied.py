"""Supplies: where they and controllers hang, what they give, and what they take from the mains."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from layouts.calibration import curve, sheet_curve
from layouts.files.document import read
from layouts.ratings import rating_text
from layouts.records import House, Spot
from sim.plan.boxes import hung
from sim.report.handover.doc import Grid, cols
from sim.report.handover.facts import Handover
from sim.report.lengths import laid_text
from sim.report.text import number, percent


@dataclass(frozen=True)
class MainsLoad:
    """What one supply takes from the mains [W]: at the peak, everything full, at its rating.

    `amps_full` and `amps_rated`: the last two as [A], one for each of `mains_v`, with a power
    factor of 1.
    """

    supply: str
    efficiency: float | None  # None: a curve was measured
    no_load_w: float
    peak_w: float
    full_w: float
    rated_w: float
    mains_v: tuple[float, ...]
    amps_full: tuple[float, ...]
    amps_rated: tuple[float, ...]


def mains_volts(house: House, season_country: str = "") -> tuple[float, ...]:
    """Nominal volts of the mains where the house stands; both usual ones where not known."""
    country = (house.location.country if house.location else season_country)[:2].upper()
    by_country = {name: row["volts"] for row in mains_rows() for name in row["countries"].split()}
    every = sorted({float(row["volts"]) for row in mains_rows()})
    return (float(by_country[country]),) if country in by_country else tuple(every)


@cache
def mains_rows() -> tuple[dict[str, Any], ...]:
    """The rows of `mains.yaml`: volts, the countries that have them, the source."""
    return tuple(read(Path(__file__).with_name("mains.yaml")).data)


def _season_country(facts: Handover) -> str:
    return facts.season[0].season.location.country if facts.season else ""


def mains_loads(facts: Handover) -> tuple[MainsLoad, ...]:
    """One a supply: volts times amperes, through its curve or its efficiency."""
    at_v = mains_volts(facts.house, _season_country(facts))
    made = []
    for supply, load in zip(facts.house.supplies, facts.supplies, strict=True):
        own = curve(facts.house, supply)
        given = supply.volts * np.array([load.peak_a, load.full_a, supply.rated_a])
        peak_w, full_w, rated_w = own.mains_w(given).tolist()
        made.append(
            MainsLoad(
                supply.name,
                supply.efficiency if own == sheet_curve(supply) else None,
                own.a_w,
                peak_w,
                full_w,
                rated_w,
                at_v,
                tuple(full_w / volts for volts in at_v),
                tuple(rated_w / volts for volts in at_v),
            )
        )
    return tuple(made)


def boxes_table(facts: Handover) -> Grid | None:
    """Where every supply and controller hangs, in words; None where there is none."""
    house = facts.house
    rows = []
    spots: dict[str, Spot | None] = {each.name: each.at for each in house.supplies}
    outputs: dict[str, Spot | None] = {each.name: each.at for each in house.outputs}
    numbers = {each.name: f"S{n}" for n, each in enumerate(house.supplies, 1)}
    sheltered = {place.name: place.sheltered for place in house.places}
    lost: list[str] = []
    for box in hung(house).boxes:
        if box.form == "controller" and not box.stated:
            lost.append(box.name)
            continue
        if box.form == "junction":
            continue
        supply = box.form == "supply"
        spot = spots[box.name] if supply else outputs[box.name.split(", ")[0]]
        name = f"{numbers[box.name]} {box.name}" if supply else f"controller: {box.name}"
        at = "–" if not box.stated else ", ".join(laid_text(m, house.units) for m in box.xy_m)
        dry = sheltered.get(spot) if isinstance(spot, str) else None
        rows.append(
            (name, _place(spot, box.stated), at, {True: "yes", False: "no", None: "not said"}[dry])
        )
    if lost:
        rows.append((f"controller: {', '.join(lost)}", "not said", "–", "not said"))
    if not rows:
        return None
    return Grid(
        "Where boxes hang",
        cols("Box", "Place", ">At x, y", "Out of the rain"),
        tuple(rows),
        note="Of what is not said the drawing supposes a spot beside the first thing on it.",
    )


def _place(spot: Spot | None, stated: bool) -> str:
    """The name of the place where a box hangs, or which part of it the house file leaves out."""
    return spot if isinstance(spot, str) else "no place named" if stated else "not said"


def supplies_table(facts: Handover) -> Grid:
    """What every supply gives."""
    rows = tuple(
        (
            f"S{n}",
            each.name,
            f"{each.volts:g} V",
            rating_text(each.volts, each.rated_a),
            f"{each.peak_a:.2f} A",
            percent(each.peak_a / each.rated_a),
            each.scheme or "all full",
            f"{each.full_a:.2f} A",
            percent(each.full_a / each.rated_a),
        )
        for n, each in enumerate(facts.supplies, 1)
    )
    heads = cols(
        "|No.", "Supply", ">Volts", ">Rating", ">Peak", ">Load", "In", ">All full", ">Load"
    )
    return Grid("Supplies", heads, rows, note="A load of more than 80 % is too much for hours.")


def mains_table(facts: Handover) -> Grid:
    """What every supply takes from the mains, with room for what only its label says."""
    loads = mains_loads(facts)
    at_v = loads[0].mains_v
    volts = " / ".join(f"{v:g}" for v in at_v)

    def amps(each: tuple[float, ...]) -> str:
        return " / ".join(number(a, 2) for a in each) + " A"

    rows = [
        (
            f"S{n}",
            each.supply,
            "measured" if each.efficiency is None else percent(each.efficiency),
            f"{each.peak_w:.0f} W",
            f"{each.full_w:.0f} W",
            amps(each.amps_full),
            f"{each.rated_w:.0f} W",
            amps(each.amps_rated),
            "",
            "",
        )
        for n, each in enumerate(loads, 1)
    ]
    if len(loads) > 1:
        full, rated = sum(x.full_w for x in loads), sum(x.rated_w for x in loads)
        rows.append(
            (
                "all",
                "together",
                "",
                f"{sum(x.peak_w for x in loads):.0f} W",
                f"{full:.0f} W",
                amps(tuple(full / v for v in at_v)),
                f"{rated:.0f} W",
                amps(tuple(rated / v for v in at_v)),
                "–",
                "–",
            )
        )
    heads = cols(
        "|No.", "Supply", ">Efficiency", ">At the peak", ">All full", f">at {volts} V",
        ">At its rating", f">at {volts} V", "_Inrush", "_IP class",
    )  # fmt: skip
    return Grid("From the mains, by supply", heads, tuple(rows), "small", _mains_note(facts, at_v))


def _mains_note(facts: Handover, at_v: tuple[float, ...]) -> str:
    said = (
        "Watts as the supply's efficiency makes them of what it gives; amperes with a power factor"
        " of 1. A supply without power factor correction has 0.4–0.6 (a maker's user guide"
        " [datasheet]) and takes up to 2.5 times the amperes. Inrush current, IP class and power"
        " factor are not known here: look at the supply's label or sheet, and write them in. When"
        " switched on cold, one enclosed 350 W family takes 60 A for an instant (its sheet of"
        " 2022-08-05 [datasheet]); several at once may trip a breaker, so its kind and size are the"
        " electrician's choice. Lit for three hours or more, a North American circuit is loaded to"
        " 80 % of its breaker at most (NEC 210.20(A)) [standard, transcribed]. Leakage adds up on"
        " one GFCI/RCD: of that family up to 2 mA at 240 V each (the same sheet [datasheet])."
    )
    if len(at_v) > 1:
        house = facts.house
        country = (house.location.country if house.location else _season_country(facts))[:2].upper()
        said += (
            f" The mains volts of country {country} are not known here: the two most usual ones"
            " stand in their place. Amperes at another voltage are the watts divided by it."
            if country
            else " The house file does not say in which country it stands: both usual mains volts."
        )
    return said
