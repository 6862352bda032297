"""One mass of a house: its wall, its roof as the street sees it, and the boards along its edges."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from layouts.forms import roof
from layouts.forms.finish import Finish
from layouts.forms.openings import CORNER, Span, within
from layouts.forms.paint import BOARD, Painting, band
from layouts.forms.roof import Place

UNDER = 0.025  # a run hangs this far below the edge of its board [m]
TIP = 0.12  # and ends this far from the board's end
EYE, AWAY = 1.6, 14.0  # height of the eyes in the street, and how far away it is [m], about


@dataclass(frozen=True)
class Body:
    """A wall from `left` to `right` at depth `wall`, and the line its roof makes over it.

    `edge` is the lower edge of the boards from tip to tip, overhang included: level for an eave,
    two rakes for a gable. `top` is the outline of the slope that the street sees, () for none.
    """

    name: str  # "" is the house itself
    left: float
    right: float
    wall: float
    out: float
    edge: Sequence[Place]
    top: Sequence[Place]
    look: Finish
    fill: str  # material of the wall

    @property
    def level(self) -> bool:
        """Whether the edge is an eave."""
        return self.edge[0][1] == self.edge[-1][1] and len(self.edge) == 2

    def called(self, what: str) -> str:
        """The name of a part."""
        return f"{self.name}-{what}" if self.name else what

    def underside(self, x: float) -> float:
        """Height of the lower edge of the boards at `x`."""
        return roof.along(list(self.edge), x)


def wall(sheet: Painting, body: Body) -> None:
    """The wall up to behind its boards, with plinth and corners."""
    edge = list(body.edge)
    tops = [(x, y + 0.1) for x, y in edge if body.left < x < body.right]
    left, right = body.underside(body.left) + 0.1, body.underside(body.right) + 0.1
    sheet.paint(
        body.called("wall"),
        body.fill,
        body.wall,
        [
            (body.left, 0),
            (body.right, 0),
            (body.right, right),
            *reversed(tops),
            (body.left, left),
        ],
    )
    for side, begin, end in (
        ("left", body.left, body.left + CORNER),
        ("right", body.right - CORNER, body.right),
    ):
        high = min(body.underside(begin), body.underside(end)) + 0.06
        corner = body.look.corner
        sheet.box(body.called(f"corner-{side}"), corner, body.wall + 0.03, begin, 0.3, end, high)
    sheet.box(
        body.called("plinth"),
        "stone",
        body.wall + 0.06,
        body.left - 0.04,
        0,
        body.right + 0.04,
        0.3,
    )


def slope(sheet: Painting, body: Body) -> None:
    """The part of the roof that leans away from the street, with its ridge."""
    if not body.top:
        return
    front = body.wall + body.out
    sheet.paint(body.called("roof"), body.look.roof, front, body.top)
    (left, low), (right, _) = body.top[:2]
    high = max(y for _, y in body.top)
    for side, foot, head in (("left", left, body.top[-1]), ("right", right, body.top[2])):
        if abs(head[0] - foot) < 1e-6:  # a verge, where the roof ends square
            begin = foot - 0.03 if side == "left" else foot - 0.05
            sheet.box(
                body.called(f"verge-{side}"),
                "trim-white",
                front + 0.005,
                begin,
                low,
                begin + 0.08,
                high,
            )
    ridge = [x for x, y in body.top if y > high - 1e-6]
    if max(ridge) - min(ridge) > 0.3:
        sheet.box(
            body.called("ridge"),
            body.look.roof,
            front + 0.01,
            min(ridge) - 0.05,
            high - 0.04,
            max(ridge) + 0.05,
            high + 0.08,
        )


def knee(sheet: Painting, body: Body, height: float) -> None:
    """The upper slope of a gambrel that shows its eave, laid over the lower one's top."""
    (left, _), (right, _), (_, high), _ = body.top
    front = body.wall + body.out
    sheet.box("roof-upper", body.look.roof, front + 0.02, left - 0.02, height, right + 0.02, high)
    sheet.box(
        "roof-knee",
        "trim-white",
        front + 0.03,
        left - 0.04,
        height - 0.06,
        right + 0.04,
        height + 0.02,
    )


def eave(sheet: Painting, body: Body, hidden: Sequence[Span] = ()) -> None:
    """Soffit, fascia and gutter along a level edge, and a run under every free stretch of it."""
    (left, low), (right, _) = body.edge[0], body.edge[-1]
    front = body.wall + body.out
    spans: list[Span] = [(left, right)]
    for gap in hidden:
        spans = within(spans, gap)
    spans = [each for each in spans if each[1] - each[0] > 0.5]
    sides = _sides(len(spans))
    for side, (begin, end) in zip(sides, spans, strict=True):
        # Its far end: below the board, as who stands in the street sees it under the overhang.
        sheet.soffit(
            body.called(f"soffit{side}"),
            "trim-white",
            body.wall + 0.02,
            max(begin + 0.05, body.left),
            low - soffit_seen(body.out, low),
            min(end - 0.05, body.right),
            low + 0.08,
        )
        sheet.box(body.called(f"fascia{side}"), "trim-white", front, begin, low, end, low + BOARD)
        sheet.box(
            body.called(f"gutter{side}"),
            "metal-dark",
            front + 0.05,
            begin - 0.02,
            low + BOARD - 0.02,
            end + 0.02,
            low + BOARD + 0.06,
        )
        for where, tip, corner, way in (
            ("left", begin, body.left, 1),
            ("right", end, body.right, -1),
        ):
            if abs(tip - corner) < body.out + 0.05:
                downpipe(sheet, body, f"{side}-{where}", tip, corner, low, way)
        path = [(begin + 0.06, low - UNDER), (end - 0.06, low - UNDER)]
        sheet.hang(body.called(f"eave{side}"), path, body.out, "eaves")


def soffit_seen(out: float, height: float) -> float:
    """How much of a soffit shows from the street [m]: the rise of the sight line under it."""
    return min(0.12, max(0.03, out * (height - EYE) / AWAY))


def downpipe(
    sheet: Painting, body: Body, name: str, tip: float, corner: float, low: float, way: int
) -> None:
    """From the gutter's outlet by a swan neck to the wall's corner, and down to the plinth."""
    at = corner + way * 0.075
    outlet = tip + way * 0.12
    front = body.wall + 0.09
    half = 0.038
    part = body.called(f"downpipe{name}")
    across, fall = at - outlet, -0.28
    if abs(across) > half:
        x, y = (half * share / math.hypot(across, fall) for share in (-fall, across))
        neck = [(outlet - x, low - y), (outlet + x, low + y), (at + x, low + fall + y),
                (at - x, low + fall - y)]  # fmt: skip
        sheet.paint(f"{part}-neck", "metal-dark", front - 0.02, neck)
    sheet.box(part, "metal-dark", front, at - half, 0.06, at + half, low + fall + 0.03)
    shoe = [(at - half, 0.02), (at + half, 0.02), (at + half, 0.09), (at - half, 0.09)]
    sheet.paint(f"{part}-shoe", "metal-dark", front + 0.03, shoe)


def _sides(count: int) -> list[str]:
    if count <= 1:
        return [""] * count
    if count == 2:
        return ["-left", "-right"]
    return [f"-{index}" for index in range(1, count + 1)]


def rakes(
    sheet: Painting, body: Body, run: str, *, board: float = 0.2, zone: str = "gables"
) -> None:
    """Bargeboards along sloping edges, the tiles that show over them, and the run under them."""
    edge, front = list(body.edge), body.wall + body.out
    sheet.paint(
        body.called("rake-tiles"),
        body.look.roof,
        front - 0.04,
        band(_longer(edge), board - 0.02, board + 0.1),
    )
    sheet.paint(body.called("bargeboard"), "trim-white", front, band(edge, 0.0, board))
    sheet.hang(run, _cut(roof.shifted(edge, -UNDER), TIP), body.out - 0.03, zone)


def _longer(edge: list[Place], by: float = 0.08) -> list[Place]:
    """An edge with its ends carried on in their own directions, `by` further across."""
    return [_on(edge[1], edge[0], -by), *edge[1:-1], _on(edge[-2], edge[-1], by)]


def _on(before: Place, end: Place, across: float) -> Place:
    slope = (end[1] - before[1]) / (end[0] - before[0])
    return end[0] + across, end[1] + slope * across


def _cut(path: list[Place], by: float) -> list[Place]:
    """A path without what is nearer than `by` across to its ends."""
    return _longer(path, -by)
