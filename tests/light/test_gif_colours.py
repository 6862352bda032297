"""A GIF of a night beside its PNG: how far its colours are off, that it stands still, its grain."""

import io
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageSequence

from effects import bind, load_scheme
from layouts import load_house
from sim.film_files import encoded
from sim.films import Film
from sim.frame import rig_for, scene
from sim.gif_colours import colours_for, pattern

DEMO = Path(__file__).parents[2] / "demo"
SIZE = 400, 225


@cache
def film(name: str, hour: str) -> list[np.ndarray]:
    house = load_house(DEMO / name / "house.yaml")
    scheme = load_scheme(DEMO / name / "christmas.scheme.yaml", house)
    shown = Film(rig_for(house, scheme), bind(house, scheme), scene(house, SIZE, hour))
    return list(shown.frames(np.array([4.0, 4.5])))


def read_back(frames: list[np.ndarray], every: int = 4) -> list[np.ndarray]:
    """What a reader of GIFs sees of them, colours chosen by one of so many rows and columns."""
    small = np.concatenate([frame[::every, ::every] for frame in frames])
    made = Image.open(io.BytesIO(encoded(".gif", iter(frames), 2.0, small)))
    return [np.asarray(one.convert("RGB")) for one in ImageSequence.Iterator(made)]


def lab(codes: np.ndarray) -> np.ndarray:
    """CIELAB by colour-science, which knows nothing of this project."""
    import colour

    return colour.XYZ_to_Lab(colour.sRGB_to_XYZ(codes / 255.0))


def from_afar(values: np.ndarray) -> np.ndarray:
    """Means of squares of 5 by 5, where grain is no longer told apart."""
    height, width, _ = values.shape
    return values.reshape(height // 5, 5, width // 5, 5, 3).mean(axis=(1, 3))


# A ΔE*ab of 2.3 is about the least seen side by side (Mahy et al. 1994 [from memory]). With
# colours by median cut and a crosshatch of Bayer's the cottage was 3.4 off place by place and 2.2
# from afar, the lodge 3.6 and 2.1: the pink of the dusk was tan, the chimney grey.
@pytest.mark.parametrize(("name", "hour"), [("cottage", "evening"), ("lodge", "dusk")])
def test_colours_are_those_of_the_picture(name, hour):
    frames = film(name, hour)
    for frame, other in zip(frames, read_back(frames), strict=True):
        wanted, got = lab(frame), lab(other)
        assert np.linalg.norm(wanted - got, axis=-1).mean() < 2.0
        assert np.linalg.norm(from_afar(wanted) - from_afar(got), axis=-1).mean() < 1.0


def test_what_stands_still_stands_still():
    before, after = film("lodge", "dusk")
    shown_before, shown_after = read_back([before, after])
    same = (before == after).all(axis=-1)
    assert 0.5 < same.mean() < 1.0
    np.testing.assert_array_equal(shown_before[same], shown_after[same])


def test_few_colours_stay_as_they_are():
    chance = np.random.default_rng(4)
    few = np.unique(chance.integers(0, 64, (200, 3), dtype=np.uint8) * 4, axis=0)
    frame = few[chance.integers(0, len(few), (32, 40))]
    np.testing.assert_array_equal(read_back([frame, frame[::-1]], every=1), [frame, frame[::-1]])
    assert len(colours_for(frame)) <= len(few)


@pytest.mark.parametrize("share", [16, 64, 128])
def test_the_pattern_has_no_clumps_and_no_direction(share):
    """Places below a threshold: as many as it says, with few long waves and none above others.

    Noise that is white has the same power at every wave, here 1 (that of a coin is p (1 - p) a
    place); a crosshatch has all of it, 4096, in a few.
    """
    below = pattern() < share
    p = share / 256
    assert below.mean() == p
    power = np.abs(np.fft.fft2(below - p)) ** 2 / below.size / (p * (1 - p))
    waves = np.hypot(*np.meshgrid(*[np.fft.fftfreq(64)] * 2))
    assert power[(waves > 0) & (waves < 0.35 * np.sqrt(p))].mean() < 0.25
    assert power.max() < 30
