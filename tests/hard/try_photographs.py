"""Photographs changed at random: each is opened or refused in words, and nothing else."""

from __future__ import annotations

import io
import warnings

import numpy as np
from mutants import scratched
from PIL import Image
from trial import Asked, Hung, Memory, Seen, cpu_s, timed

from layouts import InputError
from layouts.photograph.file_head import MOST_MPX, UnfitPicture, picture_size, pictures_in
from sim.light.photo_file import open_photo

HOW = ("PNG", "JPEG", "WEBP", "TIFF")
#: A changed picture may say that it has as many pixels as are permitted: four octets each as it is
#: stored, and four in the picture that is made of it, which is whole here [MB].
MOST_MB = 8.5 * MOST_MPX["JPEG"]


def bytes_of(how: str, several: bool = False) -> bytes:
    """A tiny picture with EXIF data, which readers trip over most; or two in one file."""
    noise = np.random.default_rng(1).integers(0, 255, (12, 16, 3), dtype=np.uint8)
    exif = Image.Exif()
    exif[274] = 6
    into = io.BytesIO()
    picture = Image.fromarray(noise)
    more = {"save_all": True, "append_images": [picture.rotate(180)]} if several else {}
    picture.save(into, how, exif=exif, **more)
    return into.getvalue()


def photographs(asked: Asked, seen: Seen) -> None:
    """`asked.count` changed pictures, of every format in turn."""
    sound = [bytes_of(how) for how in HOW] + [bytes_of(how, True) for how in ("WEBP", "TIFF")]
    names = [*HOW, "WEBP", "TIFF"]
    file = asked.folder / "photo.png"
    for data in sound:
        file.write_bytes(data)
        if picture_size(file) != (12, 16) or open_photo(str(file)).size != (12, 16):
            seen.wrong.append("a sound picture is not as it is seen")
    memory = Memory()
    for number in range(asked.count):
        chance = asked.chance("photographs", number)
        data = scratched(sound[number % len(sound)], chance)
        file.write_bytes(data)
        what = f"{names[number % len(names)]} {number}"
        before = len(seen.wrong)
        _one(file, what, seen)
        seen.most_mb = max(seen.most_mb, more := memory.more_mb())
        if more > MOST_MB:
            seen.wrong.append(f"{what}: {more:.0f} MB")
        if len(seen.wrong) > before and asked.keep is not None:
            asked.keep.joinpath(f"{what.replace(' ', '-')}.photo").write_bytes(data)
    if seen.ended["refused"] < asked.count / 10:
        seen.wrong.append("hardly any was refused: nothing was shown")


def _one(file: object, what: str, seen: Seen) -> None:
    seen.cases += 1
    began, wrong = cpu_s(), ""
    try:
        with timed(), warnings.catch_warnings():
            warnings.simplefilter("error")
            picture_size(file)  # type: ignore[arg-type]
            pictures_in(file)  # type: ignore[arg-type]
            if open_photo(str(file)).mode != "RGBA":
                wrong = "another mode"
        seen.ended["opened"] += 1
    except (UnfitPicture, InputError) as refusal:
        seen.ended["refused"] += 1
        if len(str(refusal).splitlines()) != 1 or not str(refusal).isprintable():
            wrong = f"a refusal in lines: {refusal}"
    except Hung as hung:
        wrong = f"it went on {hung}"
    except Exception as error:
        wrong = f"{type(error).__name__}: {error}"
    seen.took(cpu_s() - began, what)
    if wrong:
        seen.wrong.append(f"{what}: {wrong}")
