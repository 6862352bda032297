"""The house while it is drawn: the picture as it is enlarged, what is laid over it, its figures."""

from __future__ import annotations

import numpy as np
import pygame

from layouts import length_text
from sim.app.state.drawing import Board
from sim.app.state.drawing_pointer import board_sight
from sim.app.state.drawing_sight import crop_of
from sim.app.state.record import State
from sim.app.state.shown import Shown
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import overlays, theme
from sim.app.view.brush import Brush
from sim.app.view.drawing_grid import BAND, Grids
from sim.app.view.drawing_over import draw_board
from sim.app.view.picture_surface import surface_of
from sim.report.text import ceiling_percent


class DrawingScreen:
    """Keeps what is costly to make between two draws."""

    def __init__(self) -> None:
        self._grids = Grids()

    def draw(self, brush: Brush, state: State, parts: Layout, shown: Shown) -> None:
        """The picture, the grid, the drawing and the figures, from back to front."""
        board = state.board
        assert board is not None
        picture, surface = parts.picture, brush.surface
        surface.set_clip(pygame.Rect(picture))
        fits = _blit(brush, parts, board, shown.left_image)
        sight = board_sight(state, parts)
        self._grids.draw(brush, picture, sight, board.house.units, board.grid)
        house = shown.left_house
        if fits and shown.left is not None and "volts" in state.overlays:
            at_px = sight.to_px(house.pixels.xy_m)
            overlays.draw_volts(brush, parts, house, at_px, shown.left.volts)
        draw_board(brush, picture, board, sight)
        self._grids.draw_marks(brush, picture, sight.at_px(board.cross_m))
        _figures(brush, parts, state, board, shown)
        surface.set_clip(None)


def _blit(brush: Brush, parts: Layout, board: Board, image: np.ndarray) -> bool:
    """The picture, or the part of it that is looked at; whether it has the size of its place."""
    picture = parts.picture
    height, width = image.shape[:2]
    made = surface_of(image)
    if board.zoom > 1.0:
        crop = crop_of((width, height), board.zoom, board.centre)
        # whole pixels are cut out a little larger, scaled, and shifted by what is left over
        x0, y0 = int(crop.x), int(crop.y)
        x1, y1 = min(int(crop.x + crop.w) + 2, width), min(int(crop.y + crop.h) + 2, height)
        part = made.subsurface(pygame.Rect(x0, y0, x1 - x0, y1 - y0))
        size = (round((x1 - x0) * board.zoom), round((y1 - y0) * board.zoom))
        shift = (round((x0 - crop.x) * board.zoom), round((y0 - crop.y) * board.zoom))
        brush.surface.blit(pygame.transform.scale(part, size), shift)
        return True
    if (width, height) != (picture.w, picture.h):
        made = pygame.transform.scale(made, (picture.w, picture.h))
        brush.surface.blit(made, (picture.x, picture.y))
        return False
    brush.surface.blit(made, (picture.x, picture.y))
    return True


def _figures(brush: Brush, parts: Layout, state: State, board: Board, shown: Shown) -> None:
    """Where the cross is, what the light costs, what is typed, why something was refused."""
    px, picture = brush.px, parts.picture
    units = board.house.units
    x, y = board.cross_m
    words = [f"{length_text(x, units)} across, {length_text(y, units)} up"]
    if shown.left is not None and len(shown.left.volts):
        words.append(_volts(board, shown))
        words.append(f"{float(shown.left.supply_a.sum()):.1f} A")
        if state.ceiling is not None:
            words.append(f"ceiling {ceiling_percent(state.ceiling)}")
    if board.zoom > 1.0:
        words.append(f"× {board.zoom:.1f}")
    room = picture.w - px(BAND) - px(44)
    while len(words) > 1 and brush.size("   ·   ".join(words), theme.SMALL)[0] > room:
        words.pop()
    line = "   ·   ".join(words)
    w, h = brush.size(line, theme.SMALL)
    band = px(BAND)
    foot = Rect(picture.x + band + px(8), picture.bottom - h - px(16), w + px(20), h + px(8))
    brush.fill(foot, theme.NIGHT, alpha=226, radius=5)
    brush.text(line, foot.x + px(10), foot.y + px(4), theme.QUIET, theme.SMALL)
    top = foot.y
    if board.typed and board.field is None:
        top = _box(brush, picture, top, board.typed + "|", "Enter holds it", theme.AMBER)
    if board.fault:
        _box(brush, picture, top, board.fault, "", theme.OVER)


def _box(brush: Brush, picture: Rect, top: int, text: str, hint: str, colour: theme.Colour) -> int:
    """A line of words over the figures; returns its top row."""
    px = brush.px
    room = picture.w - px(BAND) - px(40)
    lines = brush.wrapped(text, max(room, px(60)))[:3]
    hint_w = brush.size(hint, theme.SMALL)[0] + px(14) if hint else 0
    width = max(brush.size(line, bold=not hint)[0] for line in lines) + px(24) + hint_w
    height = len(lines) * px(20) + px(10)
    place = Rect(picture.x + px(BAND) + px(8), top - height - px(6), width, height)
    brush.fill(place, theme.NIGHT, alpha=244, radius=6)
    brush.frame(place, colour, radius=6)
    for index, line in enumerate(lines):
        brush.text(line, place.x + px(12), place.y + px(5) + index * px(20), theme.WARM)
    if hint:
        brush.text(hint, place.right - px(10), place.y + px(7), theme.FAINT, theme.SMALL,
                   align="right")  # fmt: skip
    return place.y


def _volts(board: Board, shown: Shown) -> str:
    """The least voltage: of the chosen run, else of all."""
    assert shown.left is not None
    house, volts = shown.left_house, shown.left.volts
    pick = board.pick
    if pick is not None and pick.item.sort == "run":
        run = next((one for one in house.runs if one.name == pick.item.name), None)
        if run is not None and run.count:
            least = float(volts[run.pixels].min())
            return f"{run.name}: least {least:.2f} V" if least > 0.01 else f"{run.name}: no feed"
    return f"least {volts.min():.2f} V"
