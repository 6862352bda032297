"""A file that is called a picture and is another thing; changed ones are in `tests/hard`."""

import pytest
from PIL import EpsImagePlugin

from layouts import InputError
from layouts.photograph.file_head import UnfitPicture, picture_size
from sim.light.photo_file import open_photo


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
