"""A drawn house from its measures: masses, openings, additions, garden and lights put together."""

from __future__ import annotations

from typing import Any

from layouts.forms import garden, roof
from layouts.forms.additions import (
    chimney,
    dormers,
    garage_doors,
    porch,
    porch_span,
    rooflights,
    step,
)
from layouts.forms.body import Body, eave, knee, rakes, slope, wall
from layouts.forms.facade import MARGIN, clear_spans, door_height, door_place, floors_of, windows
from layouts.forms.lights import lights_of
from layouts.forms.masses import garage_body, high_side, main_body, wing_body
from layouts.forms.measures import FormMeasures
from layouts.forms.openings import Span, centres, door, gable_windows, glass_width, window
from layouts.forms.paint import Painting
from layouts.forms.usual import FLOOR
from layouts.new_file import in_units

BESIDE = 2.7  # garden that the drawing shows to either side [m]
Data = dict[str, Any]


def house_of_form(measures: FormMeasures) -> Data:
    """The house file that `measures` make, as plain Python in the measures' units.

    It has runs along every eave and rake and no wiring: the plan makes that.
    """
    return drawn_form(measures)[0]


def drawn_form(m: FormMeasures) -> tuple[Data, dict[str, str]]:
    """The data, and the line that stands over some of its surfaces in a file."""
    sheet = Painting()
    beside = m.garage_width or 0.0
    at = BESIDE + m.overhang + (beside if m.garage == "left" else 0.0)
    body = main_body(m, m.look, at)
    wing = wing_body(m, m.look, at) if m.form == "cross-gable" else None
    total = 2 * (BESIDE + m.overhang) + m.width + beside
    high = max(y for _, y in [*body.edge, *body.top, *(wing.edge if wing else ())])
    high += 1.95 if m.chimney != "none" else 0.9
    width, height = max(total, 1.45 * high), max(high, 0.42 * total)
    shift = (width - total) / 2
    garden.behind(sheet, total, high, tree="left" if m.garage == "right" else "right")
    chimney(sheet, m, body)
    drive = _garage(sheet, m, at, body) if m.garage != "none" else None
    entry = _main(sheet, m, body, wing)
    porch_at = _entrance(sheet, m, body, wing, entry)
    garden.ground(sheet, total, door=entry, drive=drive)
    _planting(sheet, body, wing, porch_at)
    data = {
        "name": m.name,
        "units": "m",
        "drawing": {
            "size": [round(width, 2), round(height, 2)],
            "viewer": round(min(24.0, max(12.0, 0.9 * width)), 1),
            "surfaces": sheet.surfaces,
        },
        **lights_of(m, sheet.lights),
        "places": _places(m, body),
    }
    _moved(data, shift)
    return in_units(data, m.units), sheet.over


def _main(sheet: Painting, m: FormMeasures, body: Body, wing: Body | None) -> float:
    """The house and its wing; returns where the door is."""
    gap = (wing.left, wing.right) if wing else None
    sheet.title("the house")
    slope(sheet, body)
    if m.form == "gambrel" and m.facing == "eave":
        half = m.half_span
        knee(sheet, body, m.eave_m + roof.gambrel(-half, half, 0.0, m.slope)[1][1])
    if m.dormers:
        dormers(sheet, m, body)
    elif m.storeys > m.floors and m.has_roof_plane:
        free = _beside(body, gap) if gap else None
        rooflights(sheet, m, body, free)
    wall(sheet, body)
    spans = clear_spans(body, [gap] if gap else [])
    entry = door_place(m, spans)
    if m.form in ("shed", "flat"):
        _panel(sheet, m, body, entry)
    windows(sheet, m, body, spans, door=entry)
    if not body.level:
        _in_the_gable(sheet, m, body)
    door(sheet, entry, body.wall, FLOOR, m.look.door, lit=m.lit, tall=door_height(m))
    if body.level:
        out = m.overhang
        eave(sheet, body, [(gap[0] - out, gap[1] + out)] if gap else [])
    else:
        rakes(sheet, body, "rake" if m.form == "shed" else "gable")
    if wing is not None:
        sheet.title("gable wing, built forward")
        wall(sheet, wing)
        windows(
            sheet,
            m,
            wing,
            [(wing.left + MARGIN, wing.right - MARGIN)],
            about=1.3,
            prefix="gable-window",
        )
        _in_the_gable(sheet, m, wing)
        rakes(sheet, wing, "gable")
    return entry


def _panel(sheet: Painting, m: FormMeasures, body: Body, entry: float) -> None:
    """Boards about the entrance of a house of our days, up to under its roof."""
    left, right = max(body.left, entry - 1.15), min(body.right, entry + 1.25)
    low, high = (body.underside(x) + 0.05 for x in (left, right))
    outline = [(left, 0.3), (right, 0.3), (right, high), (left, low)]
    sheet.paint("entrance-boards", m.look.second, body.wall + 0.02, outline)


def _beside(body: Body, gap: Span) -> Span:
    left, right = (body.left, gap[0]), (gap[1], body.right)
    begin, end = max(left, right, key=lambda s: s[1] - s[0])
    return begin + 0.4, end - 0.4


def _in_the_gable(sheet: Painting, m: FormMeasures, body: Body) -> None:
    """Windows above the eave: in a gable one or two, under a sloping roof one a bay."""
    if m.form == "shed":
        low = floors_of(m)[-1].head + 0.45
        span = (body.left + MARGIN, body.right - MARGIN)
        places = centres(span, odd=True)
        wide = glass_width(span, len(places))
        for number, place in enumerate(places, 1):
            least = min(
                body.underside(place - wide / 2 - 0.2), body.underside(place + wide / 2 + 0.2)
            )
            high = min(least - 0.3, low + 1.1)
            if high - low > 0.4:
                at = (place - wide / 2, low, place + wide / 2, high)
                window(sheet, f"clerestory-{number}", body.wall, at, lit=m.lit, brick=m.brick)
        return
    middle = (body.left + body.right) / 2
    low = floors_of(m)[-1].head + 0.62
    gable_windows(
        sheet,
        body.called("attic"),
        body.wall,
        middle,
        max(low, m.eave_m + 0.15),
        body.underside,
        lit=m.lit,
        brick=m.brick,
    )


def _garage(sheet: Painting, m: FormMeasures, at: float, house: Body) -> Span:
    body = garage_body(m, m.look, at)
    sheet.title("garage")
    slope(sheet, body)
    wall(sheet, body)
    doors = garage_doors(sheet, m, body)
    is_left = m.garage == "left"
    near = house.left if is_left else house.right
    # Where the house's own eave hangs over the garage's, the garage's begins beside it.
    tip = house.edge[0][1] if is_left else house.edge[-1][1]
    out = m.overhang + 0.08 if tip - body.edge[0][1] < 0.7 else 0.0
    hidden = (near - out, near + 99.0) if is_left else (near - 99.0, near + out)
    eave(sheet, body, [hidden])
    return doors


def _entrance(
    sheet: Painting, m: FormMeasures, body: Body, wing: Body | None, entry: float
) -> Span:
    """Porch or step, and a pot to either side."""
    if not m.porch:
        step(sheet, entry, body.wall)
        return entry - 1.0, entry + 1.0
    span = porch_span(m, body, entry, (wing.left, wing.right) if wing else None)
    porch(sheet, m, span, entry)
    return span


def _planting(sheet: Painting, body: Body, wing: Body | None, porch_at: Span) -> None:
    """Hedges along what is left of the wall, pots beside the door."""
    left, right = porch_at
    stretches = [(body.left, left - 0.35), (right + 0.35, body.right)]
    if wing is not None:
        own = (wing.left - 0.15, wing.right + 0.15)
        stretches = [
            (max(a, own[1]), b)
            if own[0] < (a + b) / 2 < own[1] or a < own[0] < own[1] < b
            else (a, b)
            for a, b in stretches
        ]
        stretches = [s for a, b in stretches for s in ((a, min(b, own[0])), (max(a, own[1]), b))]
        garden.hedge(sheet, "hedge-gable", own[0], own[1], 1.6)
    free = sorted({(round(a, 3), round(b, 3)) for a, b in stretches if b - a > 0.6})
    for number, (begin, end) in enumerate(free, 1):
        garden.hedge(sheet, f"hedge-{number}", begin, end, 1.1)
    if left > body.left - 0.3:
        garden.pot(sheet, "pot-left", left - 0.1, 1.9)
    if right < body.right + 0.3:
        garden.pot(sheet, "pot-right", right + 0.1, 1.9)


def _places(m: FormMeasures, body: Body) -> list[Data]:
    """Where supplies can hang: under the roof, in the garage, and dry beside the door."""
    middle = (body.left + body.right) / 2
    inside = "utility" if m.form in ("flat", "shed") else "loft"
    height = m.eave_m - 0.3 if inside == "utility" else m.eave_m + 0.3
    places = [{"name": inside, "at": [middle, height], "mains": True, "sheltered": True}]
    if m.garage != "none":
        is_left = m.garage == "left"
        x = body.left - 0.6 if is_left else body.right + 0.6
        places.append({"name": "garage-wall", "at": [x, 2.0], "mains": True, "sheltered": True})
    if m.porch:
        side = high_side(m)
        x = body.left + 0.4 if side == "left" else body.right - 0.4
        places.append({"name": "under-the-eave", "at": [x, m.eave_m - 0.2], "sheltered": True})
    return places


def _moved(data: Data, by: float) -> None:
    """Everything `by` to the right."""
    points = [
        *(p for s in data["drawing"]["surfaces"] for p in s["outline"]),
        *(p for run in data["runs"] for p in run["path"]),
        *(place["at"] for place in data["places"]),
    ]
    for point in points:
        point[0] += by
