"""No effect's defaults flash in a way that WCAG 2.2 forbids, whatever the house's size."""

from __future__ import annotations

import numpy as np
import pytest

from effects import Layer, Scheme, asked, bind, effects
from sim.light.flash import verdicts

FPS = 40


@pytest.mark.parametrize("effect", effects().values(), ids=lambda effect: effect.name)
@pytest.mark.parametrize(
    "palette", [("#ffffff", "#000000"), ("#ff0000", "#0000ff")], ids=["white", "red"]
)
def test_defaults_pass(effect, palette, wall):
    """The hardest palettes, in cells of half a metre: 2° from 14 m away."""
    layer = Layer(effect.name, ("eave", "gable"), palette)
    frames = asked(bind(wall, Scheme("s", "", (layer,))), np.arange(0, 30, 1 / FPS))
    cells = frames.reshape(len(frames), -1, 30, 3).mean(axis=2)
    # Cells so large and near that any of them being hot would fill a field of view.
    size_sr = np.full(cells.shape[1], 0.01)
    at_deg = np.stack([np.arange(cells.shape[1]) * 2.0, np.zeros(cells.shape[1])], -1)
    for verdict in verdicts(cells, FPS, size_sr, at_deg):
        assert verdict.passes_strict, (verdict.sort, verdict.transitions)
