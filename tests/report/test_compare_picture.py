"""The picture of a comparison, and the verb from end to end."""

from __future__ import annotations

import io
import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

import layouts
from effects import load_scheme
from sim.cli.main import app
from sim.light.tone import grey_code, scale_of, srgb_encode
from sim.report.compare import chosen, compare
from sim.report.compare_picture import comparison_png, shown

DEMO = Path(__file__).parents[2] / "demo" / "cottage"
HOUSE, SCHEME = DEMO / "house.yaml", DEMO / "evening.scheme.yaml"
NAMES = ("ws2812b-v5", "sk6812-rgbw-warm")
SIZE = (320, 200)


@pytest.fixture(scope="module")
def comparison():
    house = layouts.load_house(HOUSE)
    kinds = chosen(NAMES, layouts.kinds())
    return compare(house, load_scheme(SCHEME, house), kinds, seconds=0.1)


def test_both_houses_stand_in_the_picture_at_one_exposure(comparison):
    # in the evening: late at night the veil of the brighter kind shows in the dark sky
    houses, exposure_ev = shown(comparison, SIZE, 0.0, "evening")
    sheet = np.asarray(
        Image.open(io.BytesIO(comparison_png(comparison, size_px=SIZE, at_s=0.0, hour="evening")))
    )
    assert 0.0 < exposure_ev < 8.0
    # Where the two panes differ nowhere, in the dark sky, the exposure is the same.
    assert np.abs(houses[0][:10].astype(int) - houses[1][:10]).max() <= 2
    assert (houses[0] != houses[1]).any()
    for house in houses:
        found = [
            (y, x)
            for y in range(sheet.shape[0] - SIZE[1])
            for x in range(0, sheet.shape[1] - SIZE[0])
            if np.array_equal(sheet[y, x : x + 40], house[0, :40])
            and np.array_equal(sheet[y : y + SIZE[1], x : x + SIZE[0]], house)
        ]
        assert len(found) == 1


def test_the_picture_is_the_same_every_time(comparison):
    first, second = (comparison_png(comparison, size_px=SIZE, at_s=0.0) for _ in range(2))
    assert first == second


def test_more_light_looks_brighter(comparison):
    # The RGBW house gives more than twice the lumens (test_compare counts them by hand).
    houses, _ = shown(comparison, SIZE, 0.0)
    assert comparison.kinds[1].lumens > 2 * comparison.kinds[0].lumens
    assert houses[1].mean() > houses[0].mean()


def test_the_scale_shows_grey_as_the_picture_does():
    # 18 % grey is what an exposure puts at 2^EV · 0.125 cd/m²: sRGB code 118 (IEC 61966-2-1).
    assert grey_code(np.array([0.125 * 2.0**3.0]), 3.0)[0] == 118
    # Below the shoulder the display is proportional to luminance.
    dim = np.array([0.01, 0.1, 0.3])
    wanted = np.rint(255 * srgb_encode(dim * scale_of(3.0)))
    np.testing.assert_array_equal(grey_code(dim, 3.0), wanted)
    ramp = grey_code(np.geomspace(0.001, 1e4, 400), 3.0).astype(int)
    assert (np.diff(ramp) >= 0).all()
    assert ramp[-1] >= 254


def _run(*arguments: object):
    return CliRunner().invoke(app, [str(each) for each in arguments])


@pytest.mark.parametrize("before", [True, False])
def test_the_verb_writes_a_picture_and_pure_json(before, tmp_path):
    out = tmp_path / "pair.png"
    kinds, files = ("--kinds", *NAMES), (HOUSE, SCHEME)
    order = (*kinds, *files) if before else (*files, *kinds)
    done = _run("compare", *order, "--out", out, "--size", "320x200", "--json", "--at", "1s")
    assert done.exit_code == 0, done.stderr
    data = json.loads(done.stdout)
    assert [each["kind"] for each in data["kinds"]] == list(NAMES)
    assert all(each["price"] > 0 for each in data["kinds"])
    assert data["prices"]["currency"] == "USD"
    assert f"wrote {out}" in done.stderr
    with Image.open(out) as sheet:
        assert sheet.width > 640


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--kinds", "ws2813"), "compare needs two kinds or more; write --kinds A B, with spaces"),
        (("--kinds", "ws2813", "ws28155"), "unknown kind 'ws28155'; did you mean 'ws2815'?"),
        ((), "missing option '--kinds'"),
        (("--kinds",), "--kinds names no kind; write one or more behind it"),
        (("--kinds", *NAMES, "--hour", "eve"), "unknown hour 'eve'; did you mean"),
        (("--kinds", *NAMES, "--size", "big"), "'big' is no size; write 1280x720"),
        (("--kinds", *NAMES, "--out", "a.jpg"), "a.jpg: cannot write '.jpg'; end the name in .png"),
    ],
)
def test_a_wrong_call_is_refused_in_one_line(arguments, said):
    done = _run("compare", HOUSE, SCHEME, *arguments)
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
