"""The whites of reels in words: which reel the sentence below the table speaks of."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from sim.report.blocks import Words
from sim.report.spread import _whites
from sim.spread.colours import SEEN_UV


def white(reel: str, steps: float) -> SimpleNamespace:
    """Two reels of it lie so many steps apart in every draw."""
    return SimpleNamespace(
        reel=reel,
        nominal_uv=(0.2, 0.47),
        ellipse=(None, 0.004, 0.002, 30.0),
        delta_e=np.full(9, 3.0),
        delta_uv=np.full(9, steps * SEEN_UV),
    )


def told(*found: SimpleNamespace) -> str:
    blocks = [each for each in _whites(found) if isinstance(each, Words)]
    return " ".join(span.text for block in blocks for span in block.words)


def test_two_reels_of_one_kind_are_not_told_as_two_kinds() -> None:
    assert "the reel that matches best and a second one like it lie 2.00 steps apart" in told(
        white("porch", 3.0), white("gable", 2.0)
    )
    assert "left out, two reels lie 3.00 steps apart" in told(white("porch", 3.0))
