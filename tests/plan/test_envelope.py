"""The load that feeds proposed in the window are made for: nothing on show asks for more."""

from pathlib import Path

import numpy as np

from effects import bind, load_scheme
from layouts import load_house
from sim.frame import on_wire, rig_for
from sim.plan.loadcase import ENVELOPE_S, envelope_codes, full_codes
from sim.scan import frame_count, span_s

DEMO = Path(__file__).parents[2] / "demo"
WARM = """\
format: evenfall-scheme/1
name: Warm
brightness: 0.4
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""


def shown(house, path):
    scheme = load_scheme(path, house)
    return rig_for(house, scheme), bind(house, scheme)


def test_a_warm_white_asks_more_of_red_than_its_brightness(tmp_path):
    """Why a share of full is no bound: its red is stronger than that of the kind's own white."""
    house = load_house(DEMO / "cottage" / "house.yaml")
    path = tmp_path / "warm.scheme.yaml"
    path.write_text(WARM, encoding="utf-8")
    rig, show = shown(house, path)
    most = envelope_codes(rig, show)
    assert most[0, ~house.pixels.spare, 0].min() > full_codes(house, 0.4)[..., 0].max()


def test_no_frame_of_a_moving_scheme_lies_above():
    house = load_house(DEMO / "cottage" / "house.yaml")
    rig, show = shown(house, DEMO / "cottage" / "christmas.scheme.yaml")
    most = envelope_codes(rig, show, 0.7)
    frames = frame_count(min(span_s(show), ENVELOPE_S), show.fps)
    every = on_wire(rig, show, np.arange(frames) / show.fps, 0.7)
    assert most.shape == (1, len(house.pixels), 4)
    assert np.array_equal(most[0], every.max(axis=0))
    assert most.any()
