"""From the shapes of a drawing to the data of a house, with what became of each."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

import numpy as np

from layouts.errors import InputError, Problem
from layouts.files.names import ALL
from layouts.place import aims_that_work, along_path, path_length_m
from layouts.polygon import area_m2, first_crossing, inside
from layouts.records import Kind
from layouts.svg.flatten import polylines
from layouts.svg.labels import names_in, of_house, plain_of
from layouts.svg.page import Page, Shape, box_of
from layouts.svg.parts import depth_of, with_trim
from layouts.svg.regions import pieces
from layouts.svg.scale import Scale, check_reach, scale_of
from layouts.svg.style import Rgb
from layouts.units import METRES

#: How far a curve may leave its chords [m].
TOLERANCE_M = 0.005
#: A surface that encloses less [m²] is a speck.
LEAST_M2 = 1e-4
#: From the wall out: a line of lights hangs under the edge of a roof.
STANDOFF = "0.3 m"
ON_HEDGE = "0.05 m"
MOST_POINTS = 2000
#: What grows or lies around a house, and says nothing of its width.
GARDEN = ("hedge", "lawn", "path-gravel", "snow")
#: A colour farther than this from every material [OKLab] is told.
FAR = 0.12

#: The nearest material to a colour, and how far it is [OKLab].
Nearest = Callable[[Rgb], tuple[str, float]]


@dataclass(frozen=True)
class Made:
    """What one shape became: a row of the list that is told."""

    at: tuple[int, int]
    shape: str
    became: str  # surface, run, scale, ground, nothing
    name: str
    said: str


@dataclass(frozen=True)
class DrawnHouse:
    """The data of a house file, the rows about every shape, and how its scale is known."""

    data: dict[str, Any]
    rows: tuple[Made, ...]
    scale: Scale


def house_of_page(
    page: Page,
    *,
    materials: Collection[str],
    nearest: Nearest,
    kind: Kind,
    hedge_kind: Kind,
    profile: str,
    name: str,
    units: str = "m",
    width: str | None = None,
) -> DrawnHouse:
    """The house that is drawn on a page; its runs are of `kind` in `profile`, on hedges a string.

    Raises InputError where nothing says the scale or nothing is drawn, ValueError for a `width`
    that is none.
    """
    return _Maker(page, materials, nearest, kind, hedge_kind, profile).made(name, units, width)


class _Maker:
    def __init__(
        self,
        page: Page,
        materials: Collection[str],
        nearest: Nearest,
        kind: Kind,
        hedge_kind: Kind,
        profile: str,
    ):
        self._page, self._kind, self._profile = page, kind, profile
        self._hedge_kind = hedge_kind
        self._materials = sorted(materials, key=len, reverse=True)
        self._nearest = nearest
        self._names: set[str] = {ALL}
        self._rows: list[Made] = []
        self._surfaces: list[dict[str, Any]] = []
        self._runs: list[dict[str, Any]] = []
        self._paths: list[np.ndarray] = []
        self._outlines: list[tuple[np.ndarray, str]] = []

    def made(self, name: str, units: str, width: str | None) -> DrawnHouse:
        page = self._page
        chosen = {id(each): self._material(each) for each in page.shapes if each.filled}
        back = [
            each
            for each in page.shapes
            if each.filled and self._covers(each) and not self._is_of_house(each)
        ]
        drawn = [each for each in page.shapes if each not in back and not _is_ground(each)]
        walls = [each for each in drawn if each.filled and chosen[id(each)][0] not in GARDEN]
        house = walls or drawn
        if not house:
            what = "nothing is drawn here that could be a house"
            do = "fill shapes for its surfaces, and draw unfilled lines where lights go"
            raise InputError([Problem(page.file, 1, 1, what, do)])
        chosen = with_trim(chosen, walls, self._materials)
        boxes = np.array([box_of(each) for each in house])
        left, right = float(boxes[:, 0].min()), float(boxes[:, 2].max())
        scale = scale_of(page, width, units, (left, right))
        check_reach(page, scale, (left, right), [box_of(each) for each in page.shapes])
        self._units = units
        grounds = [each for each in page.shapes if _is_ground(each)]
        ground_px = float(box_of(grounds[0])[3] if grounds else boxes[:, 3].max())
        self._m_per_px, self._ground_px = scale.m_per_px, ground_px
        self._step_m = METRES["in"] / 16 if units in ("ft", "in") else 0.001
        for shape in page.shapes:
            if any(shape is line for line in scale.lines):
                self._row(shape, "scale", "", "it says how large the drawing is")
            elif _is_ground(shape):
                self._row(shape, "ground", "", "y = 0")
            elif shape in back:
                self._row(shape, "nothing", "", "it covers the page: the sky is drawn by itself")
            elif shape.filled:
                self._surface(shape, *chosen[id(shape)])
            else:
                self._run(shape)
        self._rows += [
            Made(each.at, each.tag, "nothing", each.label, each.why) for each in page.left_out
        ]
        if not self._runs:
            what = "there is no unfilled line along which lights could go"
            do = "draw lines with a stroke and no fill where the lights are to be"
            raise InputError([Problem(page.file, 1, 1, what, do)])
        data = {
            "format": "evenfall-house/1",
            "name": name,
            "units": units,
            "drawing": {"size": self._size(), "viewer": "14 m", "surfaces": self._surfaces},
            "runs": self._runs,
            "outputs": self._outputs(),
        }
        return DrawnHouse(data, tuple(sorted(self._rows, key=lambda row: row.at)), scale)

    def _outputs(self) -> list[dict[str, Any]]:
        """Runs chained as they are drawn, as far as data goes from one to the next."""
        hop_m = self._kind.data_hop_m or 0.0
        chains: list[list[str]] = []
        end = np.full(2, np.inf)
        for run, placed in zip(self._runs, self._paths, strict=True):
            if not chains or np.hypot(*(placed[0] - end)) > hop_m:
                chains.append([])
            chains[-1].append(run["name"])
            end = placed[-1]
        return [{"name": f"out-{i}", "chain": chain} for i, chain in enumerate(chains, 1)]

    def _lies_on(self, placed: np.ndarray) -> str:
        """The material that is seen behind the middle of a line; "" where there is none."""
        steps = np.hypot(*np.diff(placed, axis=0).T)
        middle, _ = along_path(placed, np.array([steps.sum() / 2]))
        for outline, material in reversed(self._outlines):
            if inside(outline, middle)[0]:
                return material
        return ""

    def _size(self) -> list[str]:
        """The page above the ground, or what is drawn where there is no page."""
        if self._page.size is not None:
            width, height = self._page.size[0], self._ground_px
        else:
            boxes = np.array([box_of(each) for each in self._page.shapes])
            width, height = boxes[:, 2].max() * 1.03, self._ground_px - boxes[:, 1].min() * 0.9
        return [_text(width * self._m_per_px), _text(max(height, 1) * self._m_per_px)]

    def _row(self, shape: Shape, became: str, name: str, said: str) -> None:
        note = shape.note if became == "surface" else ""
        said = "; ".join(each for each in (said, note) if each)
        label = shape.labels[0] if shape.labels else ""
        self._rows.append(Made(shape.at, shape.tag, became, name or label, said))

    def _covers(self, shape: Shape) -> bool:
        """Whether a shape is the background: as large as the page."""
        if self._page.size is None:
            return False
        x0, y0, x1, y1 = box_of(shape)
        width, height = self._page.size
        within = 0.01 * max(width, height)
        return x0 <= within and y0 <= within and x1 >= width - within and y1 >= height - within

    def _is_of_house(self, shape: Shape) -> bool:
        """Whether its labels name a material, or the first that is a name is not the sky's."""
        return of_house(shape.own) or bool(self._labelled(shape)[0])

    def _labelled(self, shape: Shape) -> tuple[str, str]:
        """The material that a label names, and the label; "" for none."""
        for label in shape.labels:
            plain = plain_of(label)
            for material in self._materials:
                if re.search(rf"(?:^|-){re.escape(material)}(?:-|$)", plain):
                    return material, label
        return "", ""

    def _material(self, shape: Shape) -> tuple[str, str]:
        """The material of a filled shape, "" for none, and how it was chosen."""
        material, label = self._labelled(shape)
        if material:
            return material, f"{material}, by its label '{label}'"
        if shape.fill is None:
            return "", "it has no colour; label it with the name of a material"
        material, apart = self._nearest(shape.fill)
        colour = "#{:02x}{:02x}{:02x}".format(*shape.fill)
        far = ", which is far from it" if apart > FAR else ""
        return material, f"{material}, nearest to {colour}{far}"

    def _surface(self, shape: Shape, material: str, said: str) -> None:
        if not material:
            self._row(shape, "nothing", "", said)
            return
        rings = [
            points[:-1] if len(points) > 2 and np.array_equal(points[0], points[-1]) else points
            for points, _ in polylines(shape.path, TOLERANCE_M / self._m_per_px)
        ]
        rings = [self._placed(ring) for ring in rings if len(ring) >= 3]
        rings = [ring for ring in rings if len(ring) >= 3]
        if not rings:
            self._row(shape, "nothing", "", "it encloses nothing")
            return
        if sum(map(len, rings)) > 2 * MOST_POINTS:
            self._row(shape, "nothing", "", f"more than {MOST_POINTS} points; draw it simpler")
            return
        if len(rings) == 1 and _is_sound(rings[0]):
            outlines = rings
        else:
            try:
                cut = [self._as_written(each) for each in pieces(rings, shape.rule)]
                outlines = [each for each in cut if _is_sound(each)]
            except ValueError as error:
                self._row(shape, "nothing", "", f"it is too fine to be cut: {error}")
                return
            said += f"; cut into {len(outlines)} for its holes, parts or crossings"
        depth_m, told = depth_of(shape, self._units)
        said += told
        if not outlines:
            self._row(shape, "nothing", "", "it encloses nothing")
            return
        if max(len(each) for each in outlines) > MOST_POINTS:
            self._row(shape, "nothing", "", f"more than {MOST_POINTS} points; draw it simpler")
            return
        base = self._name(shape, "surface", len(outlines))
        for number, outline in enumerate(outlines, 1):
            name = base if len(outlines) == 1 else f"{base}-{number}"
            self._outlines.append((outline, material))
            outline_text = [[_text(x), _text(y)] for x, y in outline]
            entry: dict[str, Any] = {"name": name, "material": material}
            if depth_m:
                entry["depth"] = _text(depth_m)
            self._surfaces.append({**entry, "outline": outline_text})
        self._row(shape, "surface", base, said)

    def _run(self, shape: Shape) -> None:
        """The runs of a stroke; they hang under an edge, or lie on a hedge and face the street."""
        paths = []
        for points, closed in polylines(shape.path, TOLERANCE_M / self._m_per_px):
            placed = self._placed(np.concatenate([points, points[:1]]) if closed else points)
            on_hedge = len(placed) > 1 and self._lies_on(placed) == "hedge"
            kind = self._hedge_kind if on_hedge else self._kind
            if path_length_m(placed) >= kind.pitch_m:
                paths.append((placed, kind))
        if not paths:
            self._row(shape, "nothing", "", "it is shorter than one pixel")
            return
        base = self._name(shape, "run", len(paths))
        for number, (placed, kind) in enumerate(paths, 1):
            steps = np.diff(placed, axis=0)
            works = aims_that_work(steps / np.hypot(*steps.T)[:, None])
            on_hedge = kind is self._hedge_kind
            self._paths.append(placed)
            self._runs.append(
                {
                    "name": base if len(paths) == 1 else f"{base}-{number}",
                    "pixels": kind.name,
                    "path": [[_text(x), _text(y)] for x, y in placed],
                    "aim": "down" if "down" in works and not on_hedge else "out",
                    "standoff": ON_HEDGE if on_hedge else STANDOFF,
                    "profile": "bare" if on_hedge else self._profile,
                }
            )
        length = sum(path_length_m(each) for each, _ in paths)
        of = " and ".join(dict.fromkeys(each.name for _, each in paths))
        many = f", in {len(paths)} pieces" if len(paths) > 1 else ""
        self._row(shape, "run", base, f"{length:.2f} m of {of}{many}")

    def _placed(self, points: np.ndarray) -> np.ndarray:
        """Points of the page as house coordinates [m]."""
        x = points[:, 0] * self._m_per_px
        y = (self._ground_px - points[:, 1]) * self._m_per_px
        return self._as_written(np.column_stack([x, y]))

    def _as_written(self, points: np.ndarray) -> np.ndarray:
        """Points [m] as the file will have them: what is refused there must be seen here."""
        placed = np.round(points / self._step_m) * self._step_m + 0.0
        keep = np.r_[True, np.any(np.diff(placed, axis=0) != 0, axis=1)]
        return placed[keep]

    def _name(self, shape: Shape, what: str, parts: int) -> str:
        """A name that nothing has yet, by the first label that is one."""
        wanted = next(names_in(shape.labels), what)
        name, number = wanted, 1
        while name in self._names or (parts > 1 and f"{name}-1" in self._names):
            number += 1
            name = f"{wanted} {number}"
        self._names |= {name} if parts == 1 else {name, *(f"{name}-{i + 1}" for i in range(parts))}
        return name


def _is_ground(shape: Shape) -> bool:
    return shape.stroked and not shape.filled and "ground" in map(plain_of, shape.labels)


def _is_sound(outline: np.ndarray) -> bool:
    return (
        len(outline) >= 3 and abs(area_m2(outline)) >= LEAST_M2 and first_crossing(outline) is None
    )


def _text(metres: float) -> str:
    """A length to the thousandth of a millimetre; the writer of house files rounds further."""
    return f"{metres:.6f}".rstrip("0").rstrip(".") + " m"
