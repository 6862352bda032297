"""The load ribbon: total current of every frame, the limits, and where one is."""

from __future__ import annotations

import numpy as np
import pygame

from sim.app import look
from sim.app.layout import Layout, Rect, column_at
from sim.app.ribbon import CONTINUOUS, Load, columns, stretches
from sim.app.scales import time_text, time_ticks
from sim.app.state import State
from sim.app.view.brush import Brush

CAUTION = "A model, not a data sheet. Mains: licensed electrician. Fuse every feed at the supply."


class Ribbon:
    """Draws the ribbon; the curve is redrawn only when it or its place has changed."""

    def __init__(self) -> None:
        self._key: object = None
        self._plot: pygame.Surface | None = None

    def draw(
        self, brush: Brush, state: State, parts: Layout, load: Load | None, now_a: float
    ) -> None:
        """The ribbon with its headline, curve, ticks and playhead."""
        whole, curve = parts.ribbon, parts.curve
        key = (whole, brush.scale, None if load is None else id(load), state.facts)
        if key != self._key or self._plot is None:
            self._plot = pygame.Surface((whole.w, whole.h))
            self._still(Brush(self._plot, brush.scale), state, parts, load)
            self._key = key
        brush.surface.blit(self._plot, (whole.x, whole.y))
        if state.facts is None:
            return
        self._headline(brush, state, parts, load, now_a)
        x = round(column_at(curve, state.frame_s, state.facts.span_s))
        brush.down(x, curve.y - brush.px(4), curve.bottom, look.AMBER, 1.5)
        radius = brush.px(4)
        pygame.draw.circle(brush.surface, look.AMBER, (x, curve.y - radius), radius)

    def _still(self, brush: Brush, state: State, parts: Layout, load: Load | None) -> None:
        """All that does not move, drawn in the ribbon's own coordinates."""
        whole = parts.ribbon
        curve = Rect(parts.curve.x - whole.x, parts.curve.y - whole.y, *parts.curve[2:])
        brush.surface.fill(look.PANEL)
        brush.across(0, whole.w, 0)
        brush.across(curve.x, curve.right, curve.bottom)
        if state.facts is None:
            return
        self._ticks(brush, curve, state.facts.span_s)
        if load is not None and len(load.total_a):
            top_a = self._top(load)
            self._curve(brush, curve, load, top_a)
            self._limits(brush, curve, load, top_a)

    def _ticks(self, brush: Brush, curve: Rect, span_s: float) -> None:
        about = max(curve.w // brush.px(110), 2)
        for at_s in time_ticks(span_s, about):
            x = round(column_at(curve, at_s, span_s))
            brush.down(x, curve.bottom, curve.bottom + brush.px(4))
            text = time_text(at_s, span_s)
            half = brush.size(text, look.SMALL)[0] / 2
            middle = min(max(x, curve.x + half), curve.right - half)
            brush.text(text, middle, curve.bottom + brush.px(3), look.FAINT, look.SMALL,
                       align="centre")  # fmt: skip

    @staticmethod
    def _top(load: Load) -> float:
        """The amps at the top of the plot: above the curve, and above the limits if near."""
        peak_a = load.peak()[0]
        rated_a = float(load.rated_a.sum())
        near = rated_a and peak_a > 0.35 * rated_a
        return max(peak_a * 1.12, rated_a * 1.3 if near else 0.0, 0.1)

    def _curve(self, brush: Brush, curve: Rect, load: Load, top_a: float) -> None:
        total = columns(load.total_a, curve.w)
        share = columns(load.load, curve.w)
        ready = ~np.isnan(total)
        height = np.where(ready, np.nan_to_num(total) / top_a * curve.h, 0).clip(0, curve.h)
        # One image for fill and marks: row 0 is the top.
        row = curve.h - np.arange(curve.h)[None, :]  # height above the base line, per column
        inside = row <= height[:, None]
        edge = inside & (row > height[:, None] - brush.px(1.5))
        image = np.empty((curve.w, curve.h, 3), np.uint8)
        image[:] = look.PANEL
        image[inside] = look.RAISED
        image[inside & ready[:, None]] = (58, 62, 74)
        image[edge] = look.WARM
        over = np.nan_to_num(share) > 1.0
        warm = (np.nan_to_num(share) > CONTINUOUS) & ~over
        image[edge & warm[:, None]] = look.AMBER
        image[inside & warm[:, None] & ~edge] = (84, 66, 40)
        image[edge & over[:, None]] = look.OVER
        image[inside & over[:, None] & ~edge] = (104, 46, 44)
        # Stripes as well as colour where a rating is exceeded.
        column, line = np.meshgrid(np.arange(curve.w), np.arange(curve.h), indexing="ij")
        striped = (column + line) % brush.px(8) < brush.px(2)
        image[inside & over[:, None] & ~edge & striped] = (196, 78, 66)
        pygame.surfarray.blit_array(brush.surface.subsurface(curve), image)
        base = curve.bottom + brush.px(1)
        for start, end in stretches(warm | over):
            colour = look.OVER if over[start:end].any() else look.AMBER
            mark = Rect(curve.x + start, base, max(end - start, brush.px(2)), brush.px(2))
            brush.fill(mark, colour)

    @staticmethod
    def _limits(brush: Brush, curve: Rect, load: Load, top_a: float) -> None:
        rated_a = float(load.rated_a.sum())
        for share, name in ((CONTINUOUS, "80 %"), (1.0, "rated")):
            level_a = share * rated_a
            if not 0 < level_a <= top_a:
                continue
            y = round(curve.bottom - level_a / top_a * curve.h)
            colour = look.OVER if share == 1.0 else look.AMBER
            brush.dashed(curve.x, curve.right, y, colour)
            text = f"{name}  {level_a:.3g} A"
            w, h = brush.size(text, look.SMALL)
            # The rating's word above its line, the other below: the two are often close.
            top = y - h + brush.px(1) if share == 1.0 else y - brush.px(1)
            label = Rect(curve.right - w - brush.px(8), top, w + brush.px(8), h)
            brush.text(text, label.right - brush.px(4), label.y, colour, look.SMALL, align="right")

    def _headline(
        self, brush: Brush, state: State, parts: Layout, load: Load | None, now_a: float
    ) -> None:
        whole = parts.ribbon
        x, y = whole.x + brush.px(16), whole.y + brush.px(8)
        right = whole.right - brush.px(16)
        box = brush.text("Load", x, y, look.QUIET)
        box = brush.text(f"{now_a:.1f} A", box.right + brush.px(12), y, look.WARM, bold=True)
        rest = self._summary(load)
        for text, colour in rest:
            box = brush.text(text, box.right + brush.px(14), y, colour)
        if load is not None and load.ready < 1:
            box = brush.text(f"computing {100 * load.ready:.0f} %", box.right + brush.px(14), y,
                             look.FAINT)  # fmt: skip
        room = right - box.right - brush.px(24)
        if brush.size(CAUTION, look.SMALL)[0] <= room:
            brush.text(CAUTION, right, y + brush.px(1), look.FAINT, look.SMALL, align="right")

    @staticmethod
    def _summary(load: Load | None) -> list[tuple[str, look.Colour]]:
        if load is None or not load.ready:
            return []
        peak_a, peak_s = load.peak()
        said: list[tuple[str, look.Colour]] = [
            (f"peak {peak_a:.1f} A at {peak_s:.2f} s", look.QUIET)
        ]
        worst = load.worst()
        if worst and worst[1] > CONTINUOUS:
            name, share = worst
            if share > 1:
                said.append((f"{name} over its rating: {100 * share:.0f} %", look.OVER))
            else:
                said.append((f"{name} at {100 * share:.0f} %, over 80 %", look.AMBER))
        return said
