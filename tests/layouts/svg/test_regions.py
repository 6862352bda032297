"""Compound paths cut into simple polygons: the same points are inside, by the winding number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.polygon import area_m2, first_crossing, inside
from layouts.svg.regions import MAX_SIDES, pieces

SQUARE = np.array([[0, 0], [4, 0], [4, 4], [0, 4]], dtype=float)
HOLE = SQUARE / 2 + 1


def windings(ring: np.ndarray, places: np.ndarray) -> np.ndarray:
    """How often `ring` goes round each place: the angles of its corners, added up."""
    corners = ring[None] - places[:, None]
    angle = np.arctan2(corners[..., 1], corners[..., 0])
    turns = np.diff(np.concatenate([angle, angle[:, :1]], axis=1), axis=1)
    turns = (turns + math.pi) % (2 * math.pi) - math.pi
    return np.rint(turns.sum(axis=1) / (2 * math.pi)).astype(int)


def is_inside(rings: list[np.ndarray], rule: str, places: np.ndarray) -> np.ndarray:
    total = sum(windings(ring, places) for ring in rings)
    return total % 2 == 1 if rule == "evenodd" else total != 0


def test_a_hole_is_left_open() -> None:
    # the hole runs the other way round, so that both rules leave it out
    for rule in ("evenodd", "nonzero"):
        made = pieces([SQUARE, HOLE[::-1]], rule)
        assert len(made) == 4
        assert sum(abs(area_m2(each)) for each in made) == 12
        assert not any(inside(each, np.array([[2.0, 2.0]]))[0] for each in made)


def test_a_ring_the_same_way_round_is_a_hole_by_one_rule_alone() -> None:
    for rule, area in (("evenodd", 12), ("nonzero", 16)):
        made = pieces([SQUARE, HOLE], rule)
        assert sum(abs(area_m2(each)) for each in made) == pytest.approx(area)


def test_a_simple_polygon_with_a_slant_stays_one() -> None:
    made = pieces([np.array([[0, 0], [3, 0], [5, 2], [1, 2]], dtype=float)], "nonzero")
    assert len(made) == 1
    assert abs(area_m2(made[0])) == 7  # by the shoelace formula


def test_a_bow_is_two_triangles() -> None:
    made = pieces([np.array([[0, 0], [4, 4], [4, 0], [0, 4]], dtype=float)], "nonzero")
    assert sorted(len(each) for each in made) == [3, 3]
    assert sum(abs(area_m2(each)) for each in made) == 8


RING = st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=9)


@settings(deadline=None, max_examples=150)
@given(st.lists(RING, min_size=1, max_size=3), st.sampled_from(["evenodd", "nonzero"]))
def test_the_same_places_are_inside(rings: list[list[tuple[int, int]]], rule: str) -> None:
    arrays = [np.array(ring, dtype=float) for ring in rings]
    made = pieces(arrays, rule)
    # places off every grid line of whole numbers, so that none lies on a side by chance
    places = np.random.default_rng(3).uniform(-10, 10, (400, 2))
    counted = sum((inside(each, places).astype(int) for each in made), np.zeros(400, dtype=int))
    sides = np.concatenate([np.stack([r, np.roll(r, -1, axis=0)], axis=1) for r in arrays])
    near = _apart(places, sides) < 1e-4
    assert np.array_equal(counted[~near], is_inside(arrays, rule, places)[~near].astype(int))


def _apart(places: np.ndarray, sides: np.ndarray) -> np.ndarray:
    begin, along = sides[:, 0], sides[:, 1] - sides[:, 0]
    share = ((places[:, None] - begin) * along).sum(axis=2) / np.maximum((along**2).sum(axis=1), 1)
    near = begin + np.clip(share, 0, 1)[..., None] * along
    return np.linalg.norm(places[:, None] - near, axis=2).min(axis=1)


def test_pieces_can_be_outlines() -> None:
    angle = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    made = pieces([ring * 3, ring], "evenodd")
    assert all(first_crossing(each) is None for each in made)
    # the area of a regular polygon of 60 sides: n/2 sin(2 pi/n) r^2
    wanted = 30 * math.sin(math.pi / 30) * (9 - 1)
    assert sum(abs(area_m2(each)) for each in made) == pytest.approx(wanted, rel=1e-5)


def test_too_many_sides_are_refused() -> None:
    angle = np.linspace(0, 2 * math.pi, MAX_SIDES + 10, endpoint=False)
    with pytest.raises(ValueError, match="where 3000 can be cut"):
        pieces([np.column_stack([np.cos(angle), np.sin(angle)])], "nonzero")
