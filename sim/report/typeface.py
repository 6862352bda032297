"""The type on the pictures of reports."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont


def typeface(size_px: float, bold: bool = False) -> FreeTypeFont:
    """Noto Sans (SIL Open Font License) as it ships with pygame_gui, which is not imported."""
    from importlib.metadata import distribution

    from PIL import ImageFont

    name = "NotoSans-Bold.ttf" if bold else "NotoSans-Regular.ttf"
    file = distribution("pygame_gui").locate_file(f"pygame_gui/data/{name}")
    return ImageFont.truetype(str(file), round(size_px))
