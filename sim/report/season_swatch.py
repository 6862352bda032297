"""A scheme as a few colours, for a calendar."""

from __future__ import annotations

from itertools import chain, zip_longest

import numpy as np

from effects import Layer, Scheme, palettes
from effects.colour_spaces import encoded, to_oklab
from effects.colours import linear_rgb

MOST_COLOURS = 4
_DARK = 0.02  # of full linear light: no colour of its own
_ALIKE = 0.1  # in OKLab: no second colour beside the first


def swatch(scheme: Scheme) -> tuple[str, ...]:
    """Up to four colours "#rrggbb" of a scheme that differ well, its first layers' first.

    Every layer gives its first colour before one gives its second; a colour brighter than a screen
    keeps its hue.
    """
    chosen: list[np.ndarray] = []
    for text in chain.from_iterable(zip_longest(*map(_texts, scheme.layers))):
        if text is None:
            continue
        rgb = np.clip(linear_rgb(text), 0, None)
        rgb /= max(1.0, rgb.max())
        alike = (np.linalg.norm(to_oklab(rgb) - to_oklab(other)) < _ALIKE for other in chosen)
        if rgb.max() >= _DARK and not any(alike):
            chosen.append(rgb)
    return tuple(map(_hex, chosen[:MOST_COLOURS])) or ("#404040",)


def _texts(layer: Layer) -> tuple[str, ...]:
    if isinstance(layer.palette, str):
        return palettes()[layer.palette].colours
    return layer.palette


def _hex(rgb: np.ndarray) -> str:
    return "#{:02x}{:02x}{:02x}".format(*np.round(255 * encoded(rgb)).astype(int))
