"""The palettes that come with Evenfall."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import effects.palette
from effects import palettes
from effects.colour_spaces import decoded
from effects.palette import FILES, STEPS, ring

every_palette = pytest.mark.parametrize("palette", palettes().values(), ids=lambda p: p.name)


def test_every_file_is_read():
    folder = Path(effects.palette.__file__).parent / "palettes"
    assert {path.stem for path in folder.iterdir()} == set(FILES)


OCCASIONS = (
    "christmas, hanukkah, diwali, lunar new year, eid, kwanzaa, halloween, thanksgiving, harvest, "
    "valentine, saint patrick, easter, holi, pride, independence day, remembrance, birthday, "
    "winter, every evening"
)


def test_at_least_thirty_for_many_occasions():
    occasions = " ".join(palette.occasion for palette in palettes().values()).casefold()
    assert len(palettes()) >= 30
    missing = [occasion for occasion in OCCASIONS.split(", ") if occasion not in occasions]
    assert not missing


@every_palette
def test_row(palette):
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", palette.name)
    assert palette.occasion
    assert palette.source
    assert palette.rgb.shape == (len(palette.colours), 3)
    # What is no white stays about the sRGB gamut, so that any display and any LED can show it.
    coloured = [not text.endswith("K") for text in palette.colours]
    assert palette.rgb[coloured].min(initial=0) > -0.1
    assert palette.rgb[coloured].max(initial=0) < 1.1


@every_palette
def test_a_flag_names_its_specification(palette):
    if palette.name.startswith("flag-"):
        assert "(from memory)" in palette.source
        assert re.search(r"\d{3}|Pantone|Munsell|Standard Color", palette.source)
        assert all(re.fullmatch("#[0-9a-f]{6}", text) for text in palette.colours)
    elif palette.source != "our own":
        assert palette.source.endswith(("(from memory)", "(common practice, no source)"))


def test_ring_goes_through_every_colour_and_closes():
    texts = ("#ff0000", "#00ff00", "#0000ff")
    table = ring(texts, "matched")
    assert table.shape == (3 * STEPS, 4)
    assert table[::STEPS, :3] == pytest.approx(np.eye(3))
    assert np.abs(np.diff(table[:, :3], axis=0, append=table[:1, :3])).max() < 0.02
    with pytest.raises(ValueError, match="read-only"):
        table[0] = 1


def test_ring_of_codes_stays_within_codes():
    table = ring(("#ff0000", "oklch(0.75 0.15 210)", "2000 K"), "raw")
    assert table.min() >= 0
    assert table.max() <= 1
    assert table[0, :3] == pytest.approx([1, 0, 0])


def test_codes_for_a_display_keep_the_hue_of_what_is_too_bright():
    white = palettes()["parlour"]  # 3000 K
    assert white.codes.dtype == np.uint8
    assert white.codes.max() == 255
    linear = decoded(white.codes[0] / 255)
    assert linear / linear.sum() == pytest.approx(white.rgb[0] / white.rgb[0].sum(), abs=5e-3)
    assert palettes()["pride-six"].codes[0].tolist() == [0xE4, 0x03, 0x03]
