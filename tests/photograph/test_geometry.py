"""The plane of a wall from points, lines and lengths; lens, depth, height."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from layouts.photograph import (
    DrawnLine,
    UnfitPoints,
    distort,
    errors_m,
    eye_of,
    fit_plane,
    focal_px,
    height_ratio,
    homography_of,
    known_points,
    lens_from_lines,
    metres_per_pixel,
    plane_from_lengths,
    project,
    rectangle_m,
    to_pixel,
    to_seen,
    to_wall,
    undistort,
)

SIZE = (1600, 1200)
WALL_M = rectangle_m(8, 3)
# a wall of 8 × 3 m as a camera may see it; made by hand for the vectors below
WALL_PX = np.array([[120, 640], [1480, 560], [1420, 180], [180, 60]], dtype=float)


class Pinhole:
    """A camera of this test: turned by angles, at a place before the house, with a lens."""

    def __init__(self, eye, turn=0.0, tilt=0.0, roll=0.0, focal=1500.0, lens=(0.0, 0.0)):
        a, b, c = np.radians([turn, tilt, roll])
        about_y = np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])
        about_x = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
        about_z = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
        self.turned = about_z @ about_x @ about_y @ np.diag([1.0, -1.0, -1.0])
        self.eye, self.focal, self.lens = np.array(eye, dtype=float), focal, lens

    def sees(self, xyz):
        """(..., 3) of the world -> (..., 2) pixels; its lens by Brown's formula written out."""
        seen = (np.asarray(xyz, dtype=float) - self.eye) @ self.turned.T
        assert (seen[..., 2] > 0).all()
        uv = self.focal * seen[..., :2] / seen[..., 2:]
        r2 = np.sum((uv / (np.hypot(*SIZE) / 2)) ** 2, axis=-1, keepdims=True)
        return uv * (1 + self.lens[0] * r2 + self.lens[1] * r2**2) + np.array(SIZE) / 2


def on_wall(xy, depth=0.0):
    return np.concatenate([xy, np.full((*np.shape(xy)[:-1], 1), depth)], axis=-1)


def test_unit_square_to_a_quadrangle_exactly():
    # Heckbert's closed form (1989, from memory) in rational numbers
    found = homography_of(rectangle_m(1, 1), np.array([[0, 0], [4, 1], [3, 3], [1, 4]]))
    exact = np.array([[12, 3, 0], [3, 12, 0], [2, 2, 1]])
    assert found / found[2, 2] == pytest.approx(exact, abs=1e-11)
    assert project(found, [0.5, 0.5]) == pytest.approx([2.5, 2.5], abs=1e-12)


def test_wall_of_8_by_3_metres():
    # solved by hand with numpy's linear solver, eight equations; checked in rational numbers below
    plane = fit_plane(WALL_PX, WALL_M, SIZE)
    h = plane.homography / plane.homography[2, 2]
    expected = [
        [274.6206896552, 27.4482758621, 120],
        [29.5862068966, -190.8505747126, 640],
        [0.0706896552, 0.0413793103, 1],
    ]
    assert h == pytest.approx(np.array(expected), rel=1e-12, abs=6e-11)  # ten decimals given
    assert to_pixel(plane, [[4, 1.5], [2, 1]]) == pytest.approx(
        np.array([[936.6667, 351.0256], [589.0379, 429.7765]]), abs=5e-5
    )
    assert to_wall(plane, [[800, 360], [500, 400]]) == pytest.approx(
        np.array([[3.155217, 1.424351], [1.555162, 1.166997]]), abs=5e-7
    )
    # 6.46 mm/px across and 6.56 mm/px up at the centre
    assert metres_per_pixel(plane, [4, 1.5]) == pytest.approx(0.0066, abs=0.0003)


def test_the_same_wall_in_fractions():
    # Cramer-free check: the exact map goes through all four points in rational arithmetic
    found = homography_of(WALL_M, WALL_PX)
    h = [[Fraction(float(e)).limit_denominator(10**6) for e in row] for row in found / found[2, 2]]
    for (x, y), (u, v) in zip(WALL_M.tolist(), WALL_PX.tolist(), strict=True):
        x, y = Fraction(x), Fraction(y)
        w = h[2][0] * x + h[2][1] * y + h[2][2]
        assert (h[0][0] * x + h[0][1] * y + h[0][2]) / w == Fraction(u)
        assert (h[1][0] * x + h[1][1] * y + h[1][2]) / w == Fraction(v)


@pytest.mark.outside
@pytest.mark.parametrize("count", [4, 6, 12])
def test_scikit_image_agrees(count):
    transform = pytest.importorskip("skimage.transform")
    random = np.random.default_rng(count)
    at = random.uniform([0, 0], [12, 7], (count, 2))
    at[:4] = rectangle_m(12, 7)
    exact = fit_plane(WALL_PX, rectangle_m(12, 7), SIZE)
    pixel = to_pixel(exact, at)
    theirs = transform.ProjectiveTransform.from_estimate(at, pixel)
    ours = fit_plane(pixel, at, SIZE)
    places = random.uniform([0, 0], [12, 7], (200, 2))
    assert to_pixel(ours, places) == pytest.approx(theirs(places), rel=1e-9)
    assert to_wall(ours, pixel) == pytest.approx(theirs.inverse(pixel), abs=1e-9)


@pytest.mark.outside
def test_scikit_images_direct_transform_of_noisy_points():
    """Theirs normalises by the root mean square distance, ours by the mean, as Hartley wrote: the
    algebraic error is weighed a little otherwise; refined, ours is nearer to the points.
    """
    transform = pytest.importorskip("skimage.transform")
    random = np.random.default_rng(5)
    at = np.concatenate([rectangle_m(8, 3), random.uniform([0, 0], [8, 3], (8, 2))])
    pixel = to_pixel(fit_plane(WALL_PX, WALL_M, SIZE), at) + random.normal(0, 1.0, at.shape)
    theirs = transform.ProjectiveTransform.from_estimate(at, pixel)
    direct = homography_of(at, pixel, refine=False)
    assert project(direct, at) == pytest.approx(theirs(at), abs=1e-3)  # of a pixel
    refined = homography_of(at, pixel)
    assert np.sum((project(refined, at) - pixel) ** 2) < np.sum((theirs(at) - pixel) ** 2)


def test_refined_to_the_least_distance():
    """No small change of the eight numbers comes nearer: the gradient is zero."""
    random = np.random.default_rng(1)
    at = random.uniform([0, 0], [8, 3], (9, 2))
    pixel = to_pixel(fit_plane(WALL_PX, WALL_M, SIZE), at) + random.normal(0, 2.0, at.shape)
    found = homography_of(at, pixel)
    least = np.sum((project(found, at) - pixel) ** 2)
    for index in range(9):
        for step in (-1e-5, 1e-5):
            near = found.copy()
            near.flat[index] *= 1 + step
            assert np.sum((project(near, at) - pixel) ** 2) >= least * (1 - 1e-9)


def test_errors_of_the_fit_are_on_the_wall():
    at = np.concatenate([WALL_M, [[4, 1.5]]])
    pixel = to_pixel(fit_plane(WALL_PX, WALL_M, SIZE), at)
    assert errors_m(fit_plane(pixel, at, SIZE), pixel, at) == pytest.approx(np.zeros(5), abs=1e-9)
    wrong = at.copy()
    wrong[4] += 0.5, 0
    found = errors_m(fit_plane(pixel, wrong, SIZE), pixel, wrong)
    assert found.argmax() == 4
    assert 0.1 < found[4] < 0.5


def test_corner_picks_one_pixel_off():
    # Monte Carlo of the same wall outside this project: a 6 m length 5.5 mm (0.09 %), 1 px each
    random = np.random.default_rng(3)
    ends = to_pixel(fit_plane(WALL_PX, WALL_M, SIZE), [[1, 1.5], [7, 1.5]])
    lengths = []
    for _ in range(2000):
        moved = fit_plane(WALL_PX + random.normal(0, 1, (4, 2)), WALL_M, SIZE)
        lengths.append(np.hypot(*np.diff(to_wall(moved, ends), axis=0)[0]))
    assert np.std(lengths) == pytest.approx(0.0055, rel=0.12)


def test_brown_and_its_inverse():
    # Brown's formula by hand: k₁ −0.25, k₂ 0.05, p₁ 0.001, p₂ −0.0005 at (0.3, −0.2)
    k, p = (-0.25, 0.05), (0.001, -0.0005)
    seen = distort([0.3, -0.2], k, p)
    assert seen == pytest.approx([0.2902285, -0.1933990], abs=5e-8)
    # known errors of the fixed point after so many rounds: 6e-4, 3e-6, 1e-8, 3e-12
    for rounds, error in ((1, 6e-4), (3, 3e-6), (5, 1e-8), (8, 3e-12)):
        off = np.abs(undistort(seen, k, p, rounds=rounds) - [0.3, -0.2]).max()
        assert off == pytest.approx(error, rel=0.7)
    assert undistort(seen, k, p) == pytest.approx([0.3, -0.2], abs=1e-12)


@pytest.mark.parametrize("lens", [(-0.12, 0.02), (0.08, 0.0), (-0.14, 0.0)])
def test_the_lens_is_undone_everywhere_in_the_picture(lens):
    plane = fit_plane(WALL_PX, WALL_M, SIZE, lens)
    u, v = np.meshgrid(np.linspace(100, 1500, 9), np.linspace(100, 900, 9))
    pixel = np.stack([u, v], axis=-1)
    back = to_pixel(plane, to_wall(plane, pixel))
    seen = np.isfinite(back).all(axis=-1)
    assert seen.mean() > 0.8
    assert back[seen] == pytest.approx(pixel[seen], abs=1e-7)


def test_nothing_is_seen_beyond_the_fold_of_a_lens():
    # r·(1 − 0.25 r²) is greatest at r = √(4/3) = 1.1547
    far = np.array([[800 + 1000 * 1.154, 600], [800 + 1000 * 1.156, 600]])
    seen = to_seen(far, (-0.25, 0.0), SIZE)
    assert np.isfinite(seen[0]).all()
    assert np.isnan(seen[1]).all()
    with pytest.raises(UnfitPoints, match="fold the photograph over itself"):
        fit_plane(WALL_PX, WALL_M, SIZE, (-0.5, 0.0))


def test_lens_from_eaves_that_must_be_straight():
    camera = Pinhole((4, 1.6, 9), turn=12, tilt=-5, focal=1100, lens=(-0.09, 0.0))
    along = np.linspace(0, 1, 9)[:, None]
    eaves = [
        camera.sees(np.array([-0.5, y, 0]) + along * [9.0, rise, 0])
        for y, rise in ((4.4, 0.0), (0.0, 0.0), (3.0, 1.2))
    ]
    random = np.random.default_rng(0)
    fit = lens_from_lines([line + random.normal(0, 0.3, line.shape) for line in eaves], SIZE)
    assert fit.lens[0] == pytest.approx(-0.09, abs=0.01)
    assert fit.after_px < 0.5 < fit.before_px
    exact = lens_from_lines(eaves, SIZE)
    assert exact.lens[0] == pytest.approx(-0.09, abs=1e-6)
    with pytest.raises(UnfitPoints, match="say nothing of the lens"):
        lens_from_lines([np.array([[100, 600], [800, 600], [1500, 600.0]])], SIZE)
    with pytest.raises(UnfitPoints, match="straight whatever the lens does"):
        lens_from_lines([eaves[0][:2]], SIZE)


@pytest.mark.parametrize("turn", [0.0, 15.0, -28.0])
def test_a_box_photographed_by_a_pinhole(turn):
    """A house of known size, seen askew, with noise of half a pixel: 6 m come out within 1 %."""
    camera = Pinhole((3, 1.7, 11), turn=turn, tilt=-6, roll=1, focal=1300, lens=(-0.05, 0.01))
    random = np.random.default_rng(7)
    at = np.array([[1, 0], [9, 0], [9, 3.2], [1, 3.2], [4, 1], [6, 2.2]], dtype=float)

    def picked(xyz):
        seen = camera.sees(xyz)
        return seen + random.normal(0, 0.5, seen.shape)

    pixel = picked(on_wall(at))
    plane = fit_plane(pixel, at, SIZE, camera.lens)
    ends = to_wall(plane, picked(on_wall(np.array([[2.0, 1.5], [8.0, 1.5]]))))
    assert np.hypot(*np.diff(ends, axis=0)[0]) == pytest.approx(6.0, rel=0.01)
    assert errors_m(plane, pixel, at).max() < 0.03
    # a fascia of 6 m that stands 0.4 m before the wall, the camera's distance known
    fascia = picked(on_wall(np.array([[2.0, 3.1], [8.0, 3.1]]), 0.4))
    eye = eye_of(plane, 11.0)
    flat = np.hypot(*np.diff(to_wall(plane, fascia), axis=0)[0])
    true = np.hypot(*np.diff(to_wall(plane, fascia, 0.4, eye), axis=0)[0])
    assert true == pytest.approx(6.0, rel=0.01)
    # similar triangles: 6 m × 11 / (11 − 0.4)
    assert flat == pytest.approx(6.0 * 11 / 10.6, rel=0.01)
    assert to_pixel(plane, to_wall(plane, fascia, 0.4, eye), 0.4, eye) == pytest.approx(fascia)


def test_where_the_camera_stood():
    camera = Pinhole((2.5, 1.7, 12), turn=25, tilt=-8, focal=1400)
    plane = fit_plane(camera.sees(on_wall(WALL_M)), WALL_M, SIZE)
    assert focal_px(plane) == pytest.approx(1400, rel=1e-6)
    assert eye_of(plane) == pytest.approx([2.5, 1.7, 12], rel=1e-6)
    assert eye_of(plane, 12.0) == pytest.approx([2.5, 1.7, 12], rel=1e-5)
    straight = Pinhole((2.5, 1.7, 12), focal=1400)
    plane = fit_plane(straight.sees(on_wall(WALL_M)), WALL_M, SIZE)
    assert eye_of(plane, 12.0) == pytest.approx([2.5, 1.7, 12], rel=1e-6)
    with pytest.raises(UnfitPoints, match="too straight on"):
        eye_of(plane)
    with pytest.raises(UnfitPoints, match="was not taken from 500 m away"):
        eye_of(plane, 500.0)
    with pytest.raises(UnfitPoints, match="without knowing where the viewer stood"):
        to_wall(plane, WALL_PX, 0.3)
    with pytest.raises(UnfitPoints, match="behind the viewer"):
        to_wall(plane, WALL_PX, 13.0, eye_of(plane, 12.0))


@pytest.mark.parametrize("turn", [0.0, 14.0])
def test_a_wall_from_lengths_along_its_two_directions(turn):
    camera = Pinhole((3, 1.7, 11), turn=turn, tilt=-5, focal=1300, lens=(-0.04, 0.0))

    def line(a, b, length_m=None):
        return DrawnLine(camera.sees(on_wall(np.array([a, b], dtype=float))), length_m)

    # a door of 2.00 × 0.90 m, whose sides and head are drawn, and a long level line
    level = [line((2, 2), (2.9, 2), 0.9), line((0, 0), (8, 0))]
    upright = [line((2, 0), (2, 2), 2.0), line((8, 0), (8, 3))]
    plane = plane_from_lengths(level, upright, SIZE, camera.lens)
    ends = to_wall(plane, camera.sees(on_wall(np.array([[1.0, 2.5], [7.0, 2.5]]))))
    assert ends == pytest.approx(np.array([[-1, 2.5], [5, 2.5]]), abs=1e-7)
    corner = camera.sees(on_wall(np.array([0.0, 0.0])))
    placed = plane_from_lengths(level, upright, SIZE, camera.lens, (corner, (0.0, 0.0)))
    assert to_wall(placed, camera.sees(on_wall(WALL_M))) == pytest.approx(WALL_M, abs=1e-7)
    pixel, at = known_points(placed, camera.sees(on_wall(WALL_M)))
    again = fit_plane(pixel, at, SIZE, camera.lens)
    assert to_wall(again, camera.sees(on_wall(WALL_M))) == pytest.approx(WALL_M, abs=1e-7)
    with pytest.raises(UnfitPoints, match="1 level line is too few"):
        plane_from_lengths(level[:1], upright, SIZE)
    with pytest.raises(UnfitPoints, match="no upright line has a length"):
        plane_from_lengths(level, [line((2, 0), (2, 2)), line((8, 0), (8, 3))], SIZE)
    with pytest.raises(UnfitPoints, match="run the same way"):
        plane_from_lengths(level, [DrawnLine(each.pixel, 2.0) for each in level], SIZE)


def test_height_by_the_vanishing_point():
    # Criminisi's cross-ratio: (180·900)/(100·820)
    assert height_ratio(0, 100, 180, 1000) == pytest.approx(1.97561, abs=5e-6)
    assert height_ratio(0, 100, 180, np.inf) == pytest.approx(1.8)
    camera = Pinhole((2, 1.7, 9), tilt=-12, focal=1200)
    v = camera.sees(np.array([[2, 0, 0], [2, 2, 0], [2, 5.3, 0], [2, 1e9, 0]], dtype=float))[:, 1]
    assert height_ratio(*v) * 2 == pytest.approx(5.3, rel=1e-6)


def test_cross_ratio_of_four_points_on_a_line():
    # points 0, 1, 2, 3: (AC·BD)/(BC·AD) = 2·2/(1·3), before and after any projection
    pixel = to_pixel(fit_plane(WALL_PX, WALL_M, SIZE), [[x, 1.0] for x in range(4)])
    a, b, c, d = np.hypot(*(pixel - pixel[0]).T)
    assert (c - a) * (d - b) / ((c - b) * (d - a)) == pytest.approx(4 / 3)


def test_above_the_horizon_is_no_wall():
    """Ground seen by the same map would have a horizon; a wall seen from its side has one too."""
    camera = Pinhole((-4, 1.7, 5), turn=-50, focal=900)
    plane = fit_plane(camera.sees(on_wall(WALL_M)), WALL_M, SIZE)
    assert np.isnan(to_pixel(plane, [-30.0, 1.0])).all()
    beyond = camera.sees(on_wall(np.array([1e7, 1.0])))[0] + 50
    assert np.isnan(to_wall(plane, [beyond, 600.0])).all()
