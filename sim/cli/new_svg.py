"""`evenfall new DIR --svg drawing.svg`: a house out of a drawing, and what became of each shape."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.errors import EvenfallError, InputError
from sim.cli.common import stderr
from sim.cli.new_files import PLAIN_SCHEME

if TYPE_CHECKING:
    from layouts.svg import DrawnHouse
    from layouts.svg.style import Rgb

#: What the runs of a drawing are of until somebody says otherwise.
KIND, PROFILE, ON_HEDGES = "ws2815", "channel-frosted", "ws2811-12v-group3"
#: Glass behind which a lamp burns is drawn in this colour, whatever glass reflects.
LIT = (255, 205, 120)
#: What no colour stands for: white is trim rather than snow, and glass has none.
NOT_BY_COLOUR = ("snow", "glass")
_FEET = re.compile(r"\d\s*(ft|in|['\"′″’”])", re.IGNORECASE)


def from_svg(
    folder: Path, svg: Path, width: str | None, units: str | None, name: str | None
) -> list[Path]:
    """Writes the house that is drawn in the file `svg`, and a plain scheme.

    `width` is that of the house, where no labelled line says the scale; left out, the units are
    those of the width or of the label. Returns the files written, the house first; what became of
    every shape is told on stderr. Raises EvenfallError, before anything is written, for a drawing
    that cannot be read and for a file that is there already.
    """
    from layouts import house_from
    from layouts.catalogue import kinds, materials
    from layouts.new_file import house_text, rounded
    from layouts.starter import write_new
    from layouts.svg import house_of_page, read_page
    from layouts.svg.scale import labelled

    page = read_page(svg)
    if units is None:
        said = width or "".join(text for _, _, text in labelled(page))
        units = "ft" if _FEET.search(said) else "m"
    try:
        drawn = house_of_page(
            page,
            materials=materials(),
            nearest=nearest_material(),
            kind=kinds()[KIND],
            hedge_kind=kinds()[ON_HEDGES],
            profile=PROFILE,
            name=name or svg.stem.replace("_", " ").replace("-", " ").capitalize() or "House",
            units=units,
            width=width,
        )
    except InputError:
        raise
    except ValueError as error:
        raise EvenfallError(f"--width {width}: {error}") from None
    text = house_text(drawn.data, remarks=_remarks(svg, drawn))
    try:
        house_from(rounded(drawn.data))
    except InputError as error:
        raise EvenfallError(f"{svg}: the house that is drawn does not hold:\n{error}") from None
    files = {"house.yaml": text.encode(), "evening.scheme.yaml": PLAIN_SCHEME.encode()}
    written = write_new(folder, files)
    _tell(svg, drawn)
    return list(written)


def nearest_material() -> Callable[[Rgb], tuple[str, float]]:
    """The function that gives the material nearest to a colour in OKLab, and how far it is."""
    import numpy as np

    from effects.colour_spaces import decoded, to_oklab
    from layouts.catalogue import materials
    from sim.light.albedo import albedo_rgb

    def lab(rgb: Rgb) -> np.ndarray:
        return to_oklab(decoded(np.array(rgb) / 255))

    names = [each for each in materials() if each not in NOT_BY_COLOUR]
    table = np.array([to_oklab(albedo_rgb(materials()[each])) for each in names])
    table[names.index("glass-lit")] = lab(LIT)

    def nearest(rgb: Rgb) -> tuple[str, float]:
        apart = np.linalg.norm(table - lab(rgb), axis=1)
        return names[int(apart.argmin())], float(apart.min())

    return nearest


def _remarks(svg: Path, drawn: DrawnHouse) -> str:
    return (
        f"A house made of the drawing {svg.name}: {drawn.scale.said}.\n"
        f"Runs are {KIND} in {PROFILE}, on hedges {ON_HEDGES}; change what is otherwise.\n"
        "Nothing is wired yet: evenfall plan proposes supplies, feeds and fuses."
    )


def _tell(svg: Path, drawn: DrawnHouse) -> None:
    """The scale, and a table of what became of every shape."""
    from rich.table import Table

    out = stderr()
    out.print(f"{svg}: {drawn.scale.said}", soft_wrap=True)
    table = Table(box=None, header_style="bold", pad_edge=False)
    for title in ("line", "shape", "became", "name", ""):
        table.add_column(title, justify="right" if title == "line" else "left")
    for row in drawn.rows:
        table.add_row(str(row.at[0]), row.shape, row.became, row.name, row.said)
    out.print(table)
