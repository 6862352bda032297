"""The picture of a diagnosis: the house with what was seen on it, suspects, and what was measured.

At the right the suspects with their probabilities, the next test or the repair, and the cautions.
"""

from __future__ import annotations

from io import BytesIO
from itertools import takewhile
from typing import TYPE_CHECKING

import numpy as np

from layouts.records import House
from layouts.sightings import LOOKS
from sim.frame import scene
from sim.light import Scene, to_px
from sim.report.cautions import MENDING, WIRING
from sim.report.diagnosis_places import place_of_suspect, place_of_test
from sim.report.dim_house import dimmed
from sim.report.text import percent
from sim.report.theme import GROUND, LINE, QUIET, WARM, typeface, wrapped
from sim.report.wording.diagnosis import (
    no_test_label,
    repair_of,
    result_label,
    suspect_label,
    test_label,
)
from sim.upkeep.diagnosis import Diagnosis, Suspect

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

#: At a picture 1280 pixels wide: margin, head, foot, the column at the right.
_MARGIN, _HEAD, _FOOT, _COLUMN = 22, 58, 82, 410
#: How much larger the words beside and below the house are: legible where it is shown half as wide.
_WORDS, _SMALL = 1.34, 1.2
#: So many suspects are marked; less probable ones are not.
_MARKED, _LEAST = 4, 0.01
#: What pixels were seen to do, in the order of `LOOKS`; and those nobody spoke of.
#: Source: M. Okabe, K. Ito, Color Universal Design (2008).
_LOOKED = ((240, 228, 66), (14, 16, 22), (204, 121, 167), (86, 180, 233))
#: The rim of what is dark.
_RIM = (206, 210, 218)
_UNSAID = (92, 98, 110)
_NAMES = ("lit", "dark", "wrong colour", "flickers")
#: From improbable to certain.
_COLD, _HOT = (120, 128, 146), (255, 176, 64)

_Px = tuple[float, float]


def diagnosis_png(found: Diagnosis, house: House, size_px: tuple[int, int]) -> bytes:
    """PNG of `diagnosis_picture`."""
    stream = BytesIO()
    diagnosis_picture(found, house, size_px).save(stream, format="PNG")
    return stream.getvalue()


def diagnosis_picture(found: Diagnosis, house: House, size_px: tuple[int, int]) -> Image:
    """The diagnosis over its house, `size_px` wide and high."""
    from PIL import Image as pil
    from PIL import ImageDraw

    unit = max(min(size_px[0] / 1280, size_px[1] / 720), 0.5)
    head, foot, column = (round(each * unit) for each in (_HEAD, _FOOT, _COLUMN))
    house_px = (max(size_px[0] - column, 64), max(size_px[1] - head - foot, 64))
    place = scene(house, house_px, "dusk")
    sheet = pil.new("RGB", size_px, GROUND)
    finer = pil.fromarray(dimmed(house, place)).resize(
        (house_px[0] * 2, house_px[1] * 2), pil.Resampling.BICUBIC
    )
    _marks(ImageDraw.Draw(finer), found, house, place, 2 * unit)
    sheet.paste(finer.resize(house_px, pil.Resampling.LANCZOS), (0, head))
    draw = ImageDraw.Draw(sheet)
    title = f"{house.name}: what may be broken"
    draw.text((_MARGIN * unit, head / 2), title, WARM, typeface(22 * unit, bold=True), anchor="lm")
    unsaid = bool((_last_looks(found, house) < 0).any())
    _legend(draw, found, (_MARGIN * unit, size_px[1] - foot), _SMALL * unit, unsaid)
    left = house_px[0] + _MARGIN * unit
    _column(draw, found, house, (left, head * 0.32), size_px, _WORDS * unit)
    return sheet


def _marks(draw: ImageDraw, found: Diagnosis, house: House, place: Scene, k: float) -> None:
    """On the house, drawn `k` times as large as at 1280 pixels: looks, readings, suspects."""
    at = to_px(place, house.pixels.xy_m) * 2
    looks = _last_looks(found, house)
    for run in house.runs:
        line = [tuple(each) for each in at[run.pixels]]
        if len(line) > 1:
            draw.line(line, GROUND, max(1, round(6.5 * k)), joint="curve")
    # Dark is dark with a light rim; everything as a string of dots.
    rows = ((-1, _UNSAID, 1.7), (0, _LOOKED[0], 1.7), (1, _RIM, 3.4), (1, _LOOKED[1], 2.2))
    for look, colour, size in (*rows, (2, _LOOKED[2], 2.4), (3, _LOOKED[3], 2.4)):
        radius = size * k
        for x, y in at[looks == look]:
            draw.ellipse((x - radius, y - radius, x + radius, y + radius), colour)
    spots = _suspect_spots(found, house, place)
    taken = [spot for _, spot in spots]
    font = typeface(14 * k)
    for text, spot in _readings(found, house, place):
        _tag(draw, text, spot, taken, font, k)
    for number, spot in reversed(spots):
        _disc(draw, number, found.suspects[number - 1].probability, spot, k)


def _last_looks(found: Diagnosis, house: House) -> np.ndarray:
    """(N,) the number of the last look of each pixel, −1 where nobody spoke of it."""
    looks = np.full(len(house.pixels), -1)
    for seen in found.seen:
        if seen.what in LOOKS:
            looks[seen.pixels] = LOOKS.index(seen.what)
    return looks


def _suspect_spots(found: Diagnosis, house: House, place: Scene) -> list[tuple[int, _Px]]:
    """The marked suspects by number from 1, at pixels of the finer house; none over another."""
    spots: list[tuple[int, _Px]] = []
    for number, suspect in enumerate(_marked(found), 1):
        xy = place_of_suspect(suspect, house)
        if xy is None:
            continue
        x, y = (to_px(place, np.array(xy)) * 2).tolist()
        spots.append((number, _free((x, y), [spot for _, spot in spots], 44)))
    return spots


def _marked(found: Diagnosis) -> list[Suspect]:
    """The suspects that are told: the first, and of those behind it the probable ones."""
    first, *others = found.suspects[:_MARKED]
    return [first, *takewhile(lambda each: each.probability >= _LEAST, others)]


def _free(spot: _Px, taken: list[_Px], far: float) -> _Px:
    """The spot, or one beside it that is so far from all that are taken."""
    for ring in range(8):
        for turn in np.arange(8 if ring else 1) * np.pi / 4 - np.pi / 2:
            x = spot[0] + ring * far * float(np.cos(turn))
            y = spot[1] + ring * far * float(np.sin(turn))
            if all(np.hypot(x - a, y - b) >= far * 0.95 for a, b in taken):
                return x, y
    return spot


def _readings(found: Diagnosis, house: House, place: Scene) -> list[tuple[str, _Px]]:
    """What was measured and tried, by place, where the house says where."""
    told: dict[tuple[int, int], list[str]] = {}
    for seen in found.seen:
        xy = place_of_test(seen, house)
        if xy is not None:
            x, y = (to_px(place, np.array(xy)) * 2).round().astype(int).tolist()
            told.setdefault((x, y), []).append(result_label(seen))
    return [("; ".join(texts), (float(x), float(y))) for (x, y), texts in told.items()]


def _tag(
    draw: ImageDraw, text: str, of: _Px, taken: list[_Px], font: FreeTypeFont, k: float
) -> None:
    """Readings in a small box beside their place, inside the picture, off what is taken."""
    width = float(font.getlength(text)) + 14 * k
    edge = draw.im.size[0] - 4 * k
    x = min(max(of[0], width / 2 + 4 * k), edge - width / 2)

    def free(y: float) -> bool:
        return y > 16 * k and all(
            abs(y - b) > 25 * k or abs(x - a) > width / 2 + 14 * k for a, b in taken
        )

    steps = [sign * (34 + 12 * n) * k for n in range(12) for sign in (-1, 1)]
    y = next((of[1] + step for step in steps if free(of[1] + step)), of[1] - 34 * k)
    taken += [(x + share * width, y) for share in (-0.5, -0.25, 0.0, 0.25, 0.5)]
    draw.line((of[0], of[1], x, y), (150, 152, 158), max(1, round(k)))
    box = (x - width / 2, y - 12 * k, x + width / 2, y + 12 * k)
    draw.rounded_rectangle(box, 4 * k, GROUND, (150, 152, 158), max(1, round(0.8 * k)))
    draw.text((x, y), text, WARM, font, anchor="mm")


def _disc(draw: ImageDraw, number: int, share: float, at: _Px, k: float) -> None:
    x, y = at
    radius = (9 + 5 * share) * k
    rim = radius + 2 * k
    draw.ellipse((x - rim, y - rim, x + rim, y + rim), GROUND)
    draw.ellipse((x - radius, y - radius, x + radius, y + radius), _heat(share))
    draw.text(at, str(number), GROUND, typeface(12.5 * k, bold=True), anchor="mm")


def _heat(share: float) -> tuple[int, int, int]:
    cold, hot = np.array(_COLD), np.array(_HOT)
    r, g, b = np.rint(cold + (hot - cold) * share**0.5).astype(int).tolist()
    return r, g, b


def _legend(draw: ImageDraw, found: Diagnosis, at: _Px, unit: float, unsaid: bool) -> None:
    """What the colours of pixels say, and the cautions that must stand by."""
    x, y = at
    font = typeface(12 * unit)
    y += 16 * unit
    told = {seen.what for seen in found.seen if seen.what in LOOKS}
    pairs = [(n, c) for w, n, c in zip(LOOKS, _NAMES, _LOOKED, strict=True) if w in told]
    if unsaid:
        pairs.append(("nobody said", _UNSAID))
    for name, colour in pairs:
        r = 5 * unit
        rim = _RIM if colour == _LOOKED[1] else colour
        draw.ellipse((x, y - r, x + 2 * r, y + r), colour, rim, max(1, round(1.4 * unit)))
        draw.text((x + 3 * r, y), name, WARM, font, anchor="lm")
        x += 3 * r + font.getlength(name) + 20 * unit
    x0, small = at[0], typeface(10.5 * unit)
    for n, text in enumerate((MENDING[0], WIRING[0])):
        draw.text((x0, y + (21 + 15 * n) * unit), f"! {text}", QUIET, small, anchor="lm")


def _column(
    draw: ImageDraw, found: Diagnosis, house: House, at: _Px, size_px: tuple[int, int], unit: float
) -> None:
    """Suspects with their bars; what to do next; nothing below the edge of the picture."""
    left, y = at
    width = size_px[0] - left - _MARGIN / _WORDS * unit
    bold, plain = typeface(13.5 * unit, bold=True), typeface(12.5 * unit)
    y += 20 * unit
    told = _marked(found)
    for number, suspect in enumerate(told, 1):
        share = suspect.probability
        r = 9 * unit
        draw.ellipse((left, y - r, left + 2 * r, y + r), _heat(share))
        middle = (left + r, y)
        draw.text(middle, str(number), GROUND, typeface(11.5 * unit, bold=True), anchor="mm")
        bar = left + 28 * unit
        full = max(width - 76 * unit, 8 * unit)  # a picture too small for words stays one
        draw.rounded_rectangle((bar, y - 4 * unit, bar + full, y + 4 * unit), 4 * unit, LINE)
        some = max(full * share, 8 * unit)
        draw.rounded_rectangle(
            (bar, y - 4 * unit, bar + some, y + 4 * unit), 4 * unit, _heat(share)
        )
        draw.text((left + width, y), percent(share), WARM, bold, anchor="rm")
        y += 13 * unit
        for line in wrapped(suspect_label(suspect, house), plain, width - 28 * unit)[:2]:
            draw.text((bar, y), line, WARM, plain)
            y += 16.5 * unit
        if suspect.unexplained:
            count = f"does not explain {len(suspect.unexplained)} of {len(found.seen)} sightings"
            draw.text((bar, y), count, QUIET, typeface(11.5 * unit))
            y += 16 * unit
        y += 18 * unit
    rest = 1 - sum(suspect.probability for suspect in told)
    if rest >= _LEAST:
        draw.text((left, y - 8 * unit), f"anything else {percent(rest)}", QUIET, plain)
        y += 18 * unit
    heading, lines = _what_next(found, house)
    draw.line((left, y, left + width, y), LINE, max(1, round(unit)))
    y += 12 * unit
    draw.text((left, y), heading, WARM, bold)
    y += 23 * unit
    bottom = size_px[1] - 30 * unit
    for line in lines:
        for number, part in enumerate(wrapped(line, plain, width - 12 * unit)):
            if y > bottom:
                return
            draw.text((left + (12 * unit if number else 0), y), part, WARM, plain)
            y += 16.5 * unit
        y += 5 * unit


def _what_next(found: Diagnosis, house: House) -> tuple[str, list[str]]:
    """The heading and lines of what to do: a test with its outcomes, or the repair."""
    first = found.suspects[0]
    if found.next is not None:
        told = [f"{percent(o.probability)}  {o.result}" for o in found.next.outcomes[:4]]
        cost = f"about {found.next.cost:g} minutes; what may come of it:"
        return "Next", [test_label(found.next), cost, *told]
    repair = repair_of(first, house)
    if found.why_no_test != "sure":
        told = [no_test_label(found.why_no_test or "nothing", suspect_label(first, house))]
    else:
        told = []
    steps = [f"{n}. {step}" for n, step in enumerate(repair.steps, 1)]
    return "Repair", [*told, *steps, f"to have at hand: {'; '.join(repair.parts)}"]
