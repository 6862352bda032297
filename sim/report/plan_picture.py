"""The picture of a plan: the house dim, over it cable as it lies, feeds, cuts and boxes."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np

from layouts.errors import EvenfallError
from sim.frame import scene
from sim.light import Scene, to_px
from sim.plan.plan import Plan
from sim.report import plan_marks as marks
from sim.report.cautions import WIRING
from sim.report.dim_house import dimmed
from sim.report.label_places import Free, label_places, leader
from sim.report.lanes import beside_each_other
from sim.report.plan_facts import PlanFacts, plan_facts
from sim.report.plan_labels import Label, feed_table, short_labels, wordings
from sim.report.theme import GROUND, QUIET, typeface, wrapped

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

#: At a picture 1280 pixels wide: margins, the head with title and price, the foot, a line of type.
MARGIN, HEAD, FOOT = 24, 72, 172
#: Further from what it names a label is no longer found; a table beside the house is better then.
FURTHEST = 200.0
#: Cautions in type as large as there is room for, and no smaller.
_LARGEST, _SMALLEST = 15.0, 5.0

_Corner = tuple[float, float]


def plan_png(plan: Plan, size_px: tuple[int, int] = (1280, 720)) -> bytes:
    """PNG of `plan_picture`."""
    stream = BytesIO()
    plan_picture(plan, size_px).save(stream, format="PNG")
    return stream.getvalue()


def plan_picture(plan: Plan, size_px: tuple[int, int] = (1280, 720)) -> Image:
    """The plan over its house, `size_px` wide and high; the same plan gives the same picture.

    Raises EvenfallError where the house does not say where a supply hangs that wires lie from.
    """
    facts = plan_facts(plan)
    if facts is None:
        raise EvenfallError(
            "the picture of a plan shows where cable lies, and the house does not say where each "
            "supply hangs; write at: to it"
        )
    unit = max(min(size_px[0] / 1280, size_px[1] / 720), 0.5)
    head, foot = round(HEAD * unit), round(FOOT * unit)
    house_px = (size_px[0], max(size_px[1] - head - foot, 64))
    place = scene(facts.house, house_px, "dusk")
    ways = _ways(facts, place, unit)
    for labels in wordings(facts, unit):
        corners = _places(facts, place, ways, labels, unit)
        anchors = _anchors(facts, place, ways, labels, unit)
        if all(_near(*each, unit) for each in zip(labels, corners, anchors, strict=True)):
            return _sheet(plan, facts, place, ways, list(zip(labels, corners, strict=True)),
                          size_px, unit)  # fmt: skip
    # Too many for words beside what they name: numbers there, and their words in a table beside it.
    table = feed_table(facts, unit, house_px[1])
    place = scene(facts.house, (house_px[0] - table.width, house_px[1]), "dusk")
    ways = _ways(facts, place, unit)
    labels = short_labels(facts, unit)
    corners = _places(facts, place, ways, labels, unit)
    sheet = _sheet(plan, facts, place, ways, list(zip(labels, corners, strict=True)), size_px, unit)
    table.draw(sheet, (size_px[0] - table.width, head))
    return sheet


def _sheet(
    plan: Plan,
    facts: PlanFacts,
    place: Scene,
    ways: list[np.ndarray],
    labels: list[tuple[Label, _Corner | None]],
    size_px: tuple[int, int],
    unit: float,
) -> Image:
    """The whole picture, labels with their upper left corners in that of the house."""
    from PIL import Image as pil
    from PIL import ImageDraw

    head = round(HEAD * unit)
    sheet = pil.new("RGB", size_px, GROUND)
    base = dimmed(facts.house, place)
    sheet.paste(marks.drawn_over(base, facts, place, ways, unit), (0, head))
    draw = ImageDraw.Draw(sheet)
    _draw_labels(draw, labels, _anchors(facts, place, ways, [one for one, _ in labels], unit), head,
                 unit)  # fmt: skip
    marks.title(draw, plan, facts, (MARGIN * unit, 0), size_px[0] - 2 * MARGIN * unit, unit)
    below = head + base.shape[0]
    legend = marks.legend(facts, unit, size_px[1] - below)
    sheet.paste(legend, (round(MARGIN * unit), below))
    left = round(2.5 * MARGIN * unit) + legend.width
    note = [f"prices: {plan.parts.note}"] if plan.parts.note and plan.parts.file else []
    said = [*plan.said, *note, *WIRING]
    _cautions(draw, said, (left, below), size_px, unit)
    return sheet


def _ways(facts: PlanFacts, place: Scene, unit: float) -> list[np.ndarray]:
    """(K, 2) [px of the house] each cable's line, beside those it shares its way with."""
    runs = [to_px(place, run.path_m) for run in facts.house.runs]
    return beside_each_other(
        [to_px(place, each.way_m) for each in facts.cables], marks.APART * unit, runs
    )


def _anchors(
    facts: PlanFacts, place: Scene, ways: list[np.ndarray], labels: list[Label], unit: float
) -> np.ndarray:
    """(L, 2) [px of the house] what each label names."""
    boxes = marks.box_spots(facts, place, ways, unit)
    anchor = np.array([to_px(place, np.array(each.at_m)) for each in labels]).reshape(-1, 2)
    anchor[: len(boxes)] = boxes  # their labels come first
    return anchor


def _places(
    facts: PlanFacts, place: Scene, ways: list[np.ndarray], labels: list[Label], unit: float
) -> list[_Corner | None]:
    """The upper left corner of each label [px of the house]; None where nothing is left for it."""
    width, height = place.view.size_px
    anchor = _anchors(facts, place, ways, labels, unit)
    boxes = anchor[: len(facts.boxes)]
    size = np.array([each.size for each in labels]).reshape(-1, 2)
    pixels = to_px(place, facts.house.pixels.xy_m)
    own = [marks.along(way, 4 * unit) for way in ways]
    cuts = [to_px(place, np.array(each.at_m)) for each in facts.cuts]
    ends = [way[-1] for way in ways]
    edge = 4 * unit
    box = marks.BOX * unit
    free = Free(
        (edge, edge, width - edge, height - edge),
        np.array([[x - box, y - box, x + box, y + box] for x, y in boxes]).reshape(-1, 4),
        np.array([*ends, *cuts, *boxes]).reshape(-1, 2),
        np.concatenate([*own, pixels[:: max(1, round(4 * unit))]]),
    )
    return label_places(anchor, size, free, 3 * unit)


def _near(label: Label, corner: _Corner | None, anchor: np.ndarray, unit: float) -> bool:
    """Whether a label has a place, from which the eye finds what it names."""
    if corner is None:
        return False
    end = leader((float(anchor[0]), float(anchor[1])), corner, label.size)
    return float(np.hypot(*(np.array(end) - anchor))) <= FURTHEST * unit


def _draw_labels(
    draw: ImageDraw,
    labels: list[tuple[Label, _Corner | None]],
    anchor: np.ndarray,
    head: int,
    unit: float,
) -> None:
    """All leaders, then all labels over them."""
    for (label, corner), spot in zip(labels, anchor, strict=True):
        if corner is None:
            continue
        end = np.array(leader((float(spot[0]), float(spot[1])), corner, label.size))
        far = float(np.hypot(*(end - spot)))
        if far > 1.6 * marks.DOT * unit:
            start = spot + (end - spot) * (marks.DOT * unit / far)
            line = (start[0], start[1] + head, end[0], end[1] + head)
            draw.line(line, GROUND, max(3, round(3 * unit)))
            draw.line(line, marks.LEADER, max(1, round(unit)))
    for label, corner in labels:
        if corner is not None:
            marks.label(draw, label, (corner[0], corner[1] + head), unit)


def _cautions(
    draw: ImageDraw, said: list[str], at: tuple[int, int], size_px: tuple[int, int], unit: float
) -> None:
    """All sentences in the room there is, in type as large as it allows."""
    left, top = at
    right, bottom = size_px[0] - round(MARGIN * unit), size_px[1] - round(6 * unit)
    for size in np.arange(_LARGEST, _SMALLEST, -0.5):
        font = typeface(max(size * unit, 1))
        step = (size + 2.5) * unit
        lines = [
            line
            for text in said
            for line in wrapped(f"! {text[:1].upper()}{text[1:]}", font, right - left)
        ]
        if top + 10 * unit + len(lines) * step <= bottom:
            break
    for number, line in enumerate(lines):
        draw.text((left, top + 10 * unit + number * step), line, QUIET, font)
