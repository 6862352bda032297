"""Schemes whose lights are counted: as many are seen from the street as are meant."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.signal import find_peaks

from effects import bind, load_scheme
from layouts import load_house
from layouts.eaves import mounting
from sim.frame import frame, rig_for, scene
from sim.light import luminance, to_px

ROOT = Path(__file__).parents[2] / "demo"
#: House, scheme, run, lights: eight of the feast and the servant light they are lit from.
COUNTED = [("townhouse", "hanukkah", "gable", 9)]
FLAMES = sorted(p for p in ROOT.glob("*/*.scheme.yaml") if "effect: wick" in p.read_text("utf-8"))


def seen_along(path: str, scheme: str, run_name: str, time_s: float) -> np.ndarray:
    """(N,) luminance [cd/m²] of the picture at every pixel of a run, as red and green see it."""
    house = load_house(ROOT / path / "house.yaml")
    read = load_scheme(ROOT / path / f"{scheme}.scheme.yaml", house)
    night = scene(house, (1280, 720))
    got = luminance(night, frame(rig_for(house, read), bind(house, read), time_s).light)
    run = next(run for run in house.runs if run.name == run_name)
    column, row = np.floor(to_px(night, house.pixels.xy_m[run.pixels])).astype(int).T
    return got[row, column, :2].mean(axis=1)


@pytest.mark.parametrize(("house", "scheme", "run", "count"), COUNTED)
@pytest.mark.parametrize("time_s", [0.0, 3.0, 7.7, 31.4])
def test_as_many_as_are_meant(house, scheme, run, count, time_s):
    seen = seen_along(house, scheme, run, time_s)
    smooth = np.convolve(seen, np.ones(9) / 9, "same")  # a light is 15 cm wide at least
    peaks, _ = find_peaks(smooth, prominence=0.25 * smooth.max())
    assert len(peaks) == count
    # evenly along the run, one of them in its middle
    assert np.diff(peaks) == pytest.approx(len(seen) / count, abs=8)
    assert peaks[count // 2] == pytest.approx(len(seen) / 2, abs=8)


@pytest.mark.parametrize("path", FLAMES, ids=lambda p: f"{p.parent.name}-{p.name.split('.')[0]}")
def test_flames_are_not_behind_something(path):
    house = load_house(path.parent / "house.yaml")
    hidden = mounting(house).hidden
    for layer in load_scheme(path, house).layers:
        if layer.effect == "wick":
            for zone in layer.zones:  # a post may stand before a pixel or two
                assert hidden[house.zones[zone].pixels].mean() < 0.02, zone
