"""Flash safety of a scheme on a house: WCAG 2.2 limits on the light as seen from the street."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from effects import Scheme
from layouts.finding import Finding, Remedy
from layouts.records import House
from sim.light.cells import Cells
from sim.light.flash import HOT_AREA_SR, LONG_S, MOST_TRANSITIONS, FlashVerdict
from sim.report.flash_remedy import changes, slowest_needed
from sim.report.flashing import Flash, watch_flash
from sim.report.lengths import about_text

#: A run counts as flashing when a pixel of it is so near a hot cell [m].
_NEAR_M = 0.6


def flash_findings(house: House, scheme: Scheme) -> tuple[Finding, ...]:
    """Findings `flash-general`, `flash-red` and `flash-long` of the scheme on this house.

    Over the limits is a danger and comes with the least slowing that keeps them; over them on a
    small area only, or for long within them, is a note.
    """
    flash = watch_flash(house, scheme)
    found = [finding for verdict in flash.verdicts for finding in _findings(house, flash, verdict)]
    if flash.passes:
        return tuple(found)
    slower = changes(slowest_needed(house, scheme, flash), scheme)
    remedies = tuple(
        Remedy("slow-layer", f"layer {layer + 1} {name}", value, unit)
        for layer, _, settings in slower
        for name, value, unit, _ in settings
    )
    return tuple(
        replace(
            each,
            remedies=remedies or (Remedy("lower-brightness"), Remedy("nearer-colours")),
            detail={**each.detail, "slower": slower},
        )
        if each.level == "danger"
        else each
        for each in found
    )


def _findings(house: House, flash: Flash, verdict: FlashVerdict) -> Iterator[Finding]:
    code, limit = f"flash-{verdict.sort}", float(MOST_TRANSITIONS // 2)
    told = {
        "sort": verdict.sort,
        "watched_s": flash.seconds,
        "area": verdict.area_sr / HOT_AREA_SR,
    }
    if not verdict.passes:
        yield Finding(
            "danger",
            code,
            _where(house, flash.cells, verdict.area_cells),
            value=verdict.flashes,
            limit=limit,
            unit="flashes/s",
            detail={**told, "time_s": verdict.area_time_s},
        )
    elif not verdict.passes_strict:
        yield Finding(
            "note",
            code,
            _where(house, flash.cells, np.array([verdict.cell])),
            value=verdict.flashes,
            limit=limit,
            unit="flashes/s",
            detail={**told, "time_s": verdict.time_s},
        )
    if verdict.passes and verdict.long_s > LONG_S:
        yield Finding(
            "note",
            "flash-long",
            "the whole view",
            value=verdict.long_s,
            limit=LONG_S,
            unit="s",
            detail=told,
        )


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
    return f"wall at x {about_text(x, house.units)}, y {about_text(y, house.units)}"
