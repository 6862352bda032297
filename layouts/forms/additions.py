"""What is put to a house: porch, dormers, rooflights, chimney, garage door."""

from __future__ import annotations

from layouts.forms import roof
from layouts.forms.body import Body, rakes
from layouts.forms.measures import FormMeasures, dormer_slope, dormer_span
from layouts.forms.openings import Span, centres, window
from layouts.forms.paint import BOARD, Painting, tapered
from layouts.forms.usual import DORMER, DORMER_WALL, FLOOR

FAR = 1.95  # a run hangs no farther than this [m] from the wall that it is measured from
POST = 0.15


def porch_span(m: FormMeasures, body: Body, door: float, wing: Span | None) -> Span:
    """Where the porch stands: about the door, and within the wall that is free."""
    wide = m.porch or 0.0
    left, right = body.left, body.right
    if wing is not None:
        left, right = (
            (left, wing[0] - m.overhang) if wing[0] > door else (wing[1] + m.overhang, right)
        )
    begin = min(max(door - wide / 2, left), right - wide)
    return begin, begin + wide


def beside(post: float, taken: list[Span], span: Span) -> float:
    """Where a post stands that would stand before a window: beside it, if that is near."""
    for left, right in taken:
        if left - POST < post < right:
            places = [left - POST - 0.05, right + 0.05]
            free = [x for x in places if span[0] <= x <= span[1] - POST and abs(x - post) < 0.75]
            return min(free, key=lambda x: abs(x - post), default=post)
    return post


def frames_below(sheet: Painting, height: float) -> list[Span]:
    """From where to where windows and doors stand in the wall below this height."""
    outlines = [
        surface["outline"]
        for surface in sheet.surfaces
        if surface["name"].endswith("-frame") and surface["name"].startswith(("window", "door"))
    ]
    low = [outline for outline in outlines if min(y for _, y in outline) < height]
    return [(min(x for x, _ in each), max(x for x, _ in each)) for each in low]


def porch(sheet: Painting, m: FormMeasures, span: Span, door: float) -> None:
    """Deck and steps, posts, roof and fascia, and the run under it."""
    taken = frames_below(sheet, 2.0)
    left, right = span
    deep = m.porch_depth
    low = min(2.5, m.eave_m - 0.5)
    top = min(low + BOARD + 0.36 * deep, m.eave_m - 0.03)
    sheet.title("porch")
    sheet.box("porch-deck", "stone", deep, left, -0.13 * deep, right, FLOOR)
    step = min(1.0, (right - left) / 2 - 0.1)
    sheet.box(
        "porch-step", "concrete", deep + 0.35, door - step, -0.13 * deep - 0.07, door + step, 0.1
    )
    spaces = max(1, round((right - left) / 2.6))
    if spaces % 2 == 0 and min(door - left, right - door) > 1.2:
        spaces += 1 if (right - left) / (spaces + 1) > 1.7 else -1
    inner = right - left - 2 * 0.06 - POST
    for index in range(spaces + 1):
        at = beside(left + 0.06 + inner * index / spaces, taken, span)
        sheet.box(
            f"porch-post-{index + 1}", "trim-white", deep - 0.2, at, FLOOR, at + POST, low + 0.04
        )
        sheet.box(
            f"porch-foot-{index + 1}",
            "trim-white",
            deep - 0.18,
            at - 0.04,
            FLOOR,
            at + POST + 0.04,
            FLOOR + 0.16,
        )
    out, hip = 0.2, min(0.4, (right - left) / 4)
    if m.form in ("flat", "shed"):  # a slab, as the house has
        top, hip = low + BOARD + 0.07, 0.0
    sheet.paint(
        "porch-roof",
        m.look.roof,
        deep - 0.15,
        [
            (left - out, low + BOARD - 0.02),
            (right + out, low + BOARD - 0.02),
            (right + out - hip, top),
            (left - out + hip, top),
        ],
    )
    sheet.box("porch-fascia", "trim-white", deep - 0.05, left - out, low, right + out, low + BOARD)
    rod = low - 0.22
    sheet.box("porch-lamp-rod", "metal-dark", deep / 2, door - 0.012, rod, door + 0.012, low + 0.02)
    sheet.paint(
        "porch-lamp",
        "glass-lit" if m.lit else "glass",
        deep / 2,
        tapered(door, (rod - 0.26, 0.07), (rod - 0.03, 0.1)),
    )
    sheet.paint(
        "porch-lamp-cap",
        "metal-dark",
        deep / 2 + 0.01,
        tapered(door, (rod - 0.04, 0.12), (rod + 0.04, 0.03)),
    )
    path = [(left - out + 0.08, low - 0.02), (right + out - 0.08, low - 0.02)]
    sheet.hang("porch", path, min(deep - 0.07, FAR), "entrance")


def step(sheet: Painting, door: float, wall: float) -> None:
    """The step before a door without a porch."""
    sheet.box("step-low", "stone", wall + 1.1, door - 0.85, -0.14, door + 0.9, 0.1)
    sheet.box("step-high", "stone", wall + 0.8, door - 0.7, 0.1, door + 0.75, FLOOR)


def dormers(sheet: Painting, m: FormMeasures, body: Body) -> None:
    """Gabled dormers on the slope that the street sees, evenly spaced."""
    if not m.dormers:
        return
    left, right = (body.left + x for x in dormer_span(m))
    base = m.eave_m + 0.45
    top, slope, out = base + DORMER_WALL, dormer_slope(m), 0.24
    front = body.wall + body.out + 0.06
    sheet.title("dormers" if m.dormers > 1 else "dormer")
    for number in range(1, m.dormers + 1):
        middle = left + (right - left) * (number - 0.5) / m.dormers
        begin, end = middle - DORMER / 2, middle + DORMER / 2
        edge = roof.gable(begin - out, end + out, top - slope * out, slope)
        name = f"dormer-{number}"
        own = Body(name, begin, end, front, out, edge, [], m.look, m.look.second)
        peak = edge[1][1] + 0.08
        corner = roof.along(edge, begin) + 0.08
        sheet.paint(
            f"{name}-wall",
            own.fill,
            front,
            [(begin, base), (end, base), (end, corner), (middle, peak), (begin, corner)],
        )
        window(
            sheet,
            f"{name}-window",
            front,
            (middle - 0.42, base + 0.25, middle + 0.42, base + 1.2),
            lit=m.lit,
            brick=False,
        )
        rakes(sheet, own, name, board=0.13)


def rooflights(sheet: Painting, m: FormMeasures, body: Body, hidden: Span | None) -> None:
    """Windows in the slope, where people live under it and there is no dormer."""
    left, right = hidden if hidden else (body.left + x for x in dormer_span(m))
    low = m.eave_m + 0.3 * m.rise
    high = min(low + 1.0, m.eave_m + m.rise - 0.35)
    front = body.wall + body.out
    for number, middle in enumerate(centres((left, right), 3.2), 1):
        sheet.box(
            f"rooflight-{number}-frame",
            "metal-dark",
            front + 0.06,
            middle - 0.5,
            low,
            middle + 0.5,
            high,
        )
        sheet.box(
            f"rooflight-{number}",
            "glass-lit" if m.lit else "glass",
            front + 0.07,
            middle - 0.43,
            low + 0.07,
            middle + 0.43,
            high - 0.07,
        )


def chimney(sheet: Painting, m: FormMeasures, body: Body) -> None:
    """A stack behind the ridge, with a cap and two pots."""
    if m.chimney == "none":
        return
    middle, half = (body.left + body.right) / 2, m.width / 2
    high = max(y for _, y in [*body.edge, *body.top])
    share = 0.3 if not body.level else 0.55
    if m.form == "hip" and body.top:
        ridge = [x for x, y in body.top if y == high]
        share = min(0.55, max(0.12, ((max(ridge) - min(ridge)) / 2 - 0.3) / half))
    at = middle + half * share * (1 if m.chimney == "right" else -1)
    wide = 0.42
    foot, top = m.eave_m, high + 0.85
    if m.form == "shed" and m.facing == "gable":
        top = body.underside(at) + 1.3
    sheet.title("roof and chimney")
    brick = "brick-dark" if m.look.wall == "brick-red" else "brick-red"
    sheet.box("chimney", brick, -1.2, at - wide, foot, at + wide, top)
    sheet.box("chimney-cap", "stone", -1.1, at - wide - 0.09, top, at + wide + 0.09, top + 0.15)
    for name, x, tall in (("pot", -0.2, 0.38), ("pot-small", 0.18, 0.27)):
        sheet.paint(
            f"chimney-{name}",
            "roof-tile-terracotta",
            -1.15,
            [
                (at + x - 0.13, top + 0.15),
                (at + x + 0.13, top + 0.15),
                (at + x + 0.09, top + 0.15 + tall),
                (at + x - 0.09, top + 0.15 + tall),
            ],
        )


def garage_doors(sheet: Painting, m: FormMeasures, body: Body) -> Span:
    """One door or two, in boards, with a row of panes; returns from where to where they are."""
    wide = body.right - body.left
    count = 2 if wide >= 5.4 else 1
    each = min(2.5, wide / count - 0.6)
    high = min(2.15, body.edge[0][1] - 0.3)
    step = wide / count
    for number in range(1, count + 1):
        middle = body.left + (number - 0.5) * step
        begin, end = middle - each / 2, middle + each / 2
        name = f"garage-door-{number}" if count > 1 else "garage-door"
        front = body.wall
        sheet.box(
            f"{name}-frame", "trim-white", front + 0.05, begin - 0.12, 0, end + 0.12, high + 0.12
        )
        sheet.box(name, "lap-siding-white", front - 0.04, begin, 0, end, high)
        panes = max(3, round(each / 0.6))
        for pane in range(panes):
            at = begin + (pane + 0.5) * each / panes
            sheet.box(
                f"{name}-pane-{pane + 1}",
                "glass",
                front - 0.02,
                at - 0.19,
                high - 0.5,
                at + 0.19,
                high - 0.22,
            )
    return body.left + step / 2 - each / 2, body.right - step / 2 + each / 2
