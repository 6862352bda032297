"""Opening a photograph: upright, in linear colours, or refused in one line.

Phones store a picture as the sensor lay and say in its EXIF data how it is to be turned; corners
are those of the picture as one sees it.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import numpy as np
from PIL import Image, ImageFile, ImageOps

from layouts.errors import InputError, Problem
from layouts.photograph.file_head import FORMATS, UnfitPicture, check_pixels

DEEP = ("I", "I;16", "I;16L", "I;16B", "I;16N")  # modes that hold 16 bits of grey
STRIP_PX = 1 << 20  # so many pixels are turned into sRGB at a time


def open_photo(file: str, at_least_px: int | None = None) -> Image.Image:
    """The photograph as RGBA of 8 bits in sRGB, turned upright; of several pictures the first.

    A picture much larger than `at_least_px` on its shorter side is read smaller, but not below
    that: a JPEG by a half, a quarter or an eighth as it is decoded, others by whole parts. Raises
    InputError where the file is none of FORMATS, is broken, or is too large to be safe.
    """
    try:
        with warnings.catch_warnings(), _only_whole():
            warnings.simplefilter("ignore")  # of odd EXIF data and the like
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=FORMATS) as opened:
                check_pixels(opened)
                if at_least_px is not None:
                    opened.draft(None, (at_least_px, at_least_px))
                opened.load()
                picture = _in_strips(opened, at_least_px)
                opened.close()  # what it holds goes before the picture is turned
            ImageOps.exif_transpose(picture, in_place=True)
            return picture
    except UnfitPicture as unfit:
        raise InputError([Problem(file, 1, 1, f"this picture {unfit.what}", unfit.do)]) from None
    # a broken file may make its reader trip over anything
    except Exception as error:
        what = f"this is no picture that can be read ({_reason(error)})"
        do = "save the photograph as PNG, JPEG, WebP or TIFF of 8 bits again"
        raise InputError([Problem(file, 1, 1, what, do)]) from None


@contextmanager
def _only_whole() -> Iterator[None]:
    """Half a picture is refused, whatever other libraries of this process have asked of Pillow.

    One that makes PDF files has it take what is missing for grey, for good, once it is imported.
    """
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def check_whole(file: str) -> None:
    """Raises InputError, as `open_photo` does, where the photograph cannot be read to its end.

    It is decoded as small as its format allows: nobody finds out at night that half is missing.
    """
    open_photo(file, at_least_px=200)


def _in_strips(picture: Image.Image, at_least_px: int | None) -> Image.Image:
    """Any mode as RGBA in sRGB, smaller by whole parts as far as the shorter side allows.

    A strip at a time: the picture is there in full only as it was stored. Its EXIF data stay.
    """
    parts = max(min(picture.size) // at_least_px if at_least_px else 1, 1)
    wide, tall = picture.size
    rows = max(STRIP_PX // (wide * parts), 1) * parts
    in_srgb = _srgb_of(picture)
    made = Image.new("RGBA", (-(-wide // parts), -(-tall // parts)))
    for top in range(0, tall, rows):
        strip = _eight_bits(picture.crop((0, top, wide, min(top + rows, tall))), in_srgb)
        made.paste(strip.reduce(parts) if parts > 1 else strip, (0, top // parts))
    made.info = {**picture.info, "exif": picture.getexif().tobytes()}
    return made


def _eight_bits(picture: Image.Image, in_srgb: Callable[[Image.Image], Image.Image]) -> Image.Image:
    """Any mode as RGBA in sRGB; grey of 16 bits keeps its tones."""
    if picture.mode in DEEP:
        grey = np.clip(np.asarray(picture, dtype=np.float64), 0, 65535) / 257
        picture = Image.fromarray(np.rint(grey).astype(np.uint8))
    elif picture.mode == "F":
        raise ValueError("its values are floating-point numbers without a scale")
    return in_srgb(picture).convert("RGBA")


def _srgb_of(picture: Image.Image) -> Callable[[Image.Image], Image.Image]:
    """What turns colours or inks into sRGB by the colour profile that a file carries, where it
    carries a sound one.

    A file without one is taken for sRGB, as browsers do.
    """
    profile = picture.info.get("icc_profile")
    if not profile or picture.mode not in ("RGB", "CMYK"):
        return lambda strip: strip
    from PIL import ImageCms

    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turn = ImageCms.buildTransform(own, ImageCms.createProfile("sRGB"), picture.mode, "RGB")
    except (ImageCms.PyCMSError, OSError):
        return lambda strip: strip

    def turned(strip: Image.Image) -> Image.Image:
        try:
            return ImageCms.applyTransform(strip, turn) or strip
        except (ImageCms.PyCMSError, OSError):
            return strip

    return turned


def _reason(error: Exception) -> str:
    if isinstance(error, Image.UnidentifiedImageError):
        return "none of PNG, JPEG, WebP and TIFF"
    if isinstance(error, (Image.DecompressionBombError, Image.DecompressionBombWarning)):
        return f"more than {Image.MAX_IMAGE_PIXELS or 0:,} pixels"
    words = " ".join(str(error).split())
    return words or type(error).__name__
