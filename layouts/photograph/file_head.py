"""The head of a picture's file: whether it is one, and how large it is as one sees it.

Phones store a picture as the sensor lay, and say in its EXIF data (tag 274) how it is to be turned:
5 to 8 stand on their side. Only the head is read, so even a huge file costs nothing.
"""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import TYPE_CHECKING

from layouts.errors import EvenfallError

if TYPE_CHECKING:
    from PIL import Image

FORMATS = ("PNG", "JPEG", "WEBP", "TIFF")
#: Millions of pixels of a picture that is read, and why no more: a JPEG is made smaller as it is
#: decoded, but one that comes in several passes is held whole until the last; a PNG is held whole,
#: a TIFF with a strip that may be all of it, a WebP in four copies. Each then takes 0.3 GB or less,
#: a WebP 0.4 GB [measured with Pillow 13].
MOST_MPX = {"JPEG": 89.0, "JPEG in several passes": 50.0, "PNG": 60.0, "TIFF": 40.0, "WEBP": 25.0}
ORIENTATION = 274
ON_THEIR_SIDE = (5, 6, 7, 8)
_NO_PICTURE = ("is no picture that can be read", "save the photograph as JPEG or PNG")


class UnfitPicture(EvenfallError):
    """A file that cannot be taken for a photograph; `what` and `do` say why."""

    def __init__(self, what: str, do: str):
        self.what, self.do = what, do
        super().__init__(f"{what}; {do}")


def check_pixels(opened: Image.Image) -> None:
    """Raises UnfitPicture where a picture, of which the head is read, has more than are read."""
    several = bool(opened.info.get("progressive") or opened.info.get("progression"))
    name = "JPEG" if opened.format == "MPO" else str(opened.format)
    name = f"{name} in several passes" if name == "JPEG" and several else name
    most = MOST_MPX[name]
    if opened.size[0] * opened.size[1] > most * 1e6:
        said = {"WEBP": "WebP", "JPEG in several passes": "progressive JPEG"}.get(name, name)
        what = f"has more than {most:g} million pixels, the most of a {said}"
        raise UnfitPicture(what, "save it smaller; 4000 across are plenty")


def pictures_in(file: Path) -> int:
    """How many pictures a file that `picture_size` takes holds; of several the first is shown.

    Raises UnfitPicture where what stands behind the first cannot be read.
    """
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(file, formats=FORMATS) as opened:
                # a telephone's JPEG keeps previews and depth maps behind the picture, which do not
                # count
                return 1 if opened.format == "MPO" else getattr(opened, "n_frames", 1)
    except Exception:  # a broken file may make its reader trip over anything
        raise UnfitPicture(*_NO_PICTURE) from None


def picture_size(file: Path) -> tuple[int, int]:
    """Width and height [px] of a picture as it is seen. Raises UnfitPicture where it is none."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of odd EXIF data and the like
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(file, formats=FORMATS) as opened:
                check_pixels(opened)
                wide, tall = opened.size
                if opened.format == "TIFF":  # newer readers turn its size already: as it is stored
                    wide, tall = (int(opened.tag_v2[tag]) for tag in (256, 257))  # type: ignore[attr-defined]
                # asked itself, a PNG is read to its end for what may stand behind its pixels
                ahead = opened.format == "PNG" and not _says_more_behind(file)
                exif = Image.Image.getexif(opened) if ahead else opened.getexif()
                turned = exif.get(ORIENTATION) in ON_THEIR_SIDE
    except UnfitPicture:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        most = (Image.MAX_IMAGE_PIXELS or 0) / 1e6
        raise UnfitPicture(
            f"has more than {most:.0f} million pixels", "save it smaller; 4000 across are plenty"
        ) from None
    except Exception:  # a broken file may make its reader trip over anything
        raise UnfitPicture(*_NO_PICTURE) from None
    return (tall, wide) if turned else (wide, tall)


def _says_more_behind(file: Path) -> bool:
    """Whether a PNG has chunks behind its pixels that may hold EXIF data; pixels are skipped."""
    behind = False
    with file.open("rb") as opened:
        opened.seek(8)
        while len(head := opened.read(8)) == 8:
            kind = head[4:]
            behind = behind or kind == b"IDAT"
            if behind and kind in (b"eXIf", b"tEXt", b"zTXt", b"iTXt"):
                return True
            opened.seek(int.from_bytes(head[:4], "big") + 4, 1)
    return False
