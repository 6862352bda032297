"""Opening a photograph: upright, in linear colours, or refused in one line.

Phones store a picture as the sensor lay and say in its EXIF data how it is to be turned; corners
are those of the picture as one sees it.
"""

from __future__ import annotations

import warnings

import numpy as np
from PIL import Image, ImageOps

from layouts.errors import InputError, Problem

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF")
DEEP = ("I", "I;16", "I;16L", "I;16B", "I;16N")  # modes that hold 16 bits of grey


def open_photo(file: str) -> Image.Image:
    """The photograph as RGBA of 8 bits, turned upright; of several pictures in a file the first.

    Raises InputError where the file is none of FORMATS, is broken, or is too large to be safe.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of odd EXIF data and the like
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=FORMATS) as opened:
                opened.load()
                return _eight_bits(ImageOps.exif_transpose(opened))
    # a broken file may make its reader trip over anything
    except Exception as error:
        what = f"this is no picture that can be read ({_reason(error)})"
        do = "save the photograph as PNG, JPEG, WebP or TIFF of 8 bits again"
        raise InputError([Problem(file, 1, 1, what, do)]) from None


def _eight_bits(picture: Image.Image) -> Image.Image:
    """Any mode as RGBA; grey of 16 bits keeps its tones."""
    if picture.mode in DEEP:
        grey = np.clip(np.asarray(picture, dtype=np.float64), 0, 65535) / 257
        picture = Image.fromarray(np.rint(grey).astype(np.uint8))
    elif picture.mode == "F":
        raise ValueError("its values are floating-point numbers without a scale")
    return picture.convert("RGBA")


def _reason(error: Exception) -> str:
    if isinstance(error, Image.UnidentifiedImageError):
        return "none of PNG, JPEG, WebP and TIFF"
    if isinstance(error, (Image.DecompressionBombError, Image.DecompressionBombWarning)):
        return f"more than {Image.MAX_IMAGE_PIXELS or 0:,} pixels"
    words = " ".join(str(error).split())
    return words or type(error).__name__
