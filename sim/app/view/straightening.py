"""The stage that straightens a photograph, drawn: picture, grid, marks, loupe, panel."""

from __future__ import annotations

import math

import numpy as np
import pygame

from sim.app.state import straightening as st
from sim.app.state.straightening import Handle, MarkedShape, Pixel, Straightening
from sim.app.state.straightening_fit import Fit, fit_of, known_marks, names
from sim.app.state.straightening_grid import GridLine, grid_lines
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.straightening_panel import draw_panel

LOUPE, LOUPE_ZOOM = 148, 6.0


class StraighteningScreen:
    """Keeps the photograph at the size it is shown; all else comes from the state.

    A huge photograph comes smaller than it is; places on it are told in its own pixels.
    """

    def __init__(self, photo: pygame.Surface):
        self._photo = photo
        self._shown: pygame.Surface | None = None
        self._key: object = None
        self.buttons: tuple[tuple[str, Rect], ...] = ()

    def draw(self, brush: Brush, state: Straightening, pointer: tuple[int, int] | None) -> None:
        """Everything. `pointer` is where the mouse is, None where the keys are used."""
        fit = fit_of(state.shapes, state.units, state.photo_px)
        place = st.picture(state)
        brush.fill(place, theme.NIGHT)
        brush.surface.set_clip(pygame.Rect(place))
        self._picture(brush, state, place)
        if state.grid and fit.plane is not None:
            _grid(brush, state, fit)
        for index, (name, shape) in enumerate(names(state.shapes)):
            _shape(brush, state, fit, index, name, shape)
        _begun(brush, state)
        at = st.on_screen(state, state.cursor)
        _cross(brush, at)
        self._loupe(brush, state, place, at)
        brush.surface.set_clip(None)
        self.buttons = draw_panel(brush, state, fit, pointer)

    def _picture(self, brush: Brush, state: Straightening, place: Rect) -> None:
        """Only what is in sight is scaled, and only when that changes."""
        wide, tall = self._photo.get_size()
        share = wide / state.photo_px[0]
        a, b = st.on_photo(state, place.x, place.y), st.on_photo(state, place.right, place.bottom)
        part = pygame.Rect(int(a.u * share), int(a.v * share), 1, 1)
        part.w = min(math.ceil(b.u * share) + 1, wide) - part.x
        part.h = min(math.ceil(b.v * share) + 1, tall) - part.y
        per = st.screen_per_pixel(state) / share
        size = max(round(part.w * per), 1), max(round(part.h * per), 1)
        key = tuple(part), size
        if key != self._key or self._shown is None:
            piece = self._photo.subsurface(part)
            scale = pygame.transform.smoothscale if per < 3 else pygame.transform.scale
            self._shown, self._key = scale(piece, size), key
        x, y = st.on_screen(state, Pixel(part.x / share, part.y / share))
        brush.surface.blit(self._shown, (round(x), round(y)))

    def _loupe(
        self, brush: Brush, state: Straightening, place: Rect, at: tuple[float, float]
    ) -> None:
        """What lies around the cross, enlarged, in the corner that is farther from it."""
        side, margin = brush.px(LOUPE), brush.px(14)
        left = at[0] > place.x + place.w / 2
        x = place.x + margin if left else place.right - margin - side
        box = Rect(x, place.y + margin, side, side)
        per = max(LOUPE_ZOOM * min(st.screen_per_pixel(state), 1.0), st.screen_per_pixel(state) * 2)
        wide, tall = self._photo.get_size()
        share = wide / state.photo_px[0]
        per, u, v = per / share, state.cursor.u * share, state.cursor.v * share
        reach = side / per / 2
        u0, v0 = math.floor(u - reach), math.floor(v - reach)
        many = math.ceil(2 * reach) + 2
        piece = pygame.Surface((many, many))
        piece.fill(theme.NIGHT)
        seen = pygame.Rect(u0, v0, many, many).clip(pygame.Rect(0, 0, wide, tall))
        piece.blit(self._photo, (seen.x - u0, seen.y - v0), seen)
        scaled = pygame.transform.scale(piece, (round(many * per), round(many * per)))
        before = brush.surface.get_clip()
        brush.surface.set_clip(pygame.Rect(box))
        offset = ((u0 - u) * per, (v0 - v) * per)
        middle = box.x + side / 2, box.y + side / 2
        brush.surface.blit(scaled, (round(middle[0] + offset[0]), round(middle[1] + offset[1])))
        gap = brush.px(5)
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            start = middle[0] + dx * gap, middle[1] + dy * gap
            end = middle[0] + dx * side, middle[1] + dy * side
            pygame.draw.line(brush.surface, theme.NIGHT, start, end, brush.px(3))
            pygame.draw.line(brush.surface, theme.AMBER, start, end, brush.px(1))
        brush.surface.set_clip(before)
        brush.frame(box, theme.NIGHT, radius=4, width=3)
        brush.frame(box, theme.WARM, radius=4, width=1)
        words = f"{state.cursor.u:.1f}, {state.cursor.v:.1f} px"
        w, h = brush.size(words, theme.SMALL)
        under = Rect(box.x, box.bottom + brush.px(4), w + brush.px(12), h + brush.px(4))
        brush.fill(under, theme.NIGHT, alpha=216, radius=4)
        brush.text(words, under.x + brush.px(6), under.y + brush.px(2), theme.WARM, theme.SMALL)


def _grid(brush: Brush, state: Straightening, fit: Fit) -> None:
    assert fit.plane is not None
    at = known_marks(state.shapes, state.units)[2]
    if not len(at):
        at = _measured(state, fit)
    corner = st.on_screen(state, (0.0, 0.0))
    far = st.on_screen(state, (float(state.photo_px[0]), float(state.photo_px[1])))
    seen = pygame.Rect(corner, (far[0] - corner[0], far[1] - corner[1]))
    before = brush.surface.get_clip()
    brush.surface.set_clip(seen.clip(before))
    lines = grid_lines(fit.plane, at, state.units, st.screen_per_pixel(state))
    for line in lines:
        points = [st.on_screen(state, (float(u), float(v))) for u, v in line.pixel
                  if math.isfinite(u) and abs(u) < 1e6 and abs(v) < 1e6]  # fmt: skip
        if len(points) < 2:
            continue
        if line.zero:
            pygame.draw.lines(brush.surface, theme.NIGHT, False, points, brush.px(4))
            pygame.draw.lines(brush.surface, theme.AMBER, False, points, brush.px(2))
        else:
            shade = [(x + 1, y + 1) for x, y in points]
            pygame.draw.aalines(brush.surface, theme.NIGHT, False, shade)
            pygame.draw.aalines(brush.surface, theme.WARM, False, points)
    _numbers(brush, state, lines)
    brush.surface.set_clip(before)


def _numbers(brush: Brush, state: Straightening, lines: tuple[GridLine, ...]) -> None:
    """What the lines stand for, along the lines of 0, as many as have room."""
    for upright in (True, False):
        last: tuple[float, float] | None = None
        for line in lines:
            if line.upright != upright or line.zero or not np.isfinite(line.foot).all():
                continue
            at = st.on_screen(state, (float(line.foot[0]), float(line.foot[1])))
            room = 1.6 * brush.size(line.label, theme.SMALL)[0]
            if last is not None and math.dist(at, last) < room:
                continue
            last = at
            w, h = brush.size(line.label, theme.SMALL)
            x, y = (at[0] - w / 2, at[1] + brush.px(5)) if upright else (at[0] + brush.px(6),
                                                                         at[1] - h / 2)  # fmt: skip
            box = Rect(round(x) - 3, round(y) - 1, w + 6, h + 2)
            brush.fill(box, theme.NIGHT, alpha=170, radius=3)
            brush.text(line.label, x, y, theme.WARM, theme.SMALL)


def _measured(state: Straightening, fit: Fit) -> np.ndarray:
    from layouts.photograph import to_wall

    assert fit.plane is not None
    pixel = [one for shape in state.shapes if shape.kind == "length" for one in shape.pixel]
    return to_wall(fit.plane, np.array(pixel))


def _shape(
    brush: Brush, state: Straightening, fit: Fit, index: int, name: str, shape: MarkedShape
) -> None:
    chosen = state.chosen is not None and state.chosen.shape == index
    points = [st.on_screen(state, one) for one in shape.pixel]
    if len(points) > 1:
        _line(brush, points, shape.kind == "rectangle", chosen)
    errors = dict(fit.errors_m)
    for mark, at in enumerate(points):
        here = state.chosen == Handle(index, mark)
        _mark(brush, at, here, chosen)
        off = errors.get(Handle(index, mark))
        words = name if mark == 0 else ""
        if off is not None:
            words = f"{words}  {100 * off:.1f} cm".strip()
        if words:
            left = len(points) > 1 and at[0] < sum(x for x, _ in points) / len(points)
            _label(brush, words, at, theme.AMBER if chosen else theme.WARM, left)


def _begun(brush: Brush, state: Straightening) -> None:
    if not state.begun:
        return
    points = [st.on_screen(state, one) for one in (*state.begun, state.cursor)]
    if state.tool != "point":
        _line(brush, points, state.tool == "rectangle" and len(points) > 3, True)
    for at in points[:-1]:
        _mark(brush, at, False, True)


def _line(brush: Brush, points: list[tuple[float, float]], closed: bool, chosen: bool) -> None:
    pygame.draw.lines(brush.surface, theme.NIGHT, closed, points, brush.px(4))
    colour = theme.AMBER if chosen else theme.WARM
    pygame.draw.lines(brush.surface, colour, closed, points, brush.px(2))


def _mark(brush: Brush, at: tuple[float, float], here: bool, chosen: bool) -> None:
    """A ring that leaves the place itself free."""
    middle = round(at[0]), round(at[1])
    colour = theme.AMBER if chosen else theme.WARM
    pygame.draw.circle(brush.surface, theme.NIGHT, middle, brush.px(8), brush.px(4))
    pygame.draw.circle(brush.surface, colour, middle, brush.px(7), brush.px(2))
    if here:
        pygame.draw.circle(brush.surface, theme.NIGHT, middle, brush.px(13), brush.px(3))
        pygame.draw.circle(brush.surface, colour, middle, brush.px(12), brush.px(1))


def _label(
    brush: Brush, words: str, at: tuple[float, float], colour: theme.Colour, left: bool
) -> None:
    """Beside a mark, above it, on the side away from the rest of the shape."""
    w, h = brush.size(words, theme.SMALL, bold=True)
    at = (at[0] - w - brush.px(34), at[1]) if left else at
    box = Rect(round(at[0]) + brush.px(12), round(at[1]) - h - brush.px(8), w + brush.px(10),
               h + brush.px(2))  # fmt: skip
    brush.fill(box, theme.NIGHT, alpha=216, radius=4)
    brush.text(words, box.x + brush.px(5), box.y + brush.px(1), colour, theme.SMALL, bold=True)


def _cross(brush: Brush, at: tuple[float, float]) -> None:
    x, y = round(at[0]), round(at[1])
    gap, arm = brush.px(4), brush.px(14)
    for width, colour in ((3, theme.NIGHT), (1, theme.AMBER)):
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            start, end = (x + dx * gap, y + dy * gap), (x + dx * arm, y + dy * arm)
            pygame.draw.line(brush.surface, colour, start, end, brush.px(width))
