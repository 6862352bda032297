"""The picture of palettes shows their very colours."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from PIL import Image

from effects import palettes
from sim.report.palette_sheet import BAND, COLUMN, GAP, ROW, palette_sheet_png


def test_every_colour_is_where_it_belongs():
    some = [palettes()[name] for name in ("pride-six", "parlour", "flag-germany")]
    page = np.array(Image.open(BytesIO(palette_sheet_png(some, columns=2, scale=1))))
    assert page.shape == (2 * ROW + 2 * GAP, 2 * COLUMN + 3 * GAP, 3)
    for number, palette in enumerate(some):
        x, y = GAP + number // 2 * (COLUMN + GAP), GAP + number % 2 * ROW + 26 + BAND // 2
        for band, code in enumerate(palette.codes):
            middle = x + round((band + 0.5) * COLUMN / len(palette.colours))
            assert page[y, middle].tolist() == code.tolist()
            # The ring below passes through the same colour at the middle of the band.
            assert np.abs(page[y + 23, middle].astype(int) - code).max() <= 6


def test_from_the_command_line(tmp_path):
    from typer.testing import CliRunner

    from sim.cli.main import app

    file = tmp_path / "palettes.png"
    assert CliRunner().invoke(app, ["list", "palettes", "--out", str(file)]).exit_code == 0
    with Image.open(file) as picture:
        assert picture.format == "PNG"
    refused = CliRunner().invoke(app, ["list", "wires", "--out", str(file)])
    assert refused.exit_code == 2
