"""An animated GIF written frame after frame: nothing of a frame stays once the next is written.

After the Graphics Interchange Format, version 89a (CompuServe 1990): the blocks around the frames
are made here, the compressed colours of each are Pillow's. The looping is the application extension
that browsers took up, which is in no edition of the format.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Iterable
from typing import BinaryIO

import numpy as np

#: Of 256 colours: what a frame leaves as it was.
UNTOUCHED = 255
#: The longest that one frame can stand [1/100 s].
_LONGEST = 0xFFFF


def write_gif(file: BinaryIO, frames: Iterable[np.ndarray], palette: bytes, hold: int) -> None:
    """`frames` (H, W) uint8 numbers of colours, each shown `hold` [1/100 s], for ever in turn.

    `palette` holds red, green and blue of at most 255 colours. Of a frame only the rectangle that
    differs from the one before is written; one that does not differ at all lengthens that.
    """
    before: np.ndarray | None = None
    waiting: tuple[bytes, int] | None = None  # a frame's blocks and how long it stands
    for frame in frames:
        if before is None:
            file.write(_head(frame, palette))
            waiting = _image(frame, 0, 0), hold
        elif waiting is not None and (changed := _changed(before, frame)) is not None:
            _put(file, *waiting)
            waiting = changed, hold
        elif waiting is not None:
            blocks, stands = waiting
            waiting = blocks, stands + hold
        before = frame
    if waiting is not None:
        _put(file, *waiting)
    file.write(b";")


def _head(frame: np.ndarray, palette: bytes) -> bytes:
    """Sizes, the colours, and that it begins again (sections 17 to 19 and 26)."""
    height, width = frame.shape
    screen = struct.pack("<HHBBB", width, height, 0xF7, UNTOUCHED, 0)
    looping = b"!\xff\x0bNETSCAPE2.0\x03\x01\x00\x00\x00"
    return b"GIF89a" + screen + palette.ljust(3 * 256, b"\0") + looping


def _changed(before: np.ndarray, frame: np.ndarray) -> bytes | None:
    """The rectangle that differs; what is the same in it is left untouched."""
    differs = before != frame
    rows, columns = np.flatnonzero(differs.any(axis=1)), np.flatnonzero(differs.any(axis=0))
    if not len(rows):
        return None
    part = slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)
    return _image(np.where(differs[part], frame[part], UNTOUCHED), columns[0], rows[0])


def _image(colours: np.ndarray, left: int, top: int) -> bytes:
    """The image descriptor and the compressed colours (sections 20 and 22)."""
    height, width = colours.shape
    return struct.pack("<cHHHHB", b",", left, top, width, height, 0) + _compressed(colours)


def _compressed(colours: np.ndarray) -> bytes:
    """The colours as Pillow compresses them, with the size of their first code before."""
    from PIL import Image

    picture = Image.fromarray(np.ascontiguousarray(colours, dtype=np.uint8), "L")
    out = io.BytesIO()
    picture.save(out, "GIF", optimize=False, interlace=False)
    data = out.getvalue()
    at = 13 + (3 << (data[10] & 7) + 1 if data[10] & 0x80 else 0)
    while data[at : at + 1] == b"!":  # extensions: a label, then blocks with their lengths
        at += 2
        while data[at]:
            at += 1 + data[at]
        at += 1
    flags = data[at + 9]
    return data[at + 10 + (3 << (flags & 7) + 1 if flags & 0x80 else 0) : -1]


def _put(file: BinaryIO, blocks: bytes, stands: int) -> None:
    """A frame with how long it stands; the frame after it is laid over it (section 23)."""
    control = 0b101  # stays, and has a colour that leaves what is there
    while stands > _LONGEST:
        file.write(struct.pack("<2sBBHBB", b"!\xf9", 4, control, _LONGEST, UNTOUCHED, 0) + blocks)
        stands -= _LONGEST
    file.write(struct.pack("<2sBBHBB", b"!\xf9", 4, control, stands, UNTOUCHED, 0) + blocks)
