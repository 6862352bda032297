"""Labels beside what they name, and lines beside each other."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from sim.report.label_places import Free, label_places
from sim.report.lanes import beside_each_other

NONE = np.zeros((0, 2))


def free(width: float, height: float, taken: list[list[float]] | None = None) -> Free:
    return Free((0, 0, width, height), np.array(taken or []).reshape(-1, 4), NONE, NONE)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("orders", [1, 7])
def test_none_over_another_and_all_inside(seed: int, orders: int) -> None:
    random = np.random.default_rng(seed)
    anchor = random.uniform((50, 50), (750, 450), (18, 2))
    size = random.uniform((60, 20), (140, 40), (18, 2))
    taken = [[380.0, 230.0, 420.0, 270.0]]
    at = label_places(anchor, size, free(800, 500, taken), 3, orders)
    assert None not in at
    rects = [(x, y, x + w, y + h) for (x, y), (w, h) in zip(at, size, strict=True)]  # type: ignore[misc]
    for left, top, right, bottom in rects:
        assert min(left, top) >= 0
        assert right <= 800
        assert bottom <= 500
    for a, b in combinations([*rects, tuple(taken[0])], 2):
        apart = (max(a[0], b[0]) - min(a[2], b[2]), max(a[1], b[1]) - min(a[3], b[3]))
        assert max(apart) >= 3 - 1e-9
    if seed < 2:  # the same every time
        assert at == label_places(anchor, size, free(800, 500, taken), 3, orders)


def test_a_label_alone_stands_at_its_anchor() -> None:
    ((x, y),) = label_places(
        np.array([[200.0, 200.0]]), np.array([[80.0, 30.0]]), free(400, 400), 2
    )  # type: ignore[misc]
    nearest = np.clip([200, 200], [x, y], [x + 80, y + 30])
    assert 0 < np.hypot(*(nearest - [200, 200])) < 45


def test_what_has_no_room_is_not_put_over_another() -> None:
    at = label_places(np.full((3, 2), 50.0), np.full((3, 2), (90.0, 40.0)), free(100, 100), 2)
    assert sum(one is None for one in at) == 1


def test_a_leader_does_not_lead_past_another_mark() -> None:
    anchor = np.array([[100.0, 200.0], [180.0, 200.0]])
    marks = Free((0, 0, 600, 400), np.zeros((0, 4)), anchor, NONE)
    at = label_places(anchor, np.full((2, 2), (150.0, 30.0)), marks, 3)
    for own, other, corner in zip(anchor, anchor[::-1], at, strict=True):
        assert corner is not None
        rim = [np.clip(each, corner, (corner[0] + 150, corner[1] + 30)) for each in (own, other)]
        near, astray = np.hypot(*(rim[0] - own)), np.hypot(*(rim[1] - other))
        assert astray > min(near, 24 - 1e-9)  # 24: the height of a line's type, four fifths of 30


def test_lines_on_one_line_are_drawn_apart_and_end_where_they_did() -> None:
    long = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0]])
    short = np.array([[0.0, 0.0], [60.0, 0.0]])
    alone = np.array([[0.0, 200.0], [60.0, 200.0]])
    moved = beside_each_other([long, short, alone], 5.0)
    for before, after in zip((long, short, alone), moved, strict=True):
        np.testing.assert_allclose(after[[0, -1]], before[[0, -1]])
    np.testing.assert_allclose(moved[0], long)  # the one that goes farther lies nearer
    np.testing.assert_allclose(moved[1], [[0, 0], [0, 5], [60, 5], [60, 0]])
    np.testing.assert_allclose(moved[2], alone)
    still = beside_each_other([long, short], 5.0, [np.array([[0.0, 0.0], [100.0, 0.0]])])
    assert set(still[0][1:-2, 1].round(6)) == {5.0}
    assert set(still[1][1:-1, 1].round(6)) == {10.0}


def test_lanes_meet_in_a_corner() -> None:
    ways = [np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 80.0]])] * 2
    _, second = beside_each_other(ways, 5.0)
    # Down by 5 on the level piece, right by 5 on the upright one: they meet at both.
    np.testing.assert_allclose(second, [[0, 0], [0, 5], [105, 5], [105, 80], [100, 80]])
