"""The photograph behind the lights: whether it is one, and whether its corners can be meant."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from layouts.files.refusals import Refusals
from layouts.polygon import is_convex
from layouts.records import Photo

if TYPE_CHECKING:
    from layouts.schema import PhotoEntry

#: A photograph shows a garden and a sky too, but not so many times the drawing's size beyond it.
FAR = 5.0


def build_photo(entry: PhotoEntry, size_m: tuple[float, float], refusals: Refusals) -> Photo | None:
    """The photograph, where it lies in the house file's folder or below it.

    `size_m` is that of the drawing, which its corners are held against.
    """
    file = _file(entry.file, refusals)
    corners = np.array(entry.corners, dtype=float)
    wrong = _wrong_corners(corners, size_m)
    if wrong:
        what, do = wrong
        refusals.add(("drawing", "photo", "corners"), what, do)
    if file is None:
        return None
    return Photo(str(file), tuple((x, y) for x, y in corners.tolist()))


def _file(name: str, refusals: Refusals) -> Path | None:
    """The file, or None and a problem."""
    path = ("drawing", "photo", "file")
    folder = Path(refusals.file).resolve().parent
    try:
        file = (folder / name).resolve()
        there = file.is_file()
    except (OSError, ValueError):  # longer than a name can be, or with a NUL in it
        refusals.add(path, f"no file can have the name {name[:40]!r}", "name a photo beside it")
        return None
    if not file.is_relative_to(folder):
        what = f"the photo '{name}' lies outside the folder of the house file"
        refusals.add(path, what, "move it beside the house file")
        return None
    if not there:
        what = f"there is no photo '{name}'"
        refusals.add(path, what, "put it beside the house file, or leave 'photo' out")
        return None
    if not _is_picture(file):
        what = f"'{name}' is no picture that can be read"
        refusals.add(path, what, "save the photograph as JPEG or PNG")
        return None
    return file


def _is_picture(file: Path) -> bool:
    """Whether a file begins as a picture does; only its head is read."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file):
                return True
    except (OSError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return False


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
