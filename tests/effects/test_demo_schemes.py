"""Every demo scheme loads on its house, shines, and together they show every effect."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from effects import asked, bind, effects, load_scheme
from effects.registry import OWN
from layouts import load_house

DEMO = Path(__file__).parents[2] / "demo"
SCHEMES = sorted(DEMO.glob("*/*.scheme.yaml"))


def test_there_are_at_least_twenty_over_five_houses():
    assert len(SCHEMES) >= 20
    places = {path.parent.name for path in SCHEMES}
    assert places == {"cottage", "townhouse", "bungalow", "lodge", "photo"}


@pytest.mark.parametrize("path", SCHEMES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_shines_and_says_it_is_invented(path):
    assert "invented" in path.read_text().splitlines()[0]
    house = load_house(path.parent / "house.yaml")
    show = bind(house, load_scheme(path, house))
    frames = asked(show, np.arange(0, show.period_s or 60, 0.5))
    assert np.isfinite(frames).all()
    lit = frames.max(axis=(0, 2)) > 0.02
    # A pixel that never lights would be money spent on nothing.
    assert lit[~house.pixels.spare].mean() > 0.6
    assert not lit[house.pixels.spare].any()


def test_every_effect_is_shown_somewhere():
    used = {layer.effect for path in SCHEMES for layer in load_scheme(path).layers}
    assert used == {effect.name for effect in OWN}
    assert used <= set(effects())
