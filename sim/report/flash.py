"""Flash safety of a scheme on a house: WCAG 2.2 limits on the light as seen from the street."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from effects import Scheme
from layouts.finding import Finding
from layouts.records import House
from sim.light.cells import Cells
from sim.light.flash import HOT_AREA_SR, LONG_S, MOST_TRANSITIONS, Verdict
from sim.report.flash_remedy import advice
from sim.report.flashing import Flash, watch_flash

#: A run counts as flashing when a pixel of it is so near a hot cell [m].
_NEAR_M = 0.6


def flash_findings(house: House, scheme: Scheme) -> tuple[Finding, ...]:
    """Findings `flash-general`, `flash-red` and `flash-long` of the scheme on this house.

    Over the limits is a danger and comes with the least slowing that keeps them; over them on a
    small area only, or for long within them, is a note.
    """
    flash = watch_flash(house, scheme)
    found = [finding for verdict in flash.verdicts for finding in _findings(house, flash, verdict)]
    if not flash.passes:
        what = advice(house, scheme, flash)
        found = [
            replace(each, text=f"{each.text}; {what}") if each.level == "danger" else each
            for each in found
        ]
    return tuple(found)


def _findings(house: House, flash: Flash, verdict: Verdict) -> Iterator[Finding]:
    code, watched = f"flash-{verdict.sort}", f"{flash.seconds:.3g} s watched"
    sort = "red flashes" if verdict.sort == "red" else "flashes"
    limit = MOST_TRANSITIONS // 2
    if not verdict.passes:
        share = verdict.area_sr / HOT_AREA_SR
        text = (
            f"{verdict.flashes:g} {sort} in one second, more than {limit}, at"
            f" {verdict.area_time_s:.1f} s over {share:.1f} times the area that WCAG 2.2 allows"
            f" ({watched})"
        )
        yield Finding("danger", code, _where(house, flash.cells, verdict.area_cells), text)
    elif not verdict.passes_strict:
        text = (
            f"{verdict.flashes:g} {sort} in one second at {verdict.time_s:.1f} s, but on"
            f" {verdict.area_sr / HOT_AREA_SR:.2f} of the area that WCAG 2.2 allows ({watched})"
        )
        yield Finding("note", code, _where(house, flash.cells, np.array([verdict.cell])), text)
    if verdict.passes and verdict.long_s > LONG_S:
        text = (
            f"two {sort} a second or more for {verdict.long_s:.0f} s on end: within the limit, yet"
            f" more than {LONG_S:.0f} s may be a risk (ITU-R BT.1702); slow it or let it rest"
        )
        yield Finding("note", "flash-long", "the whole view", text)


def _where(house: House, cells: Cells, which: np.ndarray) -> str:
    """The runs that shine in or next to these cells, else the place on the wall."""
    spots_m = cells.xy_m[which]
    near = [
        run.name
        for run in house.runs
        if np.linalg.norm(house.pixels.xy_m[run.pixels][:, None] - spots_m[None], axis=-1).min(
            initial=np.inf
        )
        < _NEAR_M
    ]
    if near:
        return ", ".join(near)
    x, y = np.median(spots_m, axis=0)
    return f"wall at x {x:.1f} m, y {y:.1f} m"
