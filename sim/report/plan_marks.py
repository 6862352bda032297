"""What is drawn on the picture of a plan: cables, feeds, cuts, boxes, their legend, the title."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from effects.colour_spaces import LUMINANCE
from sim.light import Scene, to_px
from sim.report.plan_words import count_words, price_words
from sim.report.theme import GROUND, QUIET, WARM, fitted, text_width, typeface

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

    from sim.plan.plan import Plan
    from sim.report.plan_facts import PlanFacts
    from sim.report.plan_labels import Label

LEADER, RUN, CUT = (150, 152, 158), (188, 192, 200), (255, 255, 255)
#: Colours told apart with every kind of colour vision, as far as there are so many; every mark has
#: the number of its supply as well.
#: Source: M. Okabe, K. Ito, Color Universal Design (2008), the palette without its black.
SUPPLY = ((230, 159, 0), (86, 180, 233), (0, 158, 115), (240, 228, 66), (213, 94, 0),
          (204, 121, 167), (0, 114, 178))  # fmt: skip
#: At a picture 1280 pixels wide: from lane to lane, radius of a feed, half a box, of a cut's mark;
#: type of the summary and of the legend, and from row to row of it.
APART, DOT, BOX, CUT_REACH = 5.6, 8.5, 11.5, 9.0
SUMMARY, TYPE, ROW = 17.0, 15.5, 25.0

#: Every line is drawn so much larger and shrunk, which smooths it.
_FINER = 2

_Px = tuple[float, float]
_Rgb = tuple[int, int, int]


def colour_of(supply: int) -> _Rgb:
    """The colour of a supply by its number; grey where a wire hangs on none."""
    return QUIET if supply < 0 else SUPPLY[supply % len(SUPPLY)]


def ink_on(colour: _Rgb) -> _Rgb:
    """Dark or light type, whichever reads better on a colour."""
    bright = float(LUMINANCE @ np.array(colour))
    return GROUND if bright > 100 else (255, 255, 255)


def wire_px(area_mm2: float) -> float:
    """How wide a wire is drawn: with its copper, so that sizes beside each other are told apart."""
    return float(np.clip(1.2 * area_mm2, 1.1, 6.0))


def along(way: np.ndarray, step_px: float) -> np.ndarray:
    """(n, 2) points along a way, `step_px` apart."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))])
    at = np.arange(0.0, far[-1] + 1e-9, max(step_px, 0.5))
    return np.stack([np.interp(at, far, way[:, axis]) for axis in (0, 1)], axis=1)


def drawn_over(
    base: np.ndarray,
    facts: PlanFacts,
    place: Scene,
    ways: list[np.ndarray],
    unit: float,
) -> Image:
    """The house (H, W, 3) with everything but words on it."""
    from PIL import Image as pil
    from PIL import ImageDraw

    image = pil.fromarray(base)
    size = image.size
    image = image.resize((size[0] * _FINER, size[1] * _FINER), pil.Resampling.BICUBIC)
    draw, k = ImageDraw.Draw(image), _FINER * unit
    for run in facts.house.runs:
        _line(draw, to_px(place, run.path_m) * _FINER, RUN, 2.2 * k)
    order = sorted(range(len(ways)), key=lambda n: -facts.cables[n].wire.size.area_mm2)
    for halo in (True, False):
        for n in order:
            wide = wire_px(facts.cables[n].wire.size.area_mm2) * k
            colour = GROUND if halo else colour_of(facts.cables[n].supply)
            _line(draw, ways[n] * _FINER, colour, wide + (2.4 * k if halo else 0.0))
    for cut in facts.cuts:
        middle = to_px(place, np.array(cut.at_m)) * _FINER
        _cut(draw, middle, np.array([cut.along[0], -cut.along[1]]), k)
    for x, y in (to_px(place, facts.junctions_m) * _FINER).tolist():
        _diamond(draw, (x, y), 5.5 * k)
    for n, cable in enumerate(facts.cables):
        x, y = (ways[n][-1] * _FINER).tolist()
        if cable.feeds:
            disc(draw, (x, y), DOT * k, cable.supply, 12 * k)
    for n, (x, y) in enumerate((box_spots(facts, place, ways, unit) * _FINER).tolist()):
        box(draw, (x, y), k, n)
    return image.resize(size, pil.Resampling.LANCZOS)


def box_spots(facts: PlanFacts, place: Scene, ways: list[np.ndarray], unit: float) -> np.ndarray:
    """(S, 2) [px] the middle of every supply's box; those at one spot hang side by side, to the
    side on which they hide the fewest ends of cables."""
    spots = to_px(place, np.array([hung.at_m for hung in facts.boxes])).reshape(-1, 2)
    ends = np.array([way[-1] for way in ways]).reshape(-1, 2)
    at = spots.copy()
    for spot in dict.fromkeys(map(tuple, spots.tolist())):
        mine = np.flatnonzero((spots == spot).all(axis=1))
        steps = 2 * BOX * unit * np.arange(len(mine))[:, None]
        rows = [spot + steps * np.array(way) for way in ((1, 0), (-1, 0), (0, 1), (0, -1))]
        hidden = [
            int((np.abs(ends - one[:, None]).max(axis=-1) < (BOX + DOT) * unit).sum())
            for one in rows
        ]
        at[mine] = rows[hidden.index(min(hidden))]
    return at


def _line(draw: ImageDraw, way: np.ndarray, colour: _Rgb, width: float) -> None:
    points = [(float(x), float(y)) for x, y in way]
    draw.line(points, colour, max(1, round(width)), joint="curve")


def disc(draw: ImageDraw, at: _Px, radius: float, supply: int, type_px: float) -> None:
    """A feed: a disc in the colour of its supply, with its number."""
    x, y = at
    rim = max(radius * 0.18, 1)
    draw.ellipse((x - radius - rim, y - radius - rim, x + radius + rim, y + radius + rim), GROUND)
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), colour_of(supply))
    if supply >= 0:
        font = typeface(type_px, bold=True)
        draw.text(at, str(supply + 1), ink_on(colour_of(supply)), font, anchor="mm")


def box(draw: ImageDraw, at: _Px, k: float, supply: int) -> None:
    """A supply where it hangs: a square with its number."""
    x, y = at
    half = (BOX - 1.5) * k
    square = (x - half, y - half, x + half, y + half)
    draw.rounded_rectangle(square, 3 * k, colour_of(supply), GROUND, max(1, round(1.5 * k)))
    font = typeface(15 * k, bold=True)
    draw.text(at, str(supply + 1), ink_on(colour_of(supply)), font, anchor="mm")


def _cut(draw: ImageDraw, at: np.ndarray, way: np.ndarray, k: float) -> None:
    """Two bars across the run, and a gap between them."""
    across = np.array([-way[1], way[0]])
    gap = [at - way * 3.4 * k, at + way * 3.4 * k]
    draw.line([tuple(p) for p in gap], GROUND, round(5 * k))
    for side in (-1, 1):
        middle = at + side * way * 2.6 * k
        ends = [tuple(middle - across * CUT_REACH * k), tuple(middle + across * CUT_REACH * k)]
        draw.line(ends, GROUND, round(4.6 * k))
        draw.line(ends, CUT, round(2.2 * k))


def _diamond(draw: ImageDraw, at: _Px, reach: float) -> None:
    x, y = at
    corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
    draw.polygon(corners, WARM, GROUND)


def label(draw: ImageDraw, words: Label, at: _Px, unit: float) -> None:
    """A label with its upper left corner at `at`: dark ground, a rim in its supply's colour."""
    from sim.report.plan_labels import DISC, PAD, STEP

    x, y = at
    w, h = words.size
    size = words.type_px
    draw.rounded_rectangle((x, y, x + w, y + h), 3 * unit, GROUND, colour_of(words.supply),
                           max(1, round(unit)))  # fmt: skip
    for n, text in enumerate(words.lines):
        font = typeface(size, bold=not n)
        shift = DISC * size if not n and len(words.lines) > 1 else 0.0
        draw.text((x + PAD * unit + shift, y + n * STEP * size), text, WARM, font)
    if len(words.lines) > 1:
        middle = (x + PAD * unit + 0.48 * size, y + (STEP / 2 + 0.1) * size)
        disc(draw, middle, 0.45 * size, words.supply, 0.7 * size)


def title(
    draw: ImageDraw, plan: Plan, facts: PlanFacts, at: _Px, width: float, unit: float
) -> None:
    """What it is, what it costs, and how far from the least possible."""
    x, y = at
    big, small = typeface(25 * unit, bold=True), typeface(SUMMARY * unit)
    draw.text((x, y + 6 * unit), fitted(f"Plan for {facts.house.name}", big, width), WARM, big)
    draw.text((x, y + 41 * unit), fitted(_summary(plan, facts), small, width), WARM, small)


def _summary(plan: Plan, facts: PlanFacts) -> str:
    amps = sum(hung.peak_a for hung in facts.boxes)
    many = count_words(len(facts.boxes), facts.feeds, len(facts.cuts))
    return f"{price_words(plan)}: {many}, {amps:.1f} A at the peak"


def legend(facts: PlanFacts, unit: float, height: int) -> Image:
    """Marks and what they mean, and the sizes of wire: an image as wide as it needs."""
    from PIL import Image as pil
    from PIL import ImageDraw

    k = unit * _FINER
    font = typeface(TYPE * k)
    rows = [("box", "supply, with its number"), ("feed", "feed, with its supply's number")]
    rows += [("cut", "+ cut, − and data go through")] * bool(facts.cuts)
    rows += [("tap", "junction on a bus")] * bool(len(facts.junctions_m))
    rows += [("run", "run of pixels")]
    sizes = {c.wire.size.name: c.wire.size.area_mm2 for c in facts.cables}
    wires = sorted(sizes.items(), key=lambda one: one[1])[:6]
    x_text = 34 * k
    second = x_text + max(text_width(text, font) for _, text in rows) + 20 * k
    wide = second + x_text + max((text_width(name, font) for name, _ in wires), default=0.0)
    image = pil.new("RGB", (round(wide / _FINER) * _FINER, height * _FINER), GROUND)
    draw = ImageDraw.Draw(image)
    for row, (form, text) in enumerate(rows):
        y = (18 + row * ROW) * k
        _sample(draw, form, (14 * k, y), k)
        draw.text((x_text, y), text, WARM, font, anchor="lm")
    for row, (name, area) in enumerate(wires):
        y = (18 + row * ROW) * k
        draw.line((second, y, second + 24 * k, y), WARM, round(wire_px(area) * k))
        draw.text((second + x_text, y), name, WARM, font, anchor="lm")
    return image.resize((image.width // _FINER, height), pil.Resampling.LANCZOS)


def _sample(draw: ImageDraw, form: str, at: _Px, unit: float) -> None:
    x, y = at
    if form == "feed":
        disc(draw, at, DOT * unit, 0, 12 * unit)
    elif form == "box":
        box(draw, at, unit, 0)
    elif form == "tap":
        _diamond(draw, at, 5.5 * unit)
    else:
        draw.line((x - 12 * unit, y, x + 12 * unit, y), RUN, max(1, round(2.2 * unit)))
        if form == "cut":
            _cut(draw, np.array(at), np.array([1.0, 0.0]), unit)
