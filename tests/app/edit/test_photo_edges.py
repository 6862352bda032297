"""Edges of synthetic pictures whose places are known to the fraction of a pixel."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import erf

from sim.app.edit.photo_edges import edge_along, nearest_edge

ANGLES = (0.0, 7.0, 33.0, 45.0, 90.0, 120.0, 200.0)
OFFSETS = (-0.49, -0.3, 0.0, 0.2, 0.37)


def edge(angle_deg: float, offset_px: float, blur_px: float, low: float, high: float) -> np.ndarray:
    """A straight edge whose normal points at `angle_deg`, `offset_px` from the centre (32, 32).

    Every pixel is the mean of 32 × 32 points of the step (the area it covers), or of 8 × 8 of the
    step blurred by a Gaussian, whose integral is the error function. Only the middle is drawn fine.
    """
    fine = 8 if blur_px else 32
    sub = (np.arange(32 * fine) + 0.5) / fine - 0.5 + 16
    x, y = np.meshgrid(sub, sub)
    turn = math.radians(angle_deg)
    away = (x - 32) * math.cos(turn) + (y - 32) * math.sin(turn) - offset_px
    step = (away > 0) if blur_px == 0 else 0.5 * (1 + erf(away / blur_px / math.sqrt(2)))
    middle = (low + (high - low) * step).reshape(32, fine, 32, fine).mean(axis=(1, 3))
    return np.pad(middle, 16, mode="edge")


@pytest.mark.parametrize("blur_px", [0.0, 0.7, 1.5])
@pytest.mark.parametrize("angle", ANGLES)
def test_a_known_edge_is_found_to_a_twentieth_of_a_pixel(angle: float, blur_px: float) -> None:
    turn = math.radians(angle)
    way = (math.cos(turn), math.sin(turn))
    for offset in OFFSETS:
        grey = edge(angle, offset, blur_px, 0.2, 0.7)
        found = edge_along(grey, (32.0, 32.0), way, 5.0)
        assert found is not None
        at = (found.at_px[0] - 32) * way[0] + (found.at_px[1] - 32) * way[1]
        assert at == pytest.approx(offset, abs=0.05)
        assert found.across == pytest.approx(way)


@pytest.mark.parametrize("angle", ANGLES)
def test_an_edge_is_found_whichever_way_it_runs(angle: float) -> None:
    turn = math.radians(angle)
    way = np.array((math.cos(turn), math.sin(turn)))
    grey = edge(angle, 2.3, 0.7, 0.7, 0.2)  # dark beyond: across points back
    found = nearest_edge(grey, (32.4, 31.8), 6.0)
    assert found is not None
    assert np.dot(np.subtract(found.at_px, 32), way) == pytest.approx(2.3, abs=0.05)
    assert np.dot(found.across, way) == pytest.approx(-1, abs=0.02)


def test_noise_of_a_camera_moves_it_little() -> None:
    random = np.random.default_rng(7)
    errors = []
    for _ in range(50):
        grey = edge(20.0, 0.3, 0.8, 0.2, 0.6) + random.normal(0, 0.01, (64, 64))
        turn = math.radians(20.0)
        found = edge_along(grey, (32.0, 32.0), (math.cos(turn), math.sin(turn)), 4.0)
        assert found is not None
        at = np.subtract(found.at_px, 32) @ (math.cos(turn), math.sin(turn))
        errors.append(at - 0.3)
    assert np.sqrt(np.mean(np.square(errors))) < 0.1


def test_no_edge_is_made_up() -> None:
    flat = np.full((64, 64), 0.4)
    assert edge_along(flat, (32.0, 32.0), (1.0, 0.0), 5.0) is None
    assert nearest_edge(flat, (32.0, 32.0), 5.0) is None
    assert edge_along(flat, (32.0, 32.0), (0.0, 0.0), 5.0) is None
    grey = edge(0.0, 10.0, 0.7, 0.2, 0.7)
    assert edge_along(grey, (32.0, 32.0), (1.0, 0.0), 5.0) is None  # beyond reach
    assert nearest_edge(grey, (32.0, 32.0), 5.0) is None
    assert nearest_edge(grey, (500.0, 500.0), 5.0) is None


def test_the_border_of_a_picture_is_no_edge() -> None:
    grey = np.full((64, 64), 0.9)
    assert edge_along(grey, (1.0, 32.0), (1.0, 0.0), 5.0) is None
    assert nearest_edge(grey, (1.0, 1.0), 5.0) is None
