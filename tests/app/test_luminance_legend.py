"""The greys beside the figures of cd/m² are those of the picture."""

from __future__ import annotations

import numpy as np
import pytest

from sim.app.state.window_layout import Rect
from sim.app.view.tools import _luminances
from sim.light.tone import grey_code


class Recorder:
    """Stands in for the brush: notes what is written and which patches are filled."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self.greys: list[tuple[int, int, int]] = []

    def px(self, size: float) -> int:
        return round(size)

    def size(self, text: str, font: object) -> tuple[int, int]:
        return 8 * len(text), 12

    def text(self, text: str, x: float, y: float, *_: object, align: str) -> Rect:
        self.texts.append(text)
        return Rect(round(x) - 8 * len(text), round(y), 8 * len(text), 12)

    def fill(self, place: Rect, colour: tuple[int, int, int], radius: int) -> None:
        self.greys.append(colour)

    def frame(self, *_: object, radius: int) -> None:
        pass


@pytest.mark.parametrize("exposure_ev", [0.0, 2.5, 4.0])
def test_patches(exposure_ev: float) -> None:
    brush = Recorder()
    _luminances(brush, 300, Rect(0, 0, 300, 40), exposure_ev)  # type: ignore[arg-type]
    assert brush.texts == ["cd/m²", "10", "1", "0.1"]
    wanted = grey_code(np.array([10.0, 1.0, 0.1]), exposure_ev)
    assert brush.greys == [(grey,) * 3 for grey in wanted.tolist()]
