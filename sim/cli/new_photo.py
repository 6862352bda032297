"""`evenfall new DIR --photo FILE`: a house file around a photograph of the wall.

With known points, or lengths along the wall's two directions, the photograph is straightened and
the error of that is told in centimetres. What is on it (eaves, windows) is drawn afterwards.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from layouts.errors import EvenfallError, InputError, Problem
from sim.cli.common import say

if TYPE_CHECKING:
    from layouts.photograph import Plane

SCHEME = "evening.scheme.yaml"  # written where there is none
PIXELS = "ws2815"  # of the run a new house begins with
ROOM_M = 0.6  # left free beside the known points at least
SKY_M = 1.5  # and above them
# The drawing is as large as what the photograph shows of the wall, but no more than the known
# points times so much farther: a wall seen aslant goes on for ever.
FARTHER, HIGHER = 2.0, 0.75
EXAMPLE = (
    "give four corners of something on the wall whose sizes are known, pixel = place from the lower"
    " left of the house, such as: --point '412,988 = 0 m, 0 m' --point '1890,1004 = 8 m, 0 m'"
    " --point '1874,395 = 8 m, 3 m' --point '430,362 = 0 m, 3 m'; or two level and two upright"
    " lines, one of each with its length: --length '412,988 1890,1004 = 8 m'"
    " --length '430,362 1874,395' --length '412,988 430,362 = 3 m' --length '1890,1004 1874,395'"
)


def from_photo(
    folder: Path,
    photo: Path,
    points: list[str],
    eaves: list[str],
    lengths: list[str],
    viewer: str | None,
    units: str | None,
    name: str | None,
) -> list[Path]:
    """Write house.yaml and a copy of the photograph into `folder`; never over a file.

    points : `u,v = x,y`, pixels of the picture as seen and places on the wall, four or more
    eaves : `u,v u,v u,v`, three or more pixels along what is straight; the lens is told by them
    lengths : `u,v u,v = 8 m`, or without a length; level or upright is seen from how they run
    viewer : how far from the wall the camera stood
    Returns what was written. Raises EvenfallError, before anything is written, for what is wrong.
    """
    from layouts import house_from
    from layouts.files.together import create_together
    from layouts.new_file import house_text
    from layouts.photograph import UnfitPoints
    from layouts.photograph.file_head import UnfitPicture, picture_size, pictures_in
    from sim.cli.new_form import EVENING
    from sim.cli.new_photo_flags import eave_lines, in_units, known_pairs, lines_of, viewer_m

    if photo.is_dir():
        raise EvenfallError(f"{photo} is a folder; name the photograph in it, JPEG or PNG")
    if not photo.is_file():
        raise EvenfallError(f"{photo}: there is no such photo; name one, JPEG or PNG")
    try:
        size_px = picture_size(photo)
    except UnfitPicture as wrong:
        raise EvenfallError(f"{photo}: {wrong}") from None
    many = pictures_in(photo)
    if many > 1:
        say(f"{photo}: of its {many} pictures the first is taken")
    from sim.light.photo_file import check_whole

    check_whole(str(photo))
    unit = in_units(units)
    house_file, copy = folder / "house.yaml", folder / photo.name
    _check_free(folder, house_file, copy, photo)
    if not points and not lengths:
        marked = _marked(folder, photo, eaves, viewer, units, name)
        if marked is not None:
            return marked
        raise EvenfallError(f"{photo}: nothing says how large the wall is; {EXAMPLE}")
    if points and lengths:
        raise EvenfallError("--point, --length: each says how large the wall is; give one of them")
    away_m = viewer_m(viewer, unit)
    try:
        lens = _lens(eave_lines(eaves, size_px), size_px)
        if points:
            pixel, at = known_pairs(points, unit, size_px)
            plane = _from_points(pixel, at, size_px, lens, unit)
        else:
            plane, pixel, at = _from_lengths(*lines_of(lengths, unit, size_px), size_px, lens, unit)
        _tell_eye(plane, away_m, unit)
    except UnfitPoints as wrong:
        flag = "--point" if points else "--length"
        raise InputError([Problem(flag, 0, 0, wrong.what, wrong.do)]) from None
    data = house_data_of(plane, pixel, at, photo.name, away_m, unit, name)
    text = house_text(data, remarks=_REMARKS.format(photo=photo.name))
    house_from(data, file=str(photo.with_name(house_file.name)))  # what is written can be read
    files = {house_file.name: text.encode()}
    if not copy.exists():
        files[copy.name] = photo.read_bytes()
    if not os.path.lexists(folder / SCHEME):  # without one there is nothing to see at night
        files[SCHEME] = EVENING.encode()
    create_together(folder, files)
    return [folder / each for each in files]


def _marked(
    folder: Path,
    photo: Path,
    eaves: list[str],
    viewer: str | None,
    units: str | None,
    name: str | None,
) -> list[Path] | None:
    """What is written for marks made in a window: nothing if it was left; None: no display."""
    from sim.cli.preview import has_display

    if not has_display():  # the library, asked for one, prints an error of its own
        return None
    from sim.app.display import can_show
    from sim.app.straighten import run_straightening

    if not can_show():
        return None

    def write(
        points: list[str], drawn: list[str], lengths: list[str], away: str | None
    ) -> list[Path]:
        return from_photo(folder, photo, points, [*eaves, *drawn], lengths, away, units, name)

    return run_straightening(photo, units, write, viewer) or []


_REMARKS = """A house around a photograph of its wall, {photo}. x counts to the right and y up from
the ground, as the known points say. Change the run below to where your eaves are, and draw more:

  surfaces without a material are parts of the photograph that stand before the wall, at
  their `depth`; with one (glass-lit, brick-red …) they are painted over it

Mains work is for a licensed electrician, outdoor circuits go behind a GFCI/RCD, and every wire
that leaves a supply gets a fuse at the supply's end."""


def house_data_of(
    plane: Plane,
    pixel: np.ndarray,
    at_m: np.ndarray,
    photo: str,
    viewer_m: float | None,
    units: str,
    name: str | None,
) -> Mapping[str, Any]:
    """The keys of a house file: the photograph on its wall, and one run along the points' top."""
    from layouts.photograph import skyline
    from layouts.units import METRES

    def length(metres: float) -> float:
        return float(metres / METRES[units])

    lens = [round(each, 5) for each in plane.lens]
    entry: dict[str, Any] = {
        "file": photo,
        "points": [
            {"pixel": [round(u, 2), round(v, 2)], "at": [length(x), length(y)]}
            for (u, v), (x, y) in zip(pixel.tolist(), at_m.tolist(), strict=True)
        ],
    }
    if any(lens):
        entry["lens"] = lens
    wide_m, tall_m = _extent_m(plane, at_m)
    drawing: dict[str, Any] = {"size": [length(wide_m), length(tall_m)]}
    if viewer_m is not None:
        drawing["viewer"] = length(viewer_m)
    # known points are on the wall: along the uppermost of them no run hangs in the sky
    path = [[length(x), length(y)] for x, y in skyline(at_m).tolist()]
    return {
        "name": name or "Photographed house",
        "units": units,
        "drawing": {**drawing, "photo": entry, "surfaces": []},
        "runs": [{"name": "eave", "pixels": PIXELS, "path": path, "aim": "down"}],
        "zones": {"eaves": ["eave"]},
        "outputs": [{"name": "port 1", "chain": ["eave"], "universe": 1, "fps": 40}],
    }


def _extent_m(plane: Plane, at_m: np.ndarray) -> tuple[float, float]:
    """How far right and up of the house's corner the drawing reaches [m], to the decimetre."""
    from layouts.photograph import to_wall

    low, high = at_m.min(axis=0), at_m.max(axis=0)
    wide, tall = plane.size_px
    shown = to_wall(plane, np.array([[wide, tall / 2], [wide / 2, 0]]))
    least = high + np.array((ROOM_M, SKY_M))
    most = np.maximum(high + (high - low) * (FARTHER, HIGHER), least)
    # past the wall's horizon nothing says where a pixel lies
    seen = np.where(np.isfinite(np.diagonal(shown)), np.diagonal(shown), most)
    right, top = np.round(np.clip(seen, least, most), 1).tolist()
    return right, top


def _check_free(folder: Path, house: Path, copy: Path, photo: Path) -> None:
    from layouts.files.together import holds

    if folder.exists() and not folder.is_dir():
        raise EvenfallError(f"{folder} is a file, not a folder; name another")
    if os.path.lexists(house):
        raise EvenfallError(f"{house} is already there; name another folder, or move it away")
    if os.path.lexists(copy) and not holds(copy, photo.read_bytes()):
        raise EvenfallError(f"{copy} is already there; name another folder, or move it away")


def _lens(lines: list[np.ndarray], size_px: tuple[int, int]) -> tuple[float, float]:
    """k₁ and k₂ by the drawn eaves, told; none where nothing was drawn."""
    from layouts.photograph import lens_from_lines

    if not lines:
        return (0.0, 0.0)
    found = lens_from_lines(lines, size_px)
    say(
        f"lens: k1 {found.lens[0]:.4f} ± {found.off_k1:.4f}; the eaves are straight within"
        f" {found.after_px:.1f} px, {found.before_px:.1f} px as photographed"
    )
    return found.lens


def _from_points(
    pixel: np.ndarray,
    at: np.ndarray,
    size_px: tuple[int, int],
    lens: tuple[float, float],
    unit: str,
) -> Plane:
    from layouts.catalogue import limits
    from layouts.photograph import UnfitPoints, errors_m, fit_plane, metres_per_pixel, odd_point
    from layouts.units import length_text

    plane = fit_plane(pixel, at, size_px, lens)
    off, worth = errors_m(plane, pixel, at), metres_per_pixel(plane, at)
    for number, (each, of_pixel) in enumerate(zip(off, worth, strict=True), 1):
        late = ", more than it should" if each > limits().photo_fit_m else ""
        say(
            f"point {number}: {_small_text(each, unit)} off{late}; a pixel there is"
            f" {_small_text(of_pixel, unit, '.2g')}"
        )
    odd = odd_point(pixel, at, size_px, lens, limits().photo_fit_m)
    if odd is not None:
        x, y = (length_text(round(m, 2), unit) for m in odd.seen_m)
        raise UnfitPoints(
            f"point {odd.number + 1} does not fit: without it the others agree within"
            f" {_small_text(odd.others_m, unit)}, and have its pixel at {x}, {y},"
            f" {_small_text(odd.off_m, unit, '.0f')} away",
            "see whether its pixel or its place was mistyped, or leave it out",
        )
    if len(pixel) == 4:
        say("four points always fit; a fifth would show whether one was mistyped")
    return plane


def _small_text(metres: float, unit: str, form: str = ".1f") -> str:
    """How far off something is: in inches to who measures in feet or inches, else centimetres."""
    from layouts.units import METRES

    small = "in" if unit in ("ft", "in") else "cm"
    return f"{metres / METRES[small]:{form}} {small}"


def _from_lengths(
    level: list[Any],
    upright: list[Any],
    size_px: tuple[int, int],
    lens: tuple[float, float],
    unit: str,
) -> tuple[Plane, np.ndarray, np.ndarray]:
    from layouts.photograph import known_points, plane_from_lengths, to_wall
    from layouts.units import length_text

    plane = plane_from_lengths(level, upright, size_px, lens)
    lines = [*level, *upright]
    for line in lines:
        ends = to_wall(plane, line.pixel)
        apart = float(np.hypot(*(ends[1] - ends[0])))
        if line.length_m is not None:
            known, found = (length_text(each, unit) for each in (line.length_m, apart))
            off = _small_text(abs(apart - line.length_m), unit)
            say(f"{known} comes out as {found}, {off} off")
    pixel, at = known_points(plane, np.concatenate([line.pixel for line in lines]))
    return plane, pixel, at


def _tell_eye(plane: Plane, away_m: float | None, unit: str) -> None:
    """Where the camera was; raises UnfitPoints where the viewer's distance cannot be."""
    from layouts.photograph import UnfitPoints, eye_of
    from sim.report.lengths import about_text

    if away_m is not None:
        x, y, _ = eye_of(plane, away_m)
    else:
        try:
            x, y, away_m = eye_of(plane)
        except UnfitPoints:
            say("how far away the photo was taken it does not tell; --viewer says it")
            return
    away, across, up = (about_text(float(each), unit) for each in (away_m, x, y))
    say(f"the camera stood {away} from the wall, before x = {across}, {up} up")
