"""A scheme as a few colours, for a calendar."""

from __future__ import annotations

import numpy as np

from effects import Scheme, palettes
from effects.colours import encoded, linear_rgb

MOST_COLOURS = 4
_DARK = 0.02  # of full linear light: no colour of its own


def swatch(scheme: Scheme) -> tuple[str, ...]:
    """Up to four colours "#rrggbb" of a scheme, those of its last layers first.

    What is laid over the rest catches the eye; a colour brighter than a screen keeps its hue.
    """
    found: dict[str, None] = {}
    for layer in reversed(scheme.layers):
        texts = layer.palette
        if isinstance(texts, str):
            texts = palettes()[texts].colours
        for text in texts:
            rgb = np.clip(linear_rgb(text), 0, None)
            if rgb.max() >= _DARK:
                codes = np.round(255 * encoded(rgb / max(1.0, rgb.max()))).astype(int)
                found["#{:02x}{:02x}{:02x}".format(*codes)] = None
    return tuple(found)[:MOST_COLOURS] or ("#404040",)
