"""What a huge photograph takes while it is read: measured in processes of their own, by the system.

The files are small, since all of a huge picture is of one colour; read they are as large as any.
"""

from __future__ import annotations

import json
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from layouts import InputError
from layouts.photograph.file_head import MOST_MPX, UnfitPicture, picture_size
from sim.light import photo_file
from sim.light.photo_file import open_photo

#: Reads each file as finely as a picture of 1280 px needs it, the smallest first, and says what the
#: process held at most then [MB]. `VmHWM` is of this one alone, where the system has it.
READ = """
import json, pathlib, resource, sys
import numpy, PIL.ImageCms
from sim.light.photo_file import open_photo
def peak():
    status = pathlib.Path("/proc/self/status")
    if status.exists():
        return int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
    octets = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * octets / 2**20
before = peak()
for file in sys.argv[1:]:
    size = open_photo(file, at_least_px=1280).size
    print(json.dumps({"more_mb": peak() - before, "size": size}))
"""


def png_of(wide: int, tall: int) -> bytes:
    """A black PNG of 8 bits a colour, made row by row after ISO 15948."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        whole = kind + data
        return len(data).to_bytes(4, "big") + whole + zlib.crc32(whole).to_bytes(4, "big")

    head = wide.to_bytes(4, "big") + tall.to_bytes(4, "big") + bytes([8, 2, 0, 0, 0])
    packer, row = zlib.compressobj(1), bytes(1 + 3 * wide)
    data = b"".join(packer.compress(row) for _ in range(tall)) + packer.flush()
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def test_a_huge_photograph_is_read_in_less_than_300_mb(tmp_path: Path) -> None:
    pytest.importorskip("resource", reason="what a process holds is told by POSIX")
    Image.new("L", (9400, 9400)).save(tmp_path / "huge.jpg", quality=30)
    (tmp_path / "large.png").write_bytes(png_of(6000, 8300))
    files = [str(tmp_path / name) for name in ("huge.jpg", "large.png")]
    done = subprocess.run(
        [sys.executable, "-c", READ, *files], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    jpeg, png = map(json.loads, done.stdout.splitlines())
    assert jpeg["size"] == [2350, 2350]  # decoded by quarters: of 88 million pixels 5.5
    assert jpeg["more_mb"] < 60
    assert png["size"] == [1500, 2075]
    assert png["more_mb"] < 300  # 50 million pixels of four octets, and a strip


@pytest.mark.parametrize(
    ("how", "more", "named"),
    [
        ("PNG", {}, "PNG"),
        ("TIFF", {}, "TIFF"),
        ("WEBP", {}, "WebP"),
        ("JPEG", {}, "JPEG"),
        ("JPEG", {"progressive": True}, "progressive JPEG"),
    ],
)
def test_each_format_has_a_most(tmp_path: Path, monkeypatch, how: str, more, named: str) -> None:
    key = "JPEG in several passes" if more else how
    file = tmp_path / "photo"
    Image.new("RGB", (100, 100)).save(file, how, **more)
    monkeypatch.setitem(MOST_MPX, key, 0.01)
    assert picture_size(file) == (100, 100) == open_photo(str(file)).size
    monkeypatch.setitem(MOST_MPX, key, 0.0099)
    told = rf"has more than 0\.0099 million pixels, the most of a {named}; save it smaller"
    with pytest.raises(UnfitPicture, match=told):
        picture_size(file)
    with pytest.raises(InputError, match=rf"photo:1:1: this picture {told}"):
        open_photo(str(file))


@pytest.mark.parametrize("at_least_px", [None, 31, 70])
@pytest.mark.parametrize("mode", ["RGB", "RGBA", "P", "CMYK", "I;16"])
def test_strips_change_nothing(tmp_path: Path, monkeypatch, mode: str, at_least_px) -> None:
    """Pillow itself on the whole picture: to sRGB, then `reduce`."""
    noise = np.random.default_rng(4).integers(0, 255, (155, 203, 4), dtype=np.uint8)
    picture = Image.fromarray(noise)
    picture = picture.convert("RGB").convert("P") if mode == "P" else picture.convert(mode)
    if mode == "I;16":
        picture = Image.fromarray(noise[..., 0].astype(np.uint16) * 257)
    picture.save(tmp_path / "photo.tif")
    whole = Image.fromarray(noise[..., 0]) if mode == "I;16" else picture
    whole = whole.convert("RGBA")
    parts = 155 // at_least_px if at_least_px else 1
    monkeypatch.setattr(photo_file, "STRIP_PX", 203 * 7)
    read = open_photo(str(tmp_path / "photo.tif"), at_least_px=at_least_px)
    np.testing.assert_array_equal(np.asarray(read), np.asarray(whole.reduce(parts)))
