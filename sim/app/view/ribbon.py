"""The load ribbon: total current of every frame, the limits, and where one is."""

from __future__ import annotations

from collections.abc import Mapping

import pygame

from layouts.catalogue import limits
from sim.app.state.record import State
from sim.app.state.ribbon import Load, RecordedLoad, columns, stretches
from sim.app.state.scales import time_text, time_ticks
from sim.app.state.window_layout import NARROW, Layout, Rect, column_at, headline_h
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.plot import curve_image, top_of
from sim.report.text import clock

#: The short forms of `sim.report.cautions.WIRING`; the longest that has room is shown.
CAUTIONS = (
    "A model, not a data sheet. Mains: licensed electrician. Fuse every feed at the supply.",
    "A model. Mains: licensed electrician. Fuse every feed.",
    "A model. Fuse every feed.",
)


class Ribbon:
    """Draws the ribbon; the curve is redrawn only when it or its place has changed."""

    def __init__(self) -> None:
        self._key: object = None
        self._plot: pygame.Surface | None = None

    def draw(
        self, brush: Brush, state: State, parts: Layout, loads: Mapping[str, Load], now_a: float
    ) -> None:
        """The ribbon with its headline, curve, ticks and playhead. `loads` by side."""
        whole, curve = parts.ribbon, parts.curve
        if whole.w <= 0 or whole.h <= 0:
            return
        sides = [loads[side] for side in ("left", "right") if side in loads]
        if len(sides) == 1 and "recorded" in loads:
            sides.append(loads["recorded"])
        key = (whole, brush.scale, tuple(sides), state.facts)
        if key != self._key or self._plot is None:
            self._plot = pygame.Surface((whole.w, whole.h))
            self._still(brush.on(self._plot), state, parts, sides)
            self._key = key
        brush.surface.blit(self._plot, (whole.x, whole.y))
        if state.facts is None:
            return
        self._headline(brush, parts, sides, now_a, state.facts.span_s)
        if not curve.w or not curve.h:
            return
        x = round(column_at(curve, state.frame_s, state.facts.span_s))
        brush.down(x, curve.y - brush.px(4), curve.bottom, theme.AMBER, 1.5)
        radius = brush.px(4)
        pygame.draw.circle(brush.surface, theme.AMBER, (x, curve.y - radius), radius)

    def _still(self, brush: Brush, state: State, parts: Layout, sides: list[Load]) -> None:
        """All that does not move, drawn in the ribbon's own coordinates."""
        whole = parts.ribbon
        curve = Rect(parts.curve.x - whole.x, parts.curve.y - whole.y, *parts.curve[2:])
        brush.surface.fill(theme.PANEL)
        brush.across(0, whole.w, 0)
        if state.facts is None or not curve.w or not curve.h:
            return
        brush.across(curve.x, curve.right, curve.bottom)
        if state.facts.frames > 1:
            _ticks(brush, curve, state.facts.span_s)
        else:
            y = curve.bottom + brush.px(3)
            brush.text("this scheme stands still", curve.x, y, theme.FAINT, theme.SMALL)
        if sides:
            other = sides[1] if len(sides) > 1 else None
            top_a = top_of(sides[0], other)
            image = curve_image(sides[0], other, (curve.w, curve.h), top_a, brush.px(1.5))
            pygame.surfarray.blit_array(brush.surface.subsurface(curve), image)
            _marks(brush, curve, sides[0])
            _limits(brush, curve, sides[0], top_a)

    @staticmethod
    def _headline(
        brush: Brush, parts: Layout, sides: list[Load], now_a: float, span_s: float
    ) -> None:
        whole = parts.ribbon
        narrow = whole.w < brush.px(NARROW)
        low = narrow and whole.h < brush.px(headline_h(0))
        x, y = whole.x + brush.px(16), whole.y + brush.px(2 if low else 8)
        right = whole.right - brush.px(16)
        least = 0 if narrow else brush.size(CAUTIONS[-1], theme.SMALL)[0] + brush.px(24)
        box = brush.text("Load", x, y, theme.QUIET)
        box = brush.text(f"{now_a:.1f} A", box.right + brush.px(12), y, theme.WARM, bold=True)
        for text, colour in summary(sides, span_s):
            left = box.right + brush.px(16)
            if left + brush.size(text)[0] > right - least:
                text = brush.cut(text, max(right - least - left, 0))
                box = brush.text(text, left, y, colour) if len(text) > 4 else box
                break
            box = brush.text(text, left, y, colour)
        room = right - (x if narrow else box.right + brush.px(24))
        fitting = [text for text in CAUTIONS if brush.size(text, theme.SMALL)[0] <= room]
        text = fitting[0] if fitting else brush.cut(CAUTIONS[-1], room, theme.SMALL)
        below = y + brush.px(19 if narrow else 1)
        brush.text(text, x if narrow else right, below, theme.FAINT, theme.SMALL,
                   align="left" if narrow else "right")  # fmt: skip


def _ticks(brush: Brush, curve: Rect, span_s: float) -> None:
    about = max(curve.w // brush.px(110), 2)
    for at_s in time_ticks(span_s, about):
        x = round(column_at(curve, at_s, span_s))
        brush.down(x, curve.bottom, curve.bottom + brush.px(4))
        text = time_text(at_s, span_s)
        half = brush.size(text, theme.SMALL)[0] / 2
        middle = min(max(x, curve.x + half), curve.right - half)
        y = curve.bottom + brush.px(3)
        brush.text(text, middle, y, theme.FAINT, theme.SMALL, align="centre")


def _marks(brush: Brush, curve: Rect, load: Load) -> None:
    """A bar under every stretch that is past a limit, wide enough to be seen."""
    over = columns(load.over.astype(float), curve.w) > 0
    past = (columns(load.past.astype(float), curve.w) > 0) | over
    for start, end in stretches(past):
        colour = theme.OVER if over[start:end].any() else theme.AMBER
        width = max(end - start, brush.px(2))
        brush.fill(Rect(curve.x + start, curve.bottom, width, brush.px(3)), colour)


def _limits(brush: Brush, curve: Rect, load: Load, top_a: float) -> None:
    rated_a = float(load.rated_a.sum())
    lasting = limits().supply_load
    for share, name in ((lasting, f"{lasting:.0%}".replace("%", " %")), (1.0, "rated")):
        level_a = share * rated_a
        if not 0 < level_a <= top_a:
            continue
        y = round(curve.bottom - level_a / top_a * curve.h)
        colour = theme.OVER if share == 1.0 else theme.AMBER
        brush.dashed(curve.x, curve.right, y, colour)
        # The rating's word above its line, the other below: the two are often close.
        text = f"{name}  {level_a:.3g} A"
        width, height = brush.size(text, theme.SMALL)
        top = y - height if share == 1.0 else y + brush.px(1)
        left = curve.right - width - brush.px(10)
        brush.fill(Rect(left, top, width + brush.px(10), height), theme.PANEL, alpha=210, radius=3)
        brush.text(text, curve.right - brush.px(4), top, colour, theme.SMALL, align="right")


def summary(sides: list[Load], span_s: float) -> list[tuple[str, theme.Colour]]:
    """Peak, other side's peak, what is past its limit, and how far the work has come."""
    if not sides or not sides[0].ready:
        return []
    load = sides[0]
    peak_a, peak_s = load.peak
    when = time_text(peak_s, span_s, 2)
    said: list[tuple[str, theme.Colour]] = [(f"peak {peak_a:.1f} A at {when}", theme.QUIET)]
    if len(sides) > 1 and isinstance(sides[1], RecordedLoad):
        most_a, most_s = sides[1].peak
        said.append((f"recorded peak {most_a:.1f} A at {clock(round(most_s, 2))}", theme.FAINT))
    elif len(sides) > 1 and sides[1].ready:
        said.append((f"right side peak {sides[1].peak[0]:.1f} A", theme.FAINT))
    if not load.names:
        said.append(("no supply feeds this house: no limits", theme.AMBER))
    elif load.fullest is not None and load.fullest[1] > 1:
        name, share = load.fullest
        said.append((f"{name} over its rating: {100 * share:.0f} %", theme.OVER))
    elif load.limit_passed:
        said.append((f"past a limit: {load.limit}", theme.AMBER))
    if load.ready < 1:
        said.append((f"computing {100 * load.ready:.0f} %", theme.FAINT))
    return said
