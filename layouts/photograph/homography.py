"""The projective map between two planes, from four or more points known in both.

A homography H (3, 3) takes (x, y) to (u, v): w·(u, v, 1) = H·(x, y, 1). It has eight degrees of
freedom, so four points no three of which lie on a line fix it, and more are fitted.

Source: the normalised direct linear transformation (DLT) with refinement of the geometric error;
Hartley and Zisserman, Multiple View Geometry, chapter 4, from memory.
"""

from __future__ import annotations

import numpy as np


def project(homography: np.ndarray, xy: np.ndarray) -> np.ndarray:
    """(3, 3), (..., 2) -> (..., 2); nan for what lies on or behind the line sent to infinity.

    That holds for a homography whose sign is such that w > 0 in front, as `homography_of` makes it.
    """
    xy = np.asarray(xy, dtype=float)
    scaled = xy @ homography[:, :2].T + homography[:, 2]
    w = scaled[..., 2:]
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(w > 0, scaled[..., :2] / w, np.nan)


def homography_of(source: np.ndarray, target: np.ndarray, *, refine: bool = True) -> np.ndarray:
    """(N, 2) source, (N, 2) target, N ≥ 4 -> (3, 3) H with H·source ~ target.

    Exact for four points. For more, the DLT's least algebraic error is the start, and `refine` goes
    on to the least sum of squared distances in the target plane (Levenberg and Marquardt). H has
    the Frobenius norm 1 and w > 0 at the mean of the source.
    """
    source, target = np.asarray(source, dtype=float), np.asarray(target, dtype=float)
    from_m, from_t = _normalised(source), _normalised(target)
    a, b = _moved(from_m, source), _moved(from_t, target)
    found = np.linalg.svd(_equations(a, b))[2][-1].reshape(3, 3)
    if refine and len(source) > 4:
        found = _refined(found, a, b)
    made = np.linalg.inv(from_t) @ found @ from_m
    made /= np.linalg.norm(made)
    middle = np.append(source.mean(axis=0), 1.0)
    return made if made[2] @ middle > 0 else -made


def scales(homography: np.ndarray, xy: np.ndarray) -> np.ndarray:
    """(..., 2, 2) the derivative of `project` at (..., 2): target units per source unit."""
    xy = np.asarray(xy, dtype=float)
    scaled = xy @ homography[:, :2].T + homography[:, 2]
    w = scaled[..., 2][..., None, None]
    uv = scaled[..., :2] / scaled[..., 2:]
    return (homography[:2, :2] - uv[..., :, None] * homography[2, :2]) / w


def firmness(points: np.ndarray) -> float:
    """How well (N, 2) points can fix a homography: 0 where they cannot, about 0.1 where they do.

    The DLT that takes the points to themselves has the identity for a null vector; its eighth
    singular value over the first is 0 where a second one exists, as it does when all points but one
    lie on a line.
    """
    points = np.asarray(points, dtype=float)
    moved = _moved(_normalised(points), points)
    found = np.linalg.svd(_equations(moved, moved), compute_uv=False)
    return float(found[7] / found[0])


def _normalised(points: np.ndarray) -> np.ndarray:
    """(3, 3) similarity that moves the points' mean to 0 and their mean distance from it to √2."""
    middle = points.mean(axis=0)
    apart = float(np.hypot(*(points - middle).T).mean())
    scale = np.sqrt(2) / apart if apart > 0 else 1.0
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])


def _moved(similarity: np.ndarray, points: np.ndarray) -> np.ndarray:
    return points @ similarity[:2, :2].T + similarity[:2, 2]


def _equations(source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """(2N, 9) the two rows of every point: u·(h₃·x) − h₁·x = 0 and v·(h₃·x) − h₂·x = 0."""
    count = len(source)
    x = np.column_stack([source, np.ones(count)])
    zero = np.zeros((count, 3))
    first = np.hstack([-x, zero, target[:, :1] * x])
    second = np.hstack([zero, -x, target[:, 1:] * x])
    return np.stack([first, second], axis=1).reshape(2 * count, 9)


def _refined(start: np.ndarray, source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """The homography of least squared distances in the target plane, from a near one.

    The points are centred, so that w of their mean is no zero and can be kept at 1.
    """
    from scipy.optimize import least_squares

    x = np.column_stack([source, np.ones(len(source))])

    def apart(eight: np.ndarray) -> np.ndarray:
        scaled = x @ np.append(eight, 1.0).reshape(3, 3).T
        return (scaled[:, :2] / scaled[:, 2:] - target).ravel()

    begun = (start / start[2, 2]).ravel()[:8]
    ended = least_squares(apart, begun, method="lm", xtol=1e-14, ftol=1e-14, gtol=1e-14)
    better = ended.success and np.sum(ended.fun**2) <= np.sum(apart(begun) ** 2)
    return np.append(ended.x if better else begun, 1.0).reshape(3, 3)
