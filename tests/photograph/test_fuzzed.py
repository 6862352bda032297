"""Photographs changed at random: each is opened or refused in words, and nothing else."""

import io
import random
import warnings

import numpy as np
import pytest
from PIL import EpsImagePlugin, Image

from layouts import InputError
from layouts.photograph.file_head import UnfitPicture, picture_size, pictures_in
from sim.light.photo_file import open_photo

MUTANTS = 125  # of each format, 500 in all


def bytes_of(how: str) -> bytes:
    """A tiny picture with EXIF data, which readers trip over most."""
    noise = np.random.default_rng(1).integers(0, 255, (12, 16, 3), dtype=np.uint8)
    exif = Image.Exif()
    exif[274] = 6
    into = io.BytesIO()
    Image.fromarray(noise).save(into, how, exif=exif)
    return into.getvalue()


def mutant(data: bytes, chance: random.Random) -> bytes:
    """One to six bytes changed, most of them in the head; now and then a piece left out."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        end = min(len(made), 80) if chance.random() < 0.7 else len(made)
        made[chance.randrange(end)] = chance.randrange(256)
    if chance.random() < 0.2:
        at = chance.randrange(len(made))
        del made[at : at + chance.randint(1, 40)]
    return bytes(made)


@pytest.mark.parametrize("how", ["PNG", "JPEG", "WEBP", "TIFF"])
def test_opened_or_refused(tmp_path, how):
    sound = bytes_of(how)
    file = tmp_path / f"photo.{how.lower()}"
    chance = random.Random(2026)
    ended = []
    file.write_bytes(sound)
    assert open_photo(str(file)).size == picture_size(file) == (12, 16)  # turned by its EXIF data
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for _ in range(MUTANTS):
            file.write_bytes(mutant(sound, chance))
            try:
                picture_size(file)
                pictures_in(file)
                opened = open_photo(str(file))
            except (UnfitPicture, InputError) as refusal:
                ended.append(str(refusal))
            else:
                assert opened.mode == "RGBA"
    assert len(ended) > MUTANTS / 10
    assert all(len(refusal.splitlines()) == 1 for refusal in ended)


def test_no_other_program_is_asked(tmp_path, monkeypatch):
    """PostScript is drawn by a program of its own, whatever its file is called."""

    def asked(*_, **__):
        raise AssertionError("another program was asked")

    monkeypatch.setattr(EpsImagePlugin, "Ghostscript", asked)
    monkeypatch.setattr("subprocess.Popen", asked)
    file = tmp_path / "photo.png"
    file.write_bytes(
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n%%EndComments\nshowpage\n"
    )
    with pytest.raises(UnfitPicture):
        picture_size(file)
    with pytest.raises(InputError, match="none of PNG, JPEG, WebP and TIFF"):
        open_photo(str(file))
