"""Twelve houses from measurements on one sheet: `.venv/bin/python demo/pictures/forms.py [FOLDER]`.

Every house is what `evenfall new --form` writes, in warm white. With a folder, each is also written
there by itself, large, at `--hour`. Invented houses all: nobody lives in them.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from effects import Layer, Scheme
from layouts import house_from
from layouts.forms import FormMeasures, house_of_form
from sim.pictures import picture
from sim.report import theme

FT = 0.3048
TILE_PX = (520, 330)
COLUMNS = 3

#: The line under each picture, and what was measured. Lengths in metres.
SHOWN: dict[str, dict[str, Any]] = {
    "gable, porch": {"form": "gable", "width": 9.2, "porch": 3.4, "chimney": "right"},
    "gable, eave to the street, three dormers": {
        **{"form": "gable", "facing": "eave", "width": 12.8, "pitch": 10 / 12},
        **{"dormers": 3, "porch": 8.0, "chimney": "left"},
    },
    "gable, 40 ft, two storeys, garage": {
        **{"form": "gable", "width": 40 * FT, "eave": 17.5 * FT, "pitch": 6 / 12, "storeys": 2},
        **{"facing": "eave", "garage": "right", "porch": 8 * FT},
        **{"wall": "lap-siding-cream", "roof": "shingle-brown"},
    },
    "cross-gable, porch, chimney": {
        **{"form": "cross-gable", "width": 13.0, "porch": 4.2, "chimney": "left"},
    },
    "cross-gable, two storeys, garage": {
        **{"form": "cross-gable", "width": 12.0, "storeys": 2, "garage": "left", "porch": 3.0},
        "wall": "lap-siding-grey",
    },
    "hip, garage": {
        **{"form": "hip", "width": 12.5, "pitch": 7 / 12, "garage": "right", "porch": 2.8},
        "chimney": "left",
    },
    "hip, two storeys, dormer": {
        **{"form": "hip", "width": 12.4, "storeys": 2, "pitch": 8 / 12, "dormers": 1},
        **{"porch": 3.0, "depth": 9.0},
    },
    "gambrel, chimney": {
        **{"form": "gambrel", "width": 8.6, "storeys": 2, "eave": 2.8, "porch": 3.2},
        "chimney": "right",
    },
    "gambrel, eave to the street, garage": {
        **{"form": "gambrel", "facing": "eave", "width": 11.0, "dormers": 2, "depth": 7.5},
        **{"garage": "right", "porch": 3.0},
    },
    "shed, garage": {"form": "shed", "width": 10.5, "garage": "left", "pitch": 3 / 12},
    "flat, two storeys, garage": {
        **{"form": "flat", "width": 11.0, "storeys": 2, "garage": "right", "overhang": 0.6},
        "porch": 3.6,
    },
    "gable, three storeys": {
        **{"form": "gable", "width": 8.4, "storeys": 3, "pitch": 9 / 12, "garage": "right"},
        **{"chimney": "left", "wall": "brick-buff", "roof": "slate"},
    },
}
WARM = Scheme("Warm evening", "", (Layer("steady", palette=("3000 K",)),), brightness=0.4)


def drawn(measures: dict[str, Any], size: tuple[int, int], hour: str) -> np.ndarray:
    """(H, W, 3) of the house in warm white."""
    house = house_from(house_of_form(FormMeasures(**measures)))
    return picture(house, WARM, size_px=size, hour=hour).rgb


def sheet(hour: str = "evening", only: list[str] | None = None) -> Image.Image:
    """All of them with a line under each."""
    shown = [name for name in SHOWN if not only or any(word in name for word in only)]
    rows = -(-len(shown) // COLUMNS)
    wide, tall = TILE_PX
    gap, line = 10, 44
    size = (COLUMNS * (wide + gap) + gap, rows * (tall + line + gap) + gap)
    whole = Image.new("RGB", size, theme.GROUND)
    draw = ImageDraw.Draw(whole)
    font = theme.typeface(26)
    for index, name in enumerate(shown):
        left = gap + index % COLUMNS * (wide + gap)
        top = gap + index // COLUMNS * (tall + line + gap)
        whole.paste(Image.fromarray(drawn(SHOWN[name], TILE_PX, hour)), (left, top))
        draw.text((left + 4, top + tall + 4), name, theme.WARM, font)
    return whole


def main() -> None:
    """Write the sheet, or each house large."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", nargs="?", type=Path)
    asked.add_argument("--hour", default="evening")
    asked.add_argument("--only", nargs="*")
    given = asked.parse_args()
    if given.folder is None:
        out = Path(__file__).parent / "forms.jpg"
        sheet(given.hour).save(out, quality=86, subsampling=0, optimize=True)
        print(out)
        return
    given.folder.mkdir(parents=True, exist_ok=True)
    sheet(given.hour, given.only).save(given.folder / "sheet.png")
    print(given.folder / "sheet.png")


if __name__ == "__main__":
    main()
