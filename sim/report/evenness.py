"""How evenly runs light their walls, on the screen and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from layouts.units import length_text
from sim.light.evenness import EVEN, SCALLOPS, Evenness
from sim.report.blocks import Block, Table, columns, note, row, section


def evenness_blocks(found: Sequence[Evenness], units: str) -> Iterator[Block]:
    """A line a run: what it is, where it is brightest, from where on it is even."""
    rows = [
        row(
            each.run,
            length_text(each.pitch_m, units),
            length_text(each.off_m, units),
            f"{each.beam_deg:.0f}°",
            length_text(each.brightest.depth_m, units),
            f"{each.brightest.uniformity:.2f}",
            "never" if each.even_from_m is None else length_text(each.even_from_m, units),
        )
        for each in found
    ]
    heads = columns(
        "run", ">pitch", ">off the wall", ">beam", ">brightest at", ">min/max", ">even from"
    )
    yield section(
        "Evenness of the light on the wall",
        Table(heads, tuple(rows)),
        note(
            "min/max of the illuminance along the run, where it is brightest; depths count from"
            f" the run the way it faces. From {EVEN} on it just looks even, below {SCALLOPS} it is"
            " plainly scallops (common practice, no source)."
        ),
    )


def evenness_json(found: Sequence[Evenness]) -> list[dict[str, Any]]:
    """The same as plain data, with a few lines more."""
    return [asdict(each) for each in found]
