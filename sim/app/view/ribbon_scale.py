"""What the ribbon's curve is read by: axes, limits, bars under what is past one, room left."""

from __future__ import annotations

import pygame

from layouts.catalogue import limits
from sim.app.state.record import State
from sim.app.state.ribbon import Load, anywhere, stretches
from sim.app.state.ribbon_marks import is_flat
from sim.app.state.ribbon_places import column_of, in_curve
from sim.app.state.ribbon_update import span_of
from sim.app.state.ribbon_view import seen
from sim.app.state.scales import round_step, round_ticks, time_text, time_ticks
from sim.app.state.window_layout import NAMES, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.report.text import beside_ceilings


def draw_time_axis(brush: Brush, curve: Rect, state: State) -> None:
    """Round times under the curve; `state` says which are in sight."""
    span_s = span_of(state)
    begin_s, end_s = seen(state.ribbon, span_s)
    about = max(curve.w // brush.px(110), 2)
    if state.ribbon.window is None:
        ticks = time_ticks(span_s, about)
    else:
        ticks = _ticks_between(begin_s, end_s, about)
    free = curve.x - brush.px(40)
    for at_s in ticks:
        x = round(column_of(state, curve, at_s))
        if not curve.x <= x <= curve.right:
            continue
        brush.down(x, curve.bottom, curve.bottom + brush.px(4), theme.FAINT)
        text = _time(at_s, end_s)
        half = brush.size(text, theme.SMALL)[0] / 2
        middle = min(max(x, curve.x + half), curve.right - half)
        if middle - half < free:
            continue
        y = curve.bottom + brush.px(3)
        free = brush.text(text, middle, y, theme.FAINT, theme.SMALL, align="centre").right


def _ticks_between(begin_s: float, end_s: float, about: int) -> list[float]:
    """Round times of a part: as of the whole where it is long, else decimal."""
    length_s = end_s - begin_s
    if length_s <= 10:
        return round_ticks(begin_s, end_s, about)
    step_s = time_ticks(length_s, about)
    each_s = step_s[1] - step_s[0] if len(step_s) > 1 else length_s
    count = int(end_s // each_s) - int(begin_s // each_s) + 1
    return [(int(begin_s // each_s) + index) * each_s for index in range(count)]


def _time(at_s: float, span_s: float) -> str:
    whole = abs(at_s - round(at_s)) < 1e-6
    return time_text(round(at_s, 6), span_s, None if whole or span_s <= 60 else 2)


def draw_current_axis(brush: Brush, curve: Rect, top_a: float) -> None:
    """The zero line, and figures left of the curve with faint lines across it."""
    brush.across(curve.x, curve.right, curve.bottom, theme.FAINT)
    if curve.x < brush.px(30):
        return
    _, height = brush.size("0", theme.SMALL)
    step = _step(brush, curve, top_a)
    count = int(top_a / step + 1e-9)
    for index in range(count + 1):
        level_a = index * step
        y = curve.bottom - round(level_a / top_a * curve.h)
        if index and y - height / 2 < curve.y - brush.px(8):
            continue
        unit = " A" if index == count or index == 0 else ""
        text = f"{level_a:g}{unit}"
        brush.text(text, curve.x - brush.px(7), y - height / 2, theme.FAINT, theme.SMALL,
                   align="right")  # fmt: skip
        brush.across(curve.x - brush.px(4), curve.x, y, theme.FAINT)


def _step(brush: Brush, curve: Rect, top_a: float) -> float:
    """Round amps from figure to figure: as close as they can be read, and one at least."""
    _, height = brush.size("0", theme.SMALL)
    step = round_step(top_a / max(curve.h // max(round(1.35 * height), 1), 1))
    return (
        step
        if step <= top_a
        else max(one for one in (step / 2, step / 2.5, step / 5) if one <= top_a)
    )


def draw_grid(brush: Brush, curve: Rect, top_a: float) -> None:
    """Faint lines across the curve where figures stand."""
    step = _step(brush, curve, top_a)
    for index in range(1, int(top_a / step + 1e-9) + 1):
        y = curve.bottom - round(index * step / top_a * curve.h)
        veil = Rect(curve.x, y, curve.w, 1)
        brush.fill(veil, theme.LINE, alpha=110)


def draw_bars(brush: Brush, curve: Rect, load: Load, part: tuple[float, float]) -> None:
    """A bar under every stretch that is past a limit, wide enough to be seen."""
    over = anywhere(load.over, curve.w, *part)
    past = anywhere(load.past, curve.w, *part) | over
    for start, end in stretches(past):
        colour = theme.OVER if over[start:end].any() else theme.AMBER
        width = max(end - start, brush.px(2))
        brush.fill(Rect(curve.x + start, curve.bottom, width, brush.px(3)), colour)


def limit_lines(load: Load) -> list[tuple[float, str, theme.Colour, bool]]:
    """(amps, words, colour, dashed) of each line across the curve, the highest first."""
    rated_a = float(load.rated_a.sum())
    lasting = limits().supply_load
    found: list[tuple[float, str, theme.Colour, bool]] = []
    if rated_a > 0:
        found.append((rated_a, f"rated  {rated_a:.3g} A", theme.OVER, False))
        share = f"{lasting:.0%}".replace("%", " %")
        found.append((lasting * rated_a, f"{share}  {lasting * rated_a:.3g} A", theme.AMBER, True))
    if load.ceiling is not None:
        bright, most_a = load.ceiling.brightness, load.ceiling.most_a
        _, (held,) = beside_ceilings(load.brightness, [bright])
        words = f"ceiling {held}  {most_a:.1f} A"
        if bright >= 1:
            words = f"at full  {most_a:.1f} A"
        found.append((most_a, words, theme.WARM, True))
    return sorted(found, key=lambda line: -line[0])


def draw_limits(brush: Brush, curve: Rect, load: Load, top_a: float, right: int) -> None:
    """The lines of the limits, and their words beside the curve where there is room for them."""
    _, height = brush.size("0", theme.SMALL)
    beside = right - curve.right >= brush.px(NAMES) - 1
    lines = limit_lines(load)
    tops: list[float] = []
    for level_a, *_ in lines:
        y = curve.bottom - level_a / top_a * curve.h
        tops.append(max(y - height / 2, tops[-1] + height if tops else curve.y - brush.px(14)))
    foot = curve.bottom + brush.px(6) - height
    for index in reversed(range(len(tops))):  # pushed up again where they would leave the ribbon
        tops[index] = min(tops[index], foot - (len(tops) - 1 - index) * height)
    for (level_a, words, colour, dashed), top in zip(lines, tops, strict=True):
        y = curve.bottom - round(level_a / top_a * curve.h)
        if dashed:
            brush.dashed(curve.x, curve.right, y, colour)
        else:
            brush.across(curve.x, curve.right, y, colour)
        if not beside:
            continue
        x = curve.right + brush.px(14)
        start, end = (curve.right, y), (x - brush.px(3), round(top + height / 2))
        pygame.draw.aaline(brush.surface, colour, start, end)
        brush.text(words, x, top, colour, theme.SMALL, width=right - x - brush.px(4))


def room_words(load: Load, *, bound: bool = True) -> str:
    """How much more may be drawn than the peak, and what then is at its limit, in words, with its
    number or by name alone; "" where a limit is passed already. Until the ceiling is known, no more
    than the supplies allow."""
    room = load.room
    if room is None or load.limit_passed or bool(load.over.any()) or room[1] <= 0:
        return ""
    about = "about " if load.guessed.any() else ""
    if load.ceiling is None:
        share = f"{limits().supply_load:.0%}".replace("%", " %")
        of = f" ({share} of {room[0]})" if bound else ""
        return f"at most {about}{room[1]:.1f} A of room{of}"
    left_a = max(load.ceiling.most_a - load.peak[0], 0.0)
    if load.ceiling.brightness >= 1:
        return f"full brightness asks {about}{left_a:.1f} A more, within every limit"
    held_by = load.ceiling.held_by if bound else load.ceiling.limit
    return f"{about}{left_a:.1f} A of room to the limit: {held_by}"


def draw_room(brush: Brush, curve: Rect, load: Load, top_a: float) -> None:
    """For a curve that stands still: how much room is left between it and what is allowed."""
    words = room_words(load)
    rated_a = float(load.rated_a.sum())
    if not words or not is_flat(load) or rated_a <= 0:
        return
    most_a = load.ceiling.most_a if load.ceiling else limits().supply_load * rated_a
    low = curve.bottom - round(load.peak[0] / top_a * curve.h)
    high = curve.bottom - round(most_a / top_a * curve.h)
    width, height = brush.size(words)
    width = min(width, curve.w - brush.px(60))
    x = curve.x + curve.w // 2 - width // 2 - brush.px(16)
    head = brush.px(4)
    if low - high > 3 * head:
        brush.down(x, high + 1, low, theme.QUIET, 1)
        for y, way in ((high + 1, 1), (low - 1, -1)):
            tip = [(x, y), (x - head, y + way * head), (x + head, y + way * head)]
            pygame.draw.polygon(brush.surface, theme.QUIET, tip)
    inside = low - high >= height + brush.px(4)
    top = (low + high - height) // 2 if inside else max(high - height - brush.px(3), curve.y)
    ground = Rect(x + brush.px(8), top, width + brush.px(16), height)
    brush.fill(ground, theme.PANEL, alpha=225, radius=4)
    brush.text(words, x + brush.px(16), top, theme.WARM, width=width)


def draw_seen(brush: Brush, curve: Rect, state: State) -> None:
    """Which part of the whole is in sight: a thin bar above the curve's foot."""
    if state.ribbon.window is None:
        return
    begin_s, end_s = state.ribbon.window
    span_s = span_of(state)
    y = curve.bottom + brush.px(20)
    track = Rect(curve.x, y, curve.w, brush.px(2))
    brush.fill(track, theme.LINE)
    left = curve.x + round(begin_s / span_s * curve.w)
    width = max(round((end_s - begin_s) / span_s * curve.w), brush.px(6))
    brush.fill(Rect(min(left, curve.right - width), y, width, brush.px(2)), theme.QUIET)
    now = state.frame_s
    if not in_curve(curve, column_of(state, curve, now)):
        x = curve.x + round(now / span_s * curve.w)
        brush.fill(Rect(x, y - brush.px(1), brush.px(3), brush.px(4)), theme.AMBER)
