"""Readings that no house can give: refused at their line, before anything is fitted."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.calibration import curve
from layouts.errors import InputError, Problem
from layouts.records import CHANNELS, House, Supply
from sim.upkeep.fault_limits import MOST
from sim.upkeep.readings import Reading, Readings

#: Two readings differ for certain where they do by twice the meter's own watts.
_BOTH = 2


def refuse_impossible(readings: Readings, house: House) -> None:
    """Raises InputError with every reading that contradicts another, or the supply."""
    problems: list[Problem] = []
    for supply in house.supplies:
        own = [each for each in readings.readings if each.supply == supply.name]
        slack_w = _BOTH * readings.accuracy.watts
        for wrong, what in (*_against_others(own, slack_w), *_against(supply, own, house)):
            do = "read again; check that only this supply is plugged into the meter"
            problems.append(readings.document.problem(wrong.at, what, do))
    if problems:
        raise InputError(problems)


def _against_others(own: list[Reading], slack_w: float) -> Iterator[tuple[Reading, str]]:
    """What contradicts another reading of the same supply."""
    by_look = {each.lit: each for each in own if each.brightness is None}
    bare, off, full = (by_look.get(lit) for lit in ("unplugged", "off", "all"))
    for each in own:
        if bare is not None and each is not bare and each.watts < bare.watts - slack_w:
            yield each, f"{each.watts:g} W, and the supply alone takes {bare.watts:g} W"
        lit = each.lit not in ("off", "unplugged")
        if lit and off is not None and each.watts < off.watts - slack_w:
            yield each, f"{each.watts:g} W with '{each.lit}', and {off.watts:g} W when off"
        part = each.lit in (*CHANNELS, "half")
        if part and full is not None and each.watts > full.watts + slack_w:
            yield full, f"all of it takes {full.watts:g} W, '{each.lit}' {each.watts:g} W"


def _against(supply: Supply, own: list[Reading], house: House) -> Iterator[tuple[Reading, str]]:
    """What the supply cannot give."""
    law = curve(house, supply)
    most_w = supply.volts * supply.rated_a * MOST
    limit_w = law.a_w + law.b * most_w
    for each in own:
        if each.watts > limit_w:
            yield each, f"{each.watts:g} W is more than {supply.name} can take, {limit_w:.0f} W"
        if each.amps is not None and each.amps * supply.volts > each.watts:
            gives = each.amps * supply.volts
            yield each, f"{each.watts:g} W in, and {gives:.1f} W out: no supply gives more"
