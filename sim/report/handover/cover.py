"""The first page: the house at night in its schemes, and its figures at a glance."""

from __future__ import annotations

import io
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.frame import frame, scene
from sim.light import picture
from sim.report.handover.facts import Handover
from sim.report.lengths import laid_text
from sim.report.text import count, number

#: Size of the first picture and of the others [px], the quality of their JPEGs, and how many fit.
LARGE, SMALL, QUALITY, MOST = (1120, 560), (560, 280), 84, 13
#: When in a scheme it is pictured [s].
AT_S = 4.0


@dataclass(frozen=True)
class NightPicture:
    """One scheme at night, as a data URI."""

    name: str
    said: str
    uri: str
    size_px: tuple[int, int]


def night_pictures(
    facts: Handover, progress: Callable[[float, float], None] | None = None
) -> tuple[NightPicture, ...]:
    """Every scheme at one exposure; the house without light where there is none."""
    from PIL import Image

    house = facts.house
    night = scene(house, LARGE)
    dark = np.zeros((len(house.pixels), len(house.channels)), np.float32)
    lights = [
        (seen.scan.show.scheme.name, frame(seen.scan.rig, seen.scan.show, AT_S).light)
        for seen in facts.reports[:MOST]
    ] or [("", dark)]
    made = []
    for n, (name, light) in enumerate(lights):
        image = Image.fromarray(picture(night, light))
        size = SMALL if n else LARGE
        if n:
            image = image.resize(SMALL, Image.Resampling.LANCZOS)
        out = io.BytesIO()
        image.save(out, "JPEG", quality=QUALITY, optimize=True)
        uri = f"data:image/jpeg;base64,{b64encode(out.getvalue()).decode()}"
        said = f"{house.name} at night, {name}" if name else f"{house.name} at night, no pixel lit"
        made.append(NightPicture(name or "no pixel lit", said, uri, size))
        if progress is not None:
            progress(n + 1.0, float(len(lights)))
    return tuple(made)


def glance(facts: Handover) -> tuple[tuple[str, str], ...]:
    """A few figures: what is there and what it takes."""
    house = facts.house
    length_m = sum(run.length_m for run in house.runs)
    told = [
        (count(house.present), f"pixels on {_many(len(house.runs), 'run')}"),
        (laid_text(length_m, house.units), "of runs"),
    ]
    if house.supplies:
        peak = max((r.scan.loads.supply_a.sum(axis=1).max() for r in facts.reports), default=None)
        full = sum(each.full_a for each in facts.supplies)
        told.append(
            (
                f"{number(full if peak is None else float(peak))} A",
                "with every channel full" if peak is None else "at the peak",
            )
        )
        told.append((f"{len(house.supplies)} / {len(house.wires)}", "supplies / wires"))
    else:
        told.append(("no supply", "nothing is wired yet"))
    return tuple(told)


def _many(many: int, what: str) -> str:
    return f"{many} {what}{'' if many == 1 else 's'}"
