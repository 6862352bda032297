"""Palettes: named rows of colours, and the finely stepped ring made of one for looking up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

import numpy as np

from effects import colours
from effects.colour_spaces import decoded, encoded, from_oklab, to_oklab

#: Steps from one colour of a palette to the next. Finer than the 8-bit codes that come out.
STEPS = 512


#: The files of effects/palettes, in the order in which lists show them.
FILES = ("everyday", "winter", "spring-and-summer", "autumn", "flags")


@dataclass(frozen=True)
class Palette:
    """A row of colours, as written; it closes on itself like a ring."""

    name: str
    colours: tuple[str, ...]
    occasion: str = ""
    source: str = ""  # where the values come from
    note: str = ""

    @property
    def rgb(self) -> np.ndarray:
        """(K, 3) linear sRGB of the colours."""
        return np.array([colours.linear_rgb(text) for text in self.colours])

    @property
    def codes(self) -> np.ndarray:
        """(K, 3) uint8 sRGB as a display shows them: what is too bright keeps its hue."""
        rgb = np.maximum(self.rgb, 0)
        rgb /= np.maximum(rgb.max(axis=1, keepdims=True), 1)
        return np.rint(encoded(rgb) * 255).astype(np.uint8)


def ring(texts: tuple[str, ...], colour: str) -> np.ndarray:
    """(K·STEPS, 4) float32, read-only: the colours and what lies between them, once round.

    Linear sRGB under `matched`; codes / 255 under `raw`, kept within 0..1. Neighbours are joined
    straight in OKLab. The fourth column is padding: a row of 16 bytes is fetched in one go.
    Raises ValueError for a text that is no colour.
    """
    raw = colour == "raw"
    of = colours.codes if raw else colours.linear_rgb
    stops = np.array([of(text) for text in texts])
    lab = to_oklab(decoded(stops) if raw else stops)
    part = (np.arange(STEPS) / STEPS)[:, None]
    between = lab[:, None] + (np.roll(lab, -1, axis=0) - lab)[:, None] * part
    rgb = from_oklab(between)
    if raw:
        rgb = encoded(np.clip(rgb, 0, 1))
    rgb[:, 0] = stops  # exactly as written
    table = np.zeros((len(stops) * STEPS, 4), np.float32)
    table[:, :3] = rgb.reshape(-1, 3)
    table.flags.writeable = False
    return table


@cache
def palettes() -> Mapping[str, Palette]:
    """Every palette that comes with Evenfall, by name."""
    from effects.schema import PaletteFile
    from layouts.files.checking import check
    from layouts.files.document import read

    found: dict[str, Palette] = {}
    for name in FILES:
        with resources.as_file(resources.files("effects") / "palettes" / f"{name}.yaml") as path:
            rows = check(read(path), PaletteFile).palettes
        found |= {
            name: Palette(name, tuple(row.colours), row.occasion, row.source, row.note)
            for name, row in rows.items()
        }
    return MappingProxyType(found)
