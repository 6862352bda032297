"""The house under marks: with no pixel lit, dim and with little colour."""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.records import House
from sim.light import Scene, picture
from sim.report.theme import GROUND

#: How bright the drawn house is, and how much of its colour is left.
DIM, COLOUR_LEFT = 0.62, 0.45


def dimmed(house: House, place: Scene) -> np.ndarray:
    """(H, W, 3) uint8 the house at dusk as a ground for marks."""
    dark = np.zeros((len(house.pixels), len(house.channels)), np.float32)
    seen = picture(place, dark, exposure_ev=place.exposure_ev).astype(float)
    grey = seen @ LUMINANCE
    # What is brightest under a dusk sky may be anything: it is brought to the same level.
    top = max(float(np.percentile(grey, 99)), 1.0)
    mixed = COLOUR_LEFT * seen + (1 - COLOUR_LEFT) * grey[..., None]
    ground = np.array(GROUND, float)
    return np.rint(np.clip(ground + mixed * (DIM * 128 / top), 0, 255)).astype(np.uint8)
