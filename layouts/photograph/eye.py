"""Where the camera stood, from how it sees the wall.

With square pixels and the optical axis in the middle of the picture, K = diag(f, f, 1) and
K⁻¹H ~ [r₁ r₂ t] has columns r₁, r₂ that are square to each other and equally long. Both say f:

    f² = −(h₁ₓh₂ₓ + h₁ᵧh₂ᵧ) / (h₁_w h₂_w)
    f² = −(h₁ₓ² + h₁ᵧ² − h₂ₓ² − h₂ᵧ²) / (h₁_w² − h₂_w²)

Source: Zhang, A flexible new technique for camera calibration (2000), and Hartley and Zisserman
chapter 8, from memory. A photograph taken straight on says nothing of f; then the distance from the
wall has to be given, and f follows from it.
"""

from __future__ import annotations

import math

import numpy as np

from layouts.photograph.faults import UnfitPoints
from layouts.photograph.plane import Plane

#: Focal lengths [diagonals of the picture] that a camera for houses can have.
SHORTEST, LONGEST = 0.25, 6.0
#: How far a paced distance may be off (its logarithm), and r₁, r₂ from square and equally long
#: with points picked to about a pixel; common practice, no source.
DISTANCE_SLACK, SKEW_SLACK = 0.05, 0.003
MOST_OFF = 1.5  # a distance more than so many times off is a slip


def eye_of(plane: Plane, distance_m: float | None = None) -> np.ndarray:
    """(3,) x, y of the foot of the eye on the wall and its distance from it [m].

    `distance_m`, where known, is held; otherwise the perspective must be strong enough to tell it.
    Raises UnfitPoints where it is not.
    """
    diagonal = math.hypot(*plane.size_px)
    h = _centred(plane)
    if distance_m is None:
        focal = focal_px(plane)
        if focal is None:
            raise UnfitPoints(
                "the photograph is too straight on to tell how far away it was taken",
                "give the viewer's distance",
            )
        return _eye(h, focal)
    if not distance_m > 0:
        raise UnfitPoints("the viewer's distance is not positive", "give it in front of the wall")
    return _held(h, diagonal, distance_m)


def _held(h: np.ndarray, diagonal: float, distance_m: float) -> np.ndarray:
    """The eye at a known distance: the focal length that agrees best with it and the perspective.

    Straight on the distance alone decides, askew the perspective does.
    """
    from scipy.optimize import minimize_scalar

    def disagreement(log_focal: float) -> float:
        away = _eye(h, math.exp(log_focal))[2] / distance_m
        told = math.log(max(away, 1e-9)) / DISTANCE_SLACK
        return told**2 + (_skew(h, math.exp(log_focal)) / SKEW_SLACK) ** 2

    tried = np.linspace(math.log(SHORTEST * diagonal), math.log(LONGEST * diagonal), 200)
    best = int(np.argmin([disagreement(each) for each in tried]))
    near = tried[max(best - 1, 0)], tried[min(best + 1, len(tried) - 1)]
    found = minimize_scalar(disagreement, bounds=near, method="bounded", options={"xatol": 1e-12})
    eye = _eye(h, math.exp(found.x))
    if not distance_m / MOST_OFF <= eye[2] <= distance_m * MOST_OFF:
        raise UnfitPoints(
            f"the photograph was not taken from {distance_m:.3g} m away but from about"
            f" {eye[2]:.2g} m",
            "check the viewer's distance and the sizes on the wall",
        )
    eye[2] = distance_m
    return eye


def focal_px(plane: Plane) -> float | None:
    """The focal length [px] that the perspective tells, None where it tells none.

    Both equations at once, each weighted by how much it says: f² = −(a·b) / (a·a) over the two.
    """
    h = _centred(plane)
    diagonal = math.hypot(*plane.size_px)
    h = h / np.array([[diagonal], [diagonal], [1.0]])
    h = h / np.linalg.norm(h[:2, :2])
    w = np.array([h[2, 0] * h[2, 1], (h[2, 0] ** 2 - h[2, 1] ** 2) / 2])
    if np.hypot(*h[2, :2]) == 0:
        return None
    flat = np.array(
        [
            h[0, 0] * h[0, 1] + h[1, 0] * h[1, 1],
            (h[0, 0] ** 2 + h[1, 0] ** 2 - h[0, 1] ** 2 - h[1, 1] ** 2) / 2,
        ]
    )
    squared = -float(w @ flat) / float(w @ w)
    if not SHORTEST**2 <= squared <= LONGEST**2:
        return None
    return math.sqrt(squared) * diagonal


def _centred(plane: Plane) -> np.ndarray:
    """The homography with pixels counted from the middle of the picture."""
    width, height = plane.size_px
    moved = np.array([[1, 0, -width / 2], [0, 1, -height / 2], [0, 0, 1]])
    return moved @ plane.homography


def _eye(h: np.ndarray, focal: float) -> np.ndarray:
    """(3,) the eye for one focal length: −Rᵀt, with R the rotation nearest to [r₁ r₂ r₁×r₂]."""
    m = h / np.array([[focal], [focal], [1.0]])
    m = m / ((np.linalg.norm(m[:, 0]) + np.linalg.norm(m[:, 1])) / 2)
    u, _, v = np.linalg.svd(np.column_stack([m[:, 0], m[:, 1], np.cross(m[:, 0], m[:, 1])]))
    rotation = u @ np.diag([1, 1, np.linalg.det(u @ v)]) @ v
    return -rotation.T @ m[:, 2]


def _skew(h: np.ndarray, focal: float) -> float:
    """How far K⁻¹H is from columns that are square to each other and equally long; 0 for none."""
    m = h[:, :2] / np.array([[focal], [focal], [1.0]])
    one, two = m.T
    whole = (one @ one + two @ two) / 2
    return math.hypot(one @ two, (one @ one - two @ two) / 2) / whole
