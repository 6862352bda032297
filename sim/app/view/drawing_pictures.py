"""Small pictures of what can be chosen: tools, materials, aims, profiles, kinds. Our own hand."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pygame

from layouts import kinds, materials, profiles
from layouts.records import AS_PHOTOGRAPHED
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.light.albedo import albedo_rgb
from sim.light.materials import Patch, look
from sim.light.tone import srgb_encode

#: A swatch shows so much of the wall [m].
SWATCH_M = 0.9


@lru_cache(maxsize=256)
def swatch(material: str, size: tuple[int, int]) -> pygame.Surface:
    """A piece of wall of a material in even white light, as the renderer paints it."""
    one = materials()[material]
    width, height = size
    pixel_m = SWATCH_M / width
    x = (np.arange(width) + 0.5)[None, :] * pixel_m
    y = (height - np.arange(height) - 0.5)[:, None] * pixel_m
    box = (0.0, 0.0, SWATCH_M, height * pixel_m)
    seen = look(one.texture, Patch(x, y, pixel_m, box, 7))
    shade = np.broadcast_to(seen.shade, (height, width, 3))
    light = shade * albedo_rgb(one) * 0.95
    if seen.glow is not None:
        light = light + 0.6 * np.broadcast_to(seen.glow, (height, width, 3))
    codes = (255 * srgb_encode(light)).astype(np.uint8)
    return pygame.surfarray.make_surface(codes.swapaxes(0, 1))


def draw_option(brush: Brush, kind: str, option: object, place: Rect) -> bool:
    """The picture of an option in a place; whether there is one for its kind."""
    if kind == "material" and option == AS_PHOTOGRAPHED.name:
        _photograph(brush, place)
    elif kind == "material":
        brush.surface.blit(swatch(str(option), (place.w, place.h)), (place.x, place.y))
        brush.frame(place, theme.LINE)
    elif kind == "aim":
        _aim(brush, option, place)
    elif kind == "profile":
        _profile(brush, str(option), place)
    elif kind == "kind":
        _kind(brush, str(option), place)
    else:
        return False
    return True


def _photograph(brush: Brush, place: Rect) -> None:
    """A small picture with its white edge: a gable before the sky."""
    px = brush.px
    brush.fill(place, theme.WARM)
    inner = place.inset(px(3), px(3), px(3), px(3))
    brush.fill(inner, (126, 146, 168))
    low, high = inner.bottom - 1, inner.y + inner.h * 0.2
    roof = [(inner.x + inner.w * 0.18, low), (inner.x + inner.w * 0.18, inner.y + inner.h * 0.6),
            (inner.x + inner.w * 0.5, high), (inner.x + inner.w * 0.82, inner.y + inner.h * 0.6),
            (inner.x + inner.w * 0.82, low)]  # fmt: skip
    pygame.draw.polygon(brush.surface, (74, 68, 64), roof)


#: Degrees from straight down towards the wall of the named aims.
_AIM_DEG = {"down": 0.0, "wall": 90.0, "up": 180.0, "out": -90.0}


def _aim(brush: Brush, option: object, place: Rect) -> None:
    """The section: the wall at the left, the LED before it, a fan of light where it faces."""
    px = brush.px
    degrees = _AIM_DEG.get(str(option))
    if degrees is None:
        degrees = float(str(option))
    brush.fill(place, theme.NIGHT, radius=3)
    wall = Rect(place.x, place.y, px(5), place.h)
    brush.fill(wall, theme.FAINT)
    x, y = place.x + place.w // 2, place.y + place.h // 2
    reach = min(place.h, place.w) * 0.46
    middle = math.radians(90 + degrees)  # of the screen: down is 90°, towards the wall turns on
    fan = [(x, y)]
    for step in range(-4, 5):
        turn = middle + math.radians(11 * step)
        fan.append((round(x + reach * math.cos(turn)), round(y + reach * math.sin(turn))))
    pygame.draw.polygon(brush.surface, (120, 92, 45), fan)
    pygame.draw.aacircle(brush.surface, theme.AMBER, (x, y), px(3))


def _profile(brush: Brush, option: str, place: Rect) -> None:
    """The section of a profile: its channel and its cover; frosted ones are filled."""
    px = brush.px
    one = profiles()[option]
    brush.fill(place, theme.NIGHT, radius=3)
    w, h = px(24), px(11)
    x, y = place.x + (place.w - w) // 2, place.y + (place.h - h) // 2 - px(1)
    thick = px(2)
    if one.mount == "string" or one.hole_mm is not None:
        pygame.draw.line(brush.surface, theme.QUIET, (x, y + h), (x + w, y + h), thick)
        for at in (0.2, 0.5, 0.8):
            pygame.draw.aacircle(brush.surface, theme.AMBER, (round(x + at * w), y + h), px(3))
        return
    bare = one.transmission >= 0.995 and one.beam_half_deg is None
    pygame.draw.line(brush.surface, theme.QUIET, (x, y), (x + w, y), thick)
    if not bare:
        for side in (x, x + w):
            pygame.draw.line(brush.surface, theme.QUIET, (side, y), (side, y + h), thick)
        cover = (225, 222, 214) if one.spot_m > 0.012 else theme.FAINT
        pygame.draw.line(brush.surface, cover, (x, y + h), (x + w, y + h),
                         px(3) if one.spot_m > 0.012 else 1)  # fmt: skip
    brush.fill(Rect(x + w // 2 - px(4), y + thick, px(8), px(3)), theme.AMBER)


def _kind(brush: Brush, option: str, place: Rect) -> None:
    """The dies of a pixel side by side, on tape or on leads."""
    px = brush.px
    one = kinds().get(option)
    brush.fill(place, theme.NIGHT, radius=3)
    if one is None:
        return
    middle = place.y + place.h // 2
    if one.mount == "string":
        pygame.draw.line(brush.surface, theme.FAINT, (place.x, middle), (place.right - 1, middle),
                         px(1))  # fmt: skip
        pygame.draw.aacircle(brush.surface, theme.RAISED, (place.x + place.w // 2, middle), px(9))
    else:
        brush.fill(Rect(place.x, middle - px(8), place.w, px(16)), theme.RAISED)
    dies = {"r": (235, 70, 60), "g": (70, 200, 90), "b": (80, 120, 255)}
    found = [dies.get(c.name, (255, 214, 160) if (c.cct_k or 9999) < 3500 else (235, 240, 255))
             for c in one.channels]  # fmt: skip
    gap = px(7)
    x = place.x + place.w // 2 - gap * (len(found) - 1) // 2
    for index, colour in enumerate(found):
        pygame.draw.aacircle(brush.surface, colour, (x + index * gap, middle), px(3))


def draw_tool(brush: Brush, tool: str, place: Rect, colour: theme.Colour) -> None:
    """The sign of a tool."""
    px = brush.px
    surface = brush.surface
    x, y = place.x + place.w // 2, place.y + place.h // 2
    s = px(9)

    def line(*points: tuple[float, float], width: float = 1.6) -> None:
        at = [(round(x + dx * s), round(y + dy * s)) for dx, dy in points]
        pygame.draw.lines(surface, colour, False, at, px(width))

    def dot(dx: float, dy: float, radius: float = 2.2) -> None:
        pygame.draw.aacircle(surface, colour, (round(x + dx * s), round(y + dy * s)), px(radius))

    if tool == "select":
        line((-0.6, -0.9), (-0.6, 0.7), (-0.15, 0.3), (0.2, 0.95))
        line((-0.6, -0.9), (0.6, 0.25), (-0.15, 0.3))
    elif tool == "run":
        line((-1, 0.7), (0, -0.7), (1, 0.7))
        for dx, dy in ((-1, 0.7), (-0.5, 0), (0, -0.7), (0.5, 0), (1, 0.7)):
            dot(dx, dy)
    elif tool == "surface":
        line((-1, 0.8), (-1, -0.2), (0, -0.9), (1, -0.2), (1, 0.8), (-1, 0.8))
    elif tool == "place":
        line((-0.7, -0.7), (0.7, 0.7))
        line((0.7, -0.7), (-0.7, 0.7))
    elif tool == "supply":
        line((-0.9, -0.6), (0.9, -0.6), (0.9, 0.6), (-0.9, 0.6), (-0.9, -0.6))
        line((-0.5, 0), (-0.1, 0))
        line((-0.3, -0.2), (-0.3, 0.2))
        line((0.2, 0), (0.6, 0))
    elif tool == "feed":
        line((-1, -0.5), (1, -0.5), width=3)
        line((0, 0.9), (0, -0.5))
        dot(0, -0.5, 3.2)
    elif tool == "cut":
        line((-1, 0), (-0.25, 0), width=3)
        line((0.25, 0), (1, 0), width=3)
        line((0.25, -0.8), (-0.25, 0.8))
    elif tool == "output":
        line((-1, -0.7), (-0.2, -0.7), (-0.2, 0.7), (-1, 0.7), (-1, -0.7))
        line((-0.2, 0), (1, 0))
        line((0.6, -0.4), (1, 0), (0.6, 0.4))
    elif tool == "zone":
        line((-1, -0.5), (-0.3, -0.5), width=3)
        line((0.3, -0.5), (1, -0.5), width=3)
        line((-1, 0.2), (-1, 0.7), (1, 0.7), (1, 0.2))
    elif tool == "ruler":
        line((-1, -0.4), (1, -0.4), (1, 0.5), (-1, 0.5), (-1, -0.4))
        for dx in (-0.5, 0, 0.5):
            line((dx, -0.4), (dx, 0.05))
