"""The look of reports' pictures and pages: colours and type, in one place."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

#: Of pictures, RGB 0..255: the window's night blue, words, what stays back, lines.
GROUND = (11, 15, 24)
WARM, QUIET, LINE = (243, 235, 221), (170, 168, 162), (44, 53, 72)

#: Of pages, by the names their style sheet uses. On paper it is always light.
DARK = {
    "sky": "#0d1424",
    "deep": "#080d19",
    "wall": "#172036",
    "line": "#2a3552",
    "text": "#e8e6df",
    "quiet": "#929cb3",
    "warm": "#ffc57a",
    "alarm": "#ff8f7a",
    "good": "#8fd694",
    "idle": "#56648a",
}
LIGHT = {
    "sky": "#ffffff",
    "deep": "#f3f2ee",
    "wall": "#e9e6dd",
    "line": "#cfcabd",
    "text": "#1b1d24",
    "quiet": "#5d616d",
    "warm": "#8f5400",
    "alarm": "#a02310",
    "good": "#2c6e31",
    "idle": "#a9b0c4",
}
#: Type of pages: words, and headings.
WORDS = '"Avenir Next", "Segoe UI", system-ui, sans-serif'
HEADS = 'Georgia, "Iowan Old Style", serif'


def typeface(size_px: float, bold: bool = False) -> FreeTypeFont:
    """Noto Sans (SIL Open Font License) as it ships with pygame_gui, which is not imported."""
    from importlib.metadata import distribution

    from PIL import ImageFont

    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    file = distribution("pygame_gui").locate_file(f"pygame_gui/data/{name}")
    return ImageFont.truetype(str(file), round(size_px))


def without_arrows(text: str) -> str:
    """The text as this type can show it: it has no arrow."""
    return text.replace("\u2192", "to")


def text_width(text: str, font: FreeTypeFont) -> float:
    """[px] that a line takes."""
    return float(font.getlength(text))


def fitted(text: str, font: FreeTypeFont, width: float) -> str:
    """The text as it can be shown, shortened with an ellipsis to fit."""
    text = without_arrows(text)
    if text_width(text, font) <= width:
        return text
    while text and text_width(text + "…", font) > width:
        text = text[:-1]
    return text.rstrip(" ,;") + "…"


def wrapped(text: str, font: FreeTypeFont, width: float) -> list[str]:
    """The text as it can be shown, in lines of at most `width` [px], broken between words."""
    lines, line = [], ""
    for word in without_arrows(text).split():
        longer = f"{line} {word}".strip()
        if line and text_width(longer, font) > width:
            lines.append(line)
            line = "  " + word
        else:
            line = longer
    return [*lines, line]
