"""Marks over the house: what is broken, what was seen, where the likeliest causes are."""

from __future__ import annotations

import numpy as np
import pygame

from layouts import EvenfallError, House
from layouts.faults import Fault
from layouts.sighting_entries import behind, pixels_of
from layouts.sightings import LOOKS
from sim.app.state.mending import broken_now, sheet_of
from sim.app.state.record import State
from sim.app.state.sighted import stretch_text
from sim.app.state.touch_places import TouchPlaces
from sim.app.state.touch_record import Thing
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.theme import Colour
from sim.app.view.touch_light import draw_around, lines_around

#: The letter of each look, beside its shape: no mark is told by its colour alone.
_SAID = {"dark": "dark", "wrong": "wrong colour", "flickers": "flickers", "lit": "lit"}
_INK: dict[str, Colour] = {"dark": theme.QUIET, "wrong": theme.OVER, "flickers": theme.AMBER,
                           "lit": (126, 200, 140)}  # fmt: skip
#: So many of the likeliest causes are marked.
_CAUSES = 3


def draw_marks(brush: Brush, state: State, house: House, places: TouchPlaces) -> None:
    """All of them that belong to what is open."""
    if len(places.at_px) != len(house.pixels):
        return
    for fault in broken_now(state):
        at = where_of(fault, house, places)
        if at is not None:
            _broken(brush, at)
    if sheet_of(state) != "seen":
        return
    now = state.sighted
    for line in now.seen:
        if line.what in LOOKS:
            pixels = _pixels(line.text, line.onwards, house)
            if pixels is not None:
                _stretch(brush, house, places, pixels, line.what)
        elif line.what == "volts":
            pixels = _pixels(line.at, False, house)
            if pixels is not None and len(pixels) == 1:
                at = places.at_px[pixels[0]]
                _tag(brush, (float(at[0]), float(at[1])), f"{line.value:g} V", theme.WARM)
    if now.held is not None and now.held.run < len(house.runs):
        pixels = _pixels(stretch_text(house, now.held), False, house)
        if pixels is not None:
            _stretch(brush, house, places, pixels, now.tool if now.tool in _SAID else "lit")
    if now.found is not None and now.found_of == now.seen:
        first = enumerate(now.found.suspects[:_CAUSES], 1)
        # The likeliest comes last, and lies on top.
        for number, suspect in reversed(list(first)):
            if number > 1 and suspect.probability < 0.05:
                continue
            at = where_of(suspect.fault, house, places)
            if at is not None:
                _number(brush, at, number)


def where_of(fault: Fault, house: House, places: TouchPlaces) -> tuple[float, float] | None:
    """Where a fault is on the picture [px]; None where that is not drawn."""
    if fault.supply is not None:
        for thing, at in places.boxes.items():
            if thing.name == fault.supply:
                return at
        return None
    if fault.wire is not None:
        points = places.points(Thing("wire", fault.wire, house.wires[fault.wire].label))
        if not len(points):
            return None
        x, y = points[-1 if fault.kind == "short" else len(points) // 2].tolist()
        return (x, y)
    run = house.run(str(fault.run))
    n = fault.position or 0
    own = places.at_px[run.pixels]
    between = fault.kind in ("open", "joint") and 0 < n < run.count
    spot = own[n - 1 : n + 1].mean(axis=0) if between else own[min(n, run.count - 1)]
    return (float(spot[0]), float(spot[1]))


def _pixels(text: str, onwards: bool, house: House) -> np.ndarray | None:
    """The pixels that a sighting names; None where the house on show has none such."""
    try:
        pixels = pixels_of(text, house)
    except (ValueError, EvenfallError):
        return None
    return behind(int(pixels[0]), house) if onwards and len(pixels) else pixels


def _stretch(
    brush: Brush, house: House, places: TouchPlaces, pixels: np.ndarray, look: str
) -> None:
    """A line around what was seen, run by run, and what it was."""
    ink = _INK[look]
    for run in house.runs:
        mine = pixels[(pixels >= run.first) & (pixels < run.first + run.count)]
        if not len(mine):
            continue
        line = places.at_px[np.sort(mine)]
        draw_around(brush, lines_around(corners(line), 9.0, brush.scale, ink))
        x, y = line[len(line) // 2].tolist()
        _tag(brush, (x, y), _SAID[look], ink)


def corners(line: np.ndarray, off_px: float = 1.0) -> np.ndarray:
    """(M, 2) the ends and corners of a line (J, 2): nothing lies farther off than `off_px`."""
    if len(line) < 3:
        return line
    along = line[-1] - line[0]
    long = float(np.hypot(*along))
    out = line - line[0]
    away = np.hypot(*out.T) if long < off_px else \
        np.abs(out[:, 0] * along[1] - out[:, 1] * along[0]) / long  # fmt: skip
    at = int(away.argmax())
    if away[at] <= off_px:
        return line[[0, -1]]
    return np.concatenate([corners(line[: at + 1], off_px)[:-1], corners(line[at:], off_px)])


def _tag(brush: Brush, at: tuple[float, float], text: str, ink: Colour) -> None:
    px = brush.px
    w, h = brush.size(text, theme.SMALL)
    x, y = round(at[0]) - w // 2, round(at[1]) - px(13) - h
    clip = brush.surface.get_clip()
    x = min(max(x, clip.x + px(8)), max(clip.right - w - px(8), clip.x))
    if y < clip.y + px(4):
        y = round(at[1]) + px(13)
    brush.fill(Rect(x - px(6), y - px(1), w + px(12), h + px(2)), theme.NIGHT, alpha=220, radius=5)
    brush.text(text, x, y, ink, theme.SMALL)


def _broken(brush: Brush, at: tuple[float, float]) -> None:
    """A cross in a disc."""
    px, middle = brush.px, (round(at[0]), round(at[1]))
    pygame.draw.aacircle(brush.surface, theme.NIGHT, middle, px(9))
    pygame.draw.aacircle(brush.surface, theme.OVER, middle, px(9), px(1.5))
    arm = px(4)
    for way in (-1, 1):
        pygame.draw.aaline(brush.surface, theme.OVER, (middle[0] - arm, middle[1] - way * arm),
                           (middle[0] + arm, middle[1] + way * arm), px(2))  # fmt: skip


def _number(brush: Brush, at: tuple[float, float], number: int) -> None:
    """A cause by its number."""
    px, middle = brush.px, (round(at[0]), round(at[1]))
    pygame.draw.aacircle(brush.surface, theme.NIGHT, middle, px(13))
    pygame.draw.aacircle(brush.surface, theme.AMBER, middle, px(11))
    h = brush.size(str(number), bold=True)[1]
    brush.text(str(number), middle[0], middle[1] - h / 2, theme.NIGHT, bold=True, align="centre")
