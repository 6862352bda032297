"""Frames to the bytes of one file: PNG, animated GIF and WebP, MP4."""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

import numpy as np

from layouts.errors import EvenfallError

if TYPE_CHECKING:
    from PIL.Image import Image

STILL = (".png",)
MOVING = {".gif": 20.0, ".webp": 25.0, ".mp4": 30.0}  # usual frames a second
ENDINGS = (*STILL, *MOVING)

Frames = Iterable[np.ndarray]  # (H, W, 3) uint8


def encoded(
    suffix: str,
    frames: Frames,
    fps: float,
    colours: np.ndarray | None = None,
    count: int | None = None,
) -> bytes:
    """All frames as the bytes of a file of that kind, as `write_film` writes it."""
    out = io.BytesIO()
    write_film(out, suffix, frames, fps, colours, count)
    return out.getvalue()


def write_film(
    file: BinaryIO,
    suffix: str,
    frames: Frames,
    fps: float,
    colours: np.ndarray | None = None,
    count: int | None = None,
) -> None:
    """All frames into a file of that kind; `fps` counts for the moving ones.

    A GIF and an MP4 are written as the frames come, so that a long film takes no more memory than
    a short one. `colours` (h, w, 3) uint8 shows what a GIF has to choose its 256 colours from.
    Where `count` says how many frames come, a WebP holds one of them at a time and what it has
    compressed so far; else it holds all.

    Raises EvenfallError where MP4 is asked for and PyAV is not installed. The same frames give the
    same bytes.
    """
    if suffix == ".gif":
        if colours is None:
            raise ValueError("a GIF needs `colours` to choose its palette from")
        _gif(file, frames, fps, colours)
    elif suffix == ".webp":
        _webp(file, frames, fps, count)
    else:
        {".png": _png, ".mp4": _mp4}[suffix](file, frames, fps)


def frame_rate(suffix: str, asked: float | None, scheme_fps: float) -> float:
    """Frames a second of the file: as asked, else usual for its kind, never above the scheme's."""
    if asked is not None:
        # a GIF counts in hundredths of a second, so only some rates are possible
        return 100 / max(2, round(100 / asked)) if suffix == ".gif" else asked
    return min(MOVING.get(suffix, scheme_fps), scheme_fps)


def known(path: Path) -> str:
    """The suffix of a file that can be written; raises EvenfallError otherwise."""
    suffix = path.suffix.lower()
    if suffix not in ENDINGS:
        raise EvenfallError(
            f"{path}: cannot write '{suffix}'; end the name in .png, .gif, .webp or .mp4"
        )
    if suffix == ".mp4":
        _av()
    return suffix


def _png(file: BinaryIO, frames: Frames, fps: float) -> None:
    from PIL import Image

    # What is dithered does not repeat itself, so that looking for runs alone is as good: in a third
    # of the time of the usual way the file comes out a tenth longer.
    Image.fromarray(next(iter(frames))).save(file, "PNG", compress_type=zlib.Z_RLE)


def _gif(file: BinaryIO, frames: Frames, fps: float, colours: np.ndarray) -> None:
    from sim.gif_colours import Reduced, colours_for
    from sim.gif_stream import write_gif

    chosen = colours_for(colours)
    write_gif(file, map(Reduced(chosen), frames), chosen.tobytes(), round(100 / fps))


def _webp(file: BinaryIO, frames: Frames, fps: float, count: int | None) -> None:
    from PIL import Image

    pictures = (Image.fromarray(frame) for frame in frames)
    first = next(pictures) if count is None else _one_by_one(pictures, count)
    first.save(
        file,
        "WEBP",
        save_all=True,
        append_images=pictures if count is None else (),
        duration=round(1000 / fps),
        loop=0,
        quality=82,
        method=3,
    )


def _one_by_one(pictures: Iterator[Image], count: int) -> Image:
    """A picture of `count` frames that holds the one sought alone; they are sought in order."""
    from PIL import Image as pil

    class OneByOne(pil.Image):
        n_frames = count

        def __init__(self) -> None:
            super().__init__()
            self._at = -1
            self.seek(0)

        def seek(self, frame: int) -> None:
            while self._at < frame:
                shown = next(pictures)
                self.im, self._mode, self._size = shown.im, shown.mode, shown.size
                self._at += 1

    return OneByOne()


def _mp4(file: BinaryIO, frames: Frames, fps: float) -> None:
    from fractions import Fraction

    av = _av()
    # Where the frames lie is written into the head when all have come: a pipe gets it all at once.
    out = file if file.seekable() else io.BytesIO()
    with av.open(out, "w", format="mp4") as film:
        stream = None
        for frame in frames:
            even = frame[: frame.shape[0] // 2 * 2, : frame.shape[1] // 2 * 2]
            if stream is None:
                stream = film.add_stream("libx264", rate=Fraction(fps).limit_denominator(1000))
                stream.height, stream.width = even.shape[:2]
                stream.pix_fmt = "yuv420p"
                stream.options = {"crf": "17", "preset": "medium"}
            picture = av.VideoFrame.from_ndarray(np.ascontiguousarray(even), format="rgb24")
            film.mux(stream.encode(picture))
        if stream is not None:
            film.mux(stream.encode())
    if isinstance(out, io.BytesIO) and out is not file:
        file.write(out.getvalue())


def _av():  # type: ignore[no-untyped-def]
    try:
        import av
    except ImportError:
        raise EvenfallError(
            "MP4 needs PyAV: .venv/bin/pip install '.[video]'; or write .webp or .gif"
        ) from None
    return av
