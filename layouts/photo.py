"""The photograph behind the lights: whether it is one, and whether its corners or points can be."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from layouts.files.refusals import Refusals
from layouts.photograph.faults import UnfitPoints
from layouts.photograph.file_head import UnfitPicture, picture_size
from layouts.photograph.placed import plane_of
from layouts.photograph.plane import check_lens
from layouts.polygon import is_convex
from layouts.records import KnownPoint, Photo

if TYPE_CHECKING:
    from layouts.schema import PhotoEntry

#: A photograph shows a garden and a sky too, but not so many times the drawing's size beyond it.
FAR = 5.0


def build_photo(entry: PhotoEntry, size_m: tuple[float, float], refusals: Refusals) -> Photo | None:
    """The photograph, where it lies in the house file's folder or below it.

    `size_m` is that of the drawing, which its corners and known points are held against.
    """
    path = ("drawing", "photo")
    file, size_px = _file(entry.file, refusals)
    if (entry.corners is None) == (entry.points is None):
        both = "both corners and points" if entry.corners else "neither corners nor points"
        refusals.add(path, f"the photo has {both}", "give its corners, or points that are known")
        return None
    if entry.corners is not None:
        corners = np.array(entry.corners, dtype=float)
        wrong = _wrong_corners(corners, size_m)
        if wrong:
            refusals.add((*path, "corners"), *wrong)
        if entry.lens is not None:
            what = "a photo laid by its corners is taken as straight already"
            refusals.add((*path, "lens"), what, "give points instead of corners, or leave it out")
        if file is None:
            return None
        return Photo(str(file), tuple((x, y) for x, y in corners.tolist()), size_px=size_px)
    points = tuple(
        KnownPoint((each.pixel[0], each.pixel[1]), (each.at[0], each.at[1]))
        for each in entry.points or ()
    )
    lens = (entry.lens[0], entry.lens[1]) if entry.lens else (0.0, 0.0)
    if file is None:
        return None
    photo = Photo(str(file), (), points, lens, size_px)
    _check_points(photo, size_m, refusals)
    return photo


def _check_points(photo: Photo, size_m: tuple[float, float], refusals: Refusals) -> None:
    """Points outside the picture or far from the drawing, and those that fix no wall."""
    path = ("drawing", "photo")
    wide, tall = photo.size_px
    size = np.array(size_m)
    sound = True
    for index, point in enumerate(photo.points):
        u, v = point.pixel
        if not (0 <= u <= wide and 0 <= v <= tall):
            what = f"pixel [{u:g}, {v:g}] lies outside the photo, which is {wide} × {tall}"
            do = "count from the upper left of the picture as it is seen"
            refusals.add((*path, "points", index, "pixel"), what, do)
            sound = False
        at = np.array(point.at_m)
        if (np.maximum(-at, at - size) > FAR * size).any():
            what = (
                f"the point lies far outside the drawing, which is {size[0]:.3g} m wide and"
                f" {size[1]:.3g} m high"
            )
            refusals.add((*path, "points", index, "at"), what, "check its unit")
            sound = False
    try:
        check_lens(photo.lens)
    except UnfitPoints as wrong:
        refusals.add((*path, "lens"), wrong.what, wrong.do)
        return
    if sound:
        try:
            plane_of(photo)
        except UnfitPoints as wrong:
            refusals.add((*path, "points"), wrong.what, wrong.do)


def _file(name: str, refusals: Refusals) -> tuple[Path | None, tuple[int, int]]:
    """The file and its size as it is seen [px], or None and a problem."""
    path = ("drawing", "photo", "file")
    folder = Path(refusals.file).resolve().parent
    nothing = None, (0, 0)
    try:
        file = (folder / name).resolve()
        there = _is_there(file)
    except (OSError, ValueError):  # longer than a name can be, or with a NUL in it
        refusals.add(path, f"no file can have the name {name[:40]!r}", "name a photo beside it")
        return nothing
    if not file.is_relative_to(folder):
        what = f"the photo '{name}' lies outside the folder of the house file"
        refusals.add(path, what, "move it beside the house file")
        return nothing
    if not there:
        what = f"there is no photo '{name}'"
        refusals.add(path, what, "put it beside the house file, or leave 'photo' out")
        return nothing
    try:
        return file, picture_size(file)
    except UnfitPicture as wrong:
        refusals.add(path, f"'{name}' {wrong.what}", wrong.do)
        return nothing


def _is_there(file: Path) -> bool:
    """As `Path.is_file`, which from Python 3.14 on takes a name that no file can have for missing.

    Raises OSError or ValueError for such a name.
    """
    try:
        return stat.S_ISREG(os.stat(file).st_mode)
    except OSError as error:
        if error.errno in (errno.ENOENT, errno.ENOTDIR, errno.ELOOP):
            return False
        raise


def _wrong_corners(corners: np.ndarray, size_m: tuple[float, float]) -> tuple[str, str] | None:
    """What is wrong with the corners (4, 2) [m], and what to do."""
    order = "give lower left, lower right, upper right, upper left"
    if not is_convex(corners):
        return "the photo's corners do not go once around", order
    across = corners[[1, 2]].mean(axis=0) - corners[[0, 3]].mean(axis=0)
    up = corners[[2, 3]].mean(axis=0) - corners[[0, 1]].mean(axis=0)
    if abs(across[0]) <= abs(across[1]):
        return "the photo would lie on its side", order
    if up[1] < 0:
        turned = "upside down" if across[0] < 0 else "upside down and mirrored"
        return f"the photo would stand {turned}", order
    if across[0] < 0:
        return "the photo would stand mirrored", order
    size = np.array(size_m)
    beyond = np.maximum(-corners, corners - size).max(axis=0) > FAR * size
    apart = (corners.max(axis=0) <= 0) | (corners.min(axis=0) >= size)
    if beyond.any() or apart.any():
        what = (
            f"the photo's corners lie far outside the drawing, which is {size[0]:.3g} m wide and"
            f" {size[1]:.3g} m high"
        )
        return what, "check their unit"
    return None
