"""The head of a picture's file: whether it is one, and how large it is as one sees it.

Phones store a picture as the sensor lay, and say in its EXIF data (tag 274) how it is to be turned:
5 to 8 stand on their side. Only the head is read, so even a huge file costs nothing.
"""

from __future__ import annotations

import warnings
from pathlib import Path

from layouts.errors import EvenfallError

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF")
ORIENTATION = 274
ON_THEIR_SIDE = (5, 6, 7, 8)


class UnfitPicture(EvenfallError):
    """A file that cannot be taken for a photograph; `what` and `do` say why."""

    def __init__(self, what: str, do: str):
        self.what, self.do = what, do
        super().__init__(f"{what}; {do}")


def picture_size(file: Path) -> tuple[int, int]:
    """Width and height [px] of a picture as it is seen. Raises UnfitPicture where it is none."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of odd EXIF data and the like
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=FORMATS) as opened:
                wide, tall = opened.size
                turned = opened.getexif().get(ORIENTATION) in ON_THEIR_SIDE
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        most = (Image.MAX_IMAGE_PIXELS or 0) / 1e6
        raise UnfitPicture(
            f"has more than {most:.0f} million pixels", "save it smaller; 4000 across are plenty"
        ) from None
    except Exception:  # a broken file may make its reader trip over anything
        raise UnfitPicture(
            "is no picture that can be read", "save the photograph as JPEG or PNG"
        ) from None
    return (tall, wide) if turned else (wide, tall)
