"""`evenfall new DIR --form FORM …`: a drawn house and two schemes in files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layouts.errors import InputError

if TYPE_CHECKING:
    from layouts.forms import FormMeasures

REMARKS = """\
Made from measurements: a drawing by rule, not your house to the centimetre. Change what differs.

  evenfall plan house.yaml                            what wiring it needs, and why
  evenfall preview house.yaml evening.scheme.yaml     see it

Mains work is for a licensed electrician, outdoor circuits go behind a GFCI/RCD, and every wire
that leaves a supply gets a fuse at the supply's end."""


FILES = ("house.yaml", "evening.scheme.yaml", "holiday.scheme.yaml")


def measures_of_flags(texts: Mapping[str, str], units: str | None, *, lit: bool) -> FormMeasures:
    """The measures that the flags say. Raises InputError with all that is wrong, flag by flag."""
    from layouts.forms.typed import measures_of

    try:
        return measures_of(texts, units, lit=lit)
    except InputError as error:
        raise InputError([replace(e, file=f"--{e.file}") for e in error.problems]) from None


def from_form(folder: Path, measures: FormMeasures) -> list[Path]:
    """Writes house and schemes. Raises EvenfallError, before that, where one is there already."""
    from layouts.forms import drawn_form
    from layouts.new_file import house_text
    from layouts.starter import write_new

    data, over = drawn_form(measures)
    texts = (house_text(data, remarks=REMARKS, over=over), EVENING, holiday(data))
    files = {name: text.encode() for name, text in zip(FILES, texts, strict=True)}
    return list(write_new(folder, files))


EVENING = """\
# A plain warm evening, any day of the year.
format: evenfall-scheme/1
name: Warm evening
brightness: 0.4
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""


def holiday(data: Mapping[str, Any]) -> str:
    """Red and green that wander along the roof, a warm entrance, a little snow-light over all."""
    zones = {*data["zones"], *(run["name"] for run in data["runs"])}
    roof = [zone for zone in ("eaves", "gables") if zone in zones]
    layers = [
        f"""\
  - zones: {zone}
    effect: chase
    palette: hollybush
    set: {{band: 0.6, gap: 0.25, speed: 0.12, soft: 0.4}}
"""
        for zone in roof
    ]
    if "entrance" in zones:
        layers.append('  - {zones: entrance, effect: steady, palette: ["2700 K"], opacity: 0.6}\n')
    return f"""\
# Red and green along the roof, as for Christmas. `evenfall list palettes` names others.
format: evenfall-scheme/1
name: Holiday
brightness: 0.85
layers:
{"".join(layers)}\
  - zones: all
    effect: glint
    palette: ["#ffffff"]
    set: {{rate: 0.8, length: 0.8}}
    blend: lighten
"""
