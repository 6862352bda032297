"""Pictures side by side with words under each, in the type of the contact sheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PIL import Image, ImageDraw

from sim.report import theme
from sim.report.contact_sheet import EM, WIDTH

GAP_PX = 20


def fitted(columns: int, shape: float) -> tuple[int, int]:
    """Width and height [px] of one picture whose height is `shape` of its width."""
    wide = (WIDTH - (columns + 1) * GAP_PX) // columns
    return wide, round(wide * shape)


def laid(
    pictures: Sequence[tuple[Image.Image, Sequence[str]]], columns: int, em: int = EM
) -> Image.Image:
    """All of one size, each over its lines, of which the first is bright."""
    wide, tall = pictures[0][0].size
    lines = max(len(words) for _, words in pictures)
    foot = round((1.35 * lines + 0.6) * em)
    rows = -(-len(pictures) // columns)
    page = Image.new("RGB", (WIDTH, rows * (tall + foot + GAP_PX) + GAP_PX), theme.GROUND)
    draw, letters = ImageDraw.Draw(page), theme.typeface(em)
    for number, (picture, words) in enumerate(pictures):
        x = GAP_PX + number % columns * (wide + GAP_PX)
        y = GAP_PX + number // columns * (tall + foot + GAP_PX)
        page.paste(picture, (x, y))
        for line, word in enumerate(words):
            at = (x, y + tall + round((0.95 + 1.35 * line) * em))
            draw.text(at, word, theme.WARM if not line else theme.QUIET, letters, anchor="lm")
    return page


def kept(page: Image.Image, out: Path) -> None:
    """As a JPEG whose thin lines of saturated light keep their colour."""
    page.save(out, quality=86, subsampling=0, optimize=True)
    print(out)
