"""Windows, doors and lamps, and where they stand: by the proportions of real houses.

Sizes are the trade's usual ones [common practice, no source].
"""

from __future__ import annotations

from collections.abc import Callable

from layouts.forms.paint import Painting, tapered

FRAME = 0.09
CORNER = 0.15  # width of a corner board
CLEAR = 0.22  # between a window's frame and a corner board
DOOR = (0.98, 2.02)
LIFT = 0.12  # of an attic's window above the lowest it could stand
BAY = 2.15  # from window to window, about
Span = tuple[float, float]


def window(
    sheet: Painting,
    name: str,
    wall: float,
    at: tuple[float, float, float, float],
    *,
    lit: bool,
    brick: bool,
) -> None:
    """Frame, glass, sill and, in brick, a lintel; `at` is left, low, right, high of the glass."""
    left, low, right, high = at
    glass = "glass-lit" if lit else "glass"
    sheet.box(
        f"{name}-frame",
        "trim-white",
        wall + 0.05,
        left - FRAME,
        low - 0.07,
        right + FRAME,
        high + FRAME,
    )
    sheet.box(name, glass, wall - 0.08, left, low, right, high)
    sheet.box(
        f"{name}-sill", "trim-white", wall + 0.12, left - 0.14, low - 0.15, right + 0.14, low - 0.06
    )
    if brick:
        foot, top = high + FRAME, high + FRAME + 0.17
        sheet.paint(
            f"{name}-lintel",
            "stone",
            wall + 0.06,
            [(left - 0.16, foot), (right + 0.16, foot), (right + 0.22, top), (left - 0.22, top)],
        )


def centres(span: Span, about: float = BAY, *, odd: bool = False) -> list[float]:
    """Where openings stand in a clear stretch of wall: evenly, about `about` apart."""
    left, right = span
    count = max(1, round((right - left) / about))
    if odd and count % 2 == 0:
        count += 1 if (right - left) / (count + 1) > 1.6 else -1 if count > 2 else 0
    step = (right - left) / count
    return [left + (index + 0.5) * step for index in range(count)]


def glass_width(span: Span, count: int, most: float = 1.3) -> float:
    """Width of a window's glass where `count` openings share the span."""
    step = (span[1] - span[0]) / count
    return max(0.5, min(most, 0.54 * step, step - 2 * FRAME - 0.3))


def door(
    sheet: Painting,
    centre: float,
    wall: float,
    floor: float,
    material: str,
    *,
    lit: bool,
    tall: float,
) -> None:
    """The front door with a light beside it, a lamp, and the number of the house under that."""
    wide = DOOR[0]
    left, right, top = centre - wide / 2, centre + wide / 2, floor + tall
    sheet.box("door-frame", "trim-white", wall + 0.05, left - 0.12, floor, right + 0.32, top + 0.11)
    sheet.box("door", material, wall - 0.05, left, floor, right, top)
    sheet.box(
        "door-light",
        "glass-lit" if lit else "glass",
        wall - 0.06,
        right + 0.05,
        floor + 0.6,
        right + 0.22,
        top,
    )
    lantern(sheet, "lamp", left - 0.27, floor + 1.5, wall, lit=lit)
    sheet.box(
        "house-number", "enamel-blue", wall + 0.05,
        left - 0.39, floor + 1.14, left - 0.15, floor + 1.3,
    )  # fmt: skip


def lantern(
    sheet: Painting, name: str, middle: float, level: float, wall: float, *, lit: bool
) -> None:
    """A lantern on the wall: back plate, glass in a cage, a foot, a cap with a knob."""
    front = wall + 0.16
    sheet.box(f"{name}-plate", "metal-dark", wall + 0.04,
              middle - 0.04, level + 0.02, middle + 0.04, level + 0.42)  # fmt: skip
    sheet.paint(
        name,
        "glass-lit" if lit else "glass",
        front,
        tapered(middle, (level, 0.065), (level + 0.24, 0.1)),
    )
    sheet.box(f"{name}-foot", "metal-dark", front + 0.01,
              middle - 0.075, level - 0.025, middle + 0.075, level)  # fmt: skip
    cap = level + 0.24
    sheet.paint(
        f"{name}-cap",
        "metal-dark",
        front + 0.01,
        [
            (middle - 0.13, cap),
            (middle + 0.13, cap),
            (middle + 0.05, cap + 0.08),
            (middle + 0.018, cap + 0.1),
            (middle + 0.018, cap + 0.14),
            (middle - 0.018, cap + 0.14),
            (middle - 0.018, cap + 0.1),
            (middle - 0.05, cap + 0.08),
        ],
    )


def within(spans: list[Span], without: Span) -> list[Span]:
    """What is left of `spans` beside `without`."""
    made: list[Span] = []
    for left, right in spans:
        made += [(left, min(right, without[0])), (max(left, without[1]), right)]
    return [(left, right) for left, right in made if right - left > 1e-6]


def gable_windows(
    sheet: Painting,
    name: str,
    wall: float,
    middle: float,
    low: float,
    height_at: Callable[[float], float],
    *,
    lit: bool,
    brick: bool,
) -> None:
    """One or a pair of windows in a gable, where there is room; `height_at(x)` is its underside."""
    room = height_at(middle) - low
    for pair, wide, tall in (
        (True, 0.85, 1.15),
        (False, 0.85, 1.15),
        (False, 0.62, 0.95),
        (False, 0.5, 0.6),
    ):
        off = 0.75 if pair else 0.0
        high = low + LIFT + tall
        outer = off + wide / 2 + FRAME + 0.12
        free = (
            min(height_at(middle - outer), height_at(middle + outer)) - 0.1 - (0.17 if brick else 0)
        )
        if room < tall + 0.6 or high + FRAME > free:
            continue
        for index, at in enumerate((middle - off, middle + off) if pair else (middle,), 1):
            own = f"{name}-{index}" if pair else name
            window(
                sheet,
                own,
                wall,
                (at - wide / 2, low + LIFT, at + wide / 2, high),
                lit=lit,
                brick=brick,
            )
        return
