"""The load ribbon: the current of every frame, the limits, and where one is."""

from __future__ import annotations

from collections.abc import Mapping

import pygame

from sim.app.state.record import State
from sim.app.state.ribbon import Load, RecordedLoad
from sim.app.state.ribbon_marks import is_flat
from sim.app.state.ribbon_places import column_of, in_curve
from sim.app.state.ribbon_update import span_of
from sim.app.state.ribbon_view import seen
from sim.app.state.scales import time_text
from sim.app.state.window_layout import NARROW, Layout, Rect, headline_h
from sim.app.view import ribbon_over as over
from sim.app.view import ribbon_scale as scale
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.plot import curve_image, tones, top_of
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
        self, brush: Brush, state: State, parts: Layout, loads: Mapping[str, Load], now_a: float,
        told_frame: int | None = None,
    ) -> None:  # fmt: skip
        """The ribbon with its headline, curve, axes, marks and playhead. `loads` by side; figures
        are of `told_frame`, that of now unless given."""
        whole, curve = parts.ribbon, parts.curve
        if whole.w <= 0 or whole.h <= 0:
            return
        sides = [loads[side] for side in ("left", "right") if side in loads]
        if len(sides) == 1 and "recorded" in loads:
            sides.append(loads["recorded"])
        still = (whole, brush.scale, tuple(sides), state.facts, state.ribbon.window, state.bands)
        if still != self._key or self._plot is None:
            self._plot = pygame.Surface((whole.w, whole.h))
            self._still(brush.on(self._plot), state, parts, sides)
            self._key = still
        brush.surface.blit(self._plot, (whole.x, whole.y))
        if state.facts is None:
            return
        frame = state.frame if told_frame is None else told_frame
        high = brush.px(headline_h(whole.w / brush.scale))
        line = whole._replace(h=min(high, whole.h))
        told = (*sides, state.facts, whole, f"{now_a:.1f}", frame, state.bands)
        brush.plate("load", told, line, lambda on: (
            self._headline(on, state, whole._replace(x=0, y=0), sides, now_a, frame)))  # fmt: skip
        if not curve.w or not curve.h:
            return
        over.draw_loop(brush, state, parts)
        scale.draw_seen(brush, curve, state)
        over.draw_marks(brush, state, parts, pygame.mouse.get_pos())
        x = round(column_of(state, curve, state.frame_s))
        if in_curve(curve, x):
            brush.down(x, curve.y - brush.px(4), curve.bottom, theme.AMBER, 1.5)
            radius = brush.px(4)
            pygame.draw.circle(brush.surface, theme.AMBER, (x, curve.bottom + radius), radius)

    def draw_over(
        self, brush: Brush, state: State, parts: Layout, loads: Mapping[str, Load]
    ) -> None:
        """What the pointer asks of the ribbon, on top of everything else."""
        if parts.curve.w and parts.curve.h and state.facts is not None:
            at = pygame.mouse.get_pos()
            over.draw_hover(brush, state, parts, loads.get("left"), at)

    def _still(self, brush: Brush, state: State, parts: Layout, sides: list[Load]) -> None:
        """All that does not move, drawn in the ribbon's own coordinates."""
        whole = parts.ribbon
        curve = Rect(parts.curve.x - whole.x, parts.curve.y - whole.y, *parts.curve[2:])
        brush.surface.fill(brush.ink(theme.PANEL))
        brush.across(0, whole.w, 0)
        if state.facts is None or not curve.w or not curve.h:
            return
        if state.facts.frames > 1:
            scale.draw_time_axis(brush, curve, state)
        else:
            y = curve.bottom + brush.px(3)
            brush.text(
                "this scheme stands still", curve.x + brush.px(10), y, theme.FAINT, theme.SMALL
            )
        if not sides:
            brush.across(curve.x, curve.right, curve.bottom)
            return
        load, other = sides[0], sides[1] if len(sides) > 1 else None
        top_a = top_of(load, other)
        begin_s, end_s = seen(state.ribbon, span_of(state))
        # a part lasts to its end; all lasts as long as its frames, the last of them whole
        count = float(len(load.total_a))
        part = (begin_s * load.fps, end_s * load.fps) if state.ribbon.window else (0.0, count)
        size, soft = (curve.w, curve.h), band_of(state, load)
        image = curve_image(load, other, size, top_a, brush.px(1.5), part, soft)
        pygame.surfarray.blit_array(brush.surface.subsurface(curve), image)
        scale.draw_grid(brush, curve, top_a)
        scale.draw_limits(brush, curve, load, top_a, whole.w)
        scale.draw_current_axis(brush, curve, top_a)
        scale.draw_bars(brush, curve, load, part)
        scale.draw_room(brush, curve, load, top_a)

    @staticmethod
    def _headline(
        brush: Brush, state: State, whole: Rect, sides: list[Load], now_a: float, frame: int
    ) -> None:
        narrow = whole.w < brush.px(NARROW)
        low = narrow and whole.h < brush.px(headline_h(0))
        x, y = whole.x + brush.px(16), whole.y + brush.px(2 if low else 6)
        right = whole.right - brush.px(16)
        least = 0 if narrow else brush.size(CAUTIONS[-1], theme.SMALL)[0] + brush.px(24)
        box = brush.text("Load", x, y, theme.QUIET)
        now = f"{now_a:.1f} A" if now_a == now_a else "…"
        box = brush.text(now, box.right + brush.px(12), y, theme.WARM, bold=True)
        full, named = (
            summary(sides, span_of(state), bands=state.bands, bounds=each) for each in (True, False)
        )
        for (text, colour), (name_only, _) in zip(full, named, strict=True):
            left = box.right + brush.px(16)
            if left + brush.size(text)[0] > right - least:
                text = name_only  # the limit's name before its number
            if left + brush.size(text)[0] > right - least:
                if colour == theme.QUIET and box.x > x + brush.px(100):
                    continue  # half of such a sentence would tell nothing
                text = brush.cut(text, max(right - least - left, 0))
                box = brush.text(text, left, y, colour) if len(text) > 4 else box
                break
            box = brush.text(text, left, y, colour)
        if sides and not narrow:
            box = _legend(brush, box, y, right - least, sides[0], frame)
        room = right - (x if narrow else box.right + brush.px(24))
        fitting = [text for text in CAUTIONS if brush.size(text, theme.SMALL)[0] <= room]
        text = fitting[0] if fitting else brush.cut(CAUTIONS[-1], room, theme.SMALL)
        below = y + brush.px(19 if narrow else 1)
        brush.text(text, x if narrow else right, below, theme.FAINT, theme.SMALL,
                   align="left" if narrow else "right")  # fmt: skip


def _stands_below(load: Load) -> bool:
    """At a curve that stands still `draw_room` says the limit's number: there is more room."""
    return is_flat(load) and load.ceiling is not None


def band_of(state: State, load: Load) -> tuple[float, float] | None:
    """Between which shares of the curve 95 % of all cases lie; None: hidden, or not known."""
    found = load.ceiling.band if load.ceiling is not None and state.bands else None
    return None if found is None else found.total


def _legend(brush: Brush, box: Rect, y: int, right: int, load: Load, frame: int) -> Rect:
    """The supplies in the order of their bands, from below, each with its tone and its amps now;
    all or none."""
    if len(load.names) < 2 or load.supply_a.shape[1] != len(load.names):
        return box
    frame = min(frame, len(load.total_a) - 1)  # what stands still has one frame at any time
    known = frame >= 0 and load.total_a[frame] == load.total_a[frame]
    texts = [f"{name} {load.supply_a[frame, index]:.1f} A" if known else name
             for index, name in enumerate(load.names)]  # fmt: skip
    # as wide as with two more figures, so that nothing moves while it plays
    widths = [brush.size(f"{name} 00.0 A", theme.SMALL)[0] for name in load.names]
    side, gap = brush.px(10), brush.px(16)
    if box.right + sum(widths) + len(widths) * (side + brush.px(5) + gap) + gap > right:
        return box
    x = box.right + gap + brush.px(6)
    for text, width, tone in zip(texts, widths, tones(len(texts)), strict=True):
        brush.fill(Rect(x, y + brush.px(5), side, side), tone, radius=2)
        brush.text(text, x + side + brush.px(5), y + brush.px(1), theme.QUIET, theme.SMALL)
        x += side + brush.px(5) + width + gap
    return box._replace(w=x - gap - box.x)


def summary(
    sides: list[Load], span_s: float, *, bands: bool = True, bounds: bool = True
) -> list[tuple[str, theme.Colour]]:
    """Peak and its band, other side's peak, what is past its limit, how far the work has come.

    `bounds`: with the number of the limit that leaves the least room.
    """
    if not sides or not (sides[0].ready or sides[0].guessed.any()):
        return []
    load = sides[0]
    peak_a, peak_s = load.peak
    when = "all the time" if is_flat(load) else f"at {time_text(peak_s, span_s, 2)}"
    about = "about " if load.guessed.any() else ""
    found = load.ceiling.band if load.ceiling is not None and bands else None
    sure = ""
    if found is not None:
        low_a, high_a = (part * peak_a for part in found.total)
        sure = f" ({low_a:.1f} to {high_a:.1f})"
    said: list[tuple[str, theme.Colour]] = [
        (f"peak {about}{peak_a:.1f} A{sure} {when}", theme.QUIET)
    ]
    if load.broken:
        things = "1 thing" if load.broken == 1 else f"{load.broken} things"
        ready = "" if load.ready == 1 else f": computing {100 * load.ready:.0f} %"
        said.append((f"with {things} broken{ready}", theme.AMBER))
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
    elif room := scale.room_words(load, bound=bounds and not _stands_below(load)):
        said.append((room, theme.QUIET))
    if load.ready < 1 and not load.broken:
        said.append((f"computing {100 * load.ready:.0f} %", theme.FAINT))
    return said
