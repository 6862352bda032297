"""The geometry of a photograph: which pixel shows which place of the wall.

Pixels are (u, v) of the picture as one sees it (turned as its EXIF data say), u to the right and
v downwards from the outer corner of the upper left pixel, so that the picture ends at its width and
height. Places are (x, y) [m] of the house, y upwards. Arrays have the pair in their last axis and
any shape before it.

    fit_plane(pixel, at_m, size_px, lens)        four or more known points -> Plane
    plane_from_lengths(level, upright, size_px, lens, origin)
                                                 two level and two upright lines, one length of each
    rectangle_m(width_m, height_m)               `at_m` of a rectangle's four corners
    to_wall(plane, pixel, depth_m, eye_m)        pixel -> place [m]; nan above the wall's horizon
    to_pixel(plane, xy_m, depth_m, eye_m)        place -> pixel; nan where it cannot be seen
    errors_m(plane, pixel, at_m)                 how far each known point is off [m]
    odd_point(pixel, at_m, size_px, lens, most)  the one without which all others agree
    skyline(at_m)                                the line along the uppermost places
    metres_per_pixel(plane, xy_m)                what a pixel is worth there
    eye_of(plane, distance_m)                    (x, y, distance) of the camera; needed for depth
    known_points(plane, around_px)               four points that say the same plane, for a file
    lens_from_lines(lines, size_px, terms)       k₁, k₂ that make drawn eaves straight
    bend_px(line)                                how far a drawn line is from straight
    height_ratio(base, reference, top, vanishing)

Whatever cannot be is told by UnfitPoints (`what`, `do`): too few points, points on a line, twice
the same, exchanged, mirrored, upside down, a lens that folds, no distance where depth needs one.
"""

from layouts.photograph.eye import eye_of, focal_px
from layouts.photograph.faults import UnfitPoints
from layouts.photograph.homography import homography_of, project
from layouts.photograph.lengths import DrawnLine, known_points, plane_from_lengths, rectangle_m
from layouts.photograph.lens import distort, to_ideal, to_seen, undistort
from layouts.photograph.lines import (
    LensFit,
    bend_px,
    height_ratio,
    lens_from_lines,
    vanishing_point,
)
from layouts.photograph.odd import OddPoint, odd_point
from layouts.photograph.plane import (
    Plane,
    errors_m,
    fit_plane,
    metres_per_pixel,
    seen_on_wall,
    to_pixel,
    to_wall,
)
from layouts.photograph.skyline import skyline

__all__ = [
    "DrawnLine",
    "LensFit",
    "OddPoint",
    "Plane",
    "UnfitPoints",
    "bend_px",
    "distort",
    "errors_m",
    "eye_of",
    "fit_plane",
    "focal_px",
    "height_ratio",
    "homography_of",
    "known_points",
    "lens_from_lines",
    "metres_per_pixel",
    "odd_point",
    "plane_from_lengths",
    "project",
    "rectangle_m",
    "seen_on_wall",
    "skyline",
    "to_ideal",
    "to_pixel",
    "to_seen",
    "to_wall",
    "undistort",
    "vanishing_point",
]
