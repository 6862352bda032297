"""Rendering figures against two libraries, and shifts of materials."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import layouts
from layouts import Material
from sim.colour import rendition as ren
from sim.colour import spectra

pytestmark = [pytest.mark.outside, pytest.mark.filterwarnings("ignore")]

#: Figures of luxpy 1.12.5 for the same spectra; remade by tests/reference/remake_luxpy.py.
LUXPY = json.loads(
    (Path(__file__).parents[1] / "reference" / "luxpy.json").read_text(encoding="utf-8")
)


@pytest.fixture
def rgb(with_dies):
    """Dies of 623, 523 and 466 nm dominant, 20, 33 and 25 nm wide, beside a warm white."""
    return with_dies(
        layouts.kinds()["sk6812-rgbw-warm"],
        r={"dominant_nm": 623.0, "fwhm_nm": 20.0},
        g={"dominant_nm": 523.0, "fwhm_nm": 33.0},
        b={"dominant_nm": 466.0, "fwhm_nm": 25.0},
        w={"cct_k": 2998.0},
    )


def _mixed_to(kind, cct_k: float, white_share: float = 0.0):
    """Spectrum of the dies at the black body's chromaticity, 1 lm, and r, g, b's parts of it."""
    wanted = spectra.xyz(spectra.planck(cct_k))
    light = ren.emission(kind)
    xyz = spectra.xyz(light)
    white = white_share / xyz[3, 1]
    rgb = np.linalg.solve(xyz[:3].T, wanted / wanted[1] - white * xyz[3])
    return rgb @ light[:3] + white * light[3], rgb * xyz[:3, 1]


# colour-science 0.4.7 and luxpy 1.12.5 agree on these; Ra is as uncertain as the tolerance.
@pytest.mark.parametrize(
    ("cct_k", "ra", "rf", "rg", "lm_per_w", "shares"),
    [
        (3000.0, 10.6, 45.0, 109.8, 292.0, (0.404, 0.579, 0.018)),
        (4000.0, 15.8, 48.1, 112.2, 285.0, (0.352, 0.616, 0.031)),
    ],
)
def test_white_of_three_dies(cct_k, ra, rf, rg, lm_per_w, shares, rgb):
    spectrum, parts = _mixed_to(rgb, cct_k)
    found = ren.rendition_of(spectrum)
    assert found.cct_k == pytest.approx(cct_k, abs=2.0)
    assert found.duv == pytest.approx(0.0, abs=1e-4)
    assert found.ra == pytest.approx(ra, abs=0.5)
    assert found.rf == pytest.approx(rf, abs=0.2)
    assert found.rg == pytest.approx(rg, abs=0.5)
    assert found.lm_per_w == pytest.approx(lm_per_w, abs=1.0)
    np.testing.assert_allclose(parts, shares, atol=1e-3)


def test_phosphor_white(rgb):
    # CIE 15:2018 LED-B2: 2998 K; Ra and Rf by colour-science 0.4.7 and luxpy 1.12.5.
    found = ren.rendition_of(spectra.white(2998.0))
    assert found.cct_k == pytest.approx(2998.0, abs=2.0)
    assert found.duv == pytest.approx(-0.0010, abs=2e-4)
    assert found.ra == pytest.approx(82.8, abs=0.5)
    assert found.rf == pytest.approx(84.3, abs=0.2)


def test_three_quarters_phosphor(rgb):
    spectrum, parts = _mixed_to(rgb, 3000.0, 0.75)
    found = ren.rendition_of(spectrum)
    # colour-science 0.4.7: 75 % of the luminance from LED-B2, the rest from the three dies.
    assert found.ra == pytest.approx(89.7, abs=0.5)
    assert found.rf == pytest.approx(91.1, abs=0.3)
    np.testing.assert_allclose(parts, [0.100, 0.146, 0.004], atol=1e-3)


@pytest.mark.parametrize("case", sorted(LUXPY["lights"]))
def test_another_library_gives_the_same_figures(case, rgb):
    theirs = LUXPY["lights"][case]
    spectrum = {
        "rgb-3000": lambda: _mixed_to(rgb, 3000.0)[0],
        "rgb-4000": lambda: _mixed_to(rgb, 4000.0)[0],
        "rgbw-3000": lambda: _mixed_to(rgb, 3000.0, 0.75)[0],
        "phosphor-2998": lambda: spectra.white(2998.0),
        "phosphor-4150": lambda: spectra.white(4150.0),
        "phosphor-6500": lambda: spectra.white(6500.0),
        "phosphor-2400": lambda: spectra.white(2400.0),
    }[case]()
    found = ren.rendition_of(spectrum)
    # luxpy 1.12.5; it rounds every special index as CIE 13.3 does, hence the 0.4 in Ra.
    assert found.cct_k == pytest.approx(theirs["cct_k"], rel=5e-4)
    assert found.duv == pytest.approx(theirs["duv"], abs=2e-5)
    assert found.ra == pytest.approx(theirs["ra"], abs=0.4)
    assert found.rf == pytest.approx(theirs["rf"], abs=0.05)
    assert found.rg == pytest.approx(theirs["rg"], abs=0.3)
    assert found.lm_per_w == pytest.approx(theirs["lm_per_w"], rel=1e-3)


def test_a_fluorescent_lamp_of_the_handbook():
    import colour

    shape = colour.SpectralShape(380, 780, 1)
    lamp = colour.SDS_ILLUMINANTS["FL4"].copy().align(shape).values
    # CIE 13.3-1995 / CIE 15: Ra of FL4 is 51 [from memory].
    assert ren.rendition_of(lamp).ra == pytest.approx(51.0, abs=1.0)


def test_the_reference_itself_is_perfect():
    # Definition: the reference illuminant scores 100.
    found = ren.rendition_of(spectra.planck(2856.0))
    assert found.ra == pytest.approx(100.0, abs=0.05)
    assert found.rf == pytest.approx(100.0, abs=0.05)
    assert found.rg == pytest.approx(100.0, abs=0.1)


def test_ra_of_three_dies_is_a_range(rgb):
    bins = {"r": (620.0, 625.0), "g": (520.0, 525.0), "b": (465.0, 470.0)}
    kind = replace(rgb, dominant_bins_nm=bins)
    duties = np.append(_mixed_to(rgb, 3000.0)[1] / ren.spectra.xyz(ren.emission(rgb))[:3, 1], 0.0)
    # Data-sheet bins R 620-625, G 520-525, B 465-470 nm at 3000 K by colour-science 0.4.7.
    assert ren.ra_range(kind, duties) == pytest.approx((0.4, 22.2), abs=0.3)


def test_without_bins_the_range_is_the_one_figure(rgb):
    kind = replace(rgb, dominant_bins_nm=None)
    duties = np.array([0.0, 0.0, 0.0, 1.0])
    low, high = ren.ra_range(kind, duties)
    assert low == high == pytest.approx(ren.rendition_of(ren.mixed_spectrum(kind, duties)).ra)


# colour-science 0.4.7: BabelColor patches, black body of 3000 K to the light, CAM02-UCS distance,
# adapting luminance 100 cd/m², dim surround; columns three dies, 75 % phosphor, LED-B2 alone.
PATCHES = {
    "moderate red": (11.0, 1.5, 2.7),
    "dark skin": (7.7, 0.6, 2.0),
    "blue sky": (10.5, 1.2, 2.5),
    "foliage": (4.4, 1.2, 0.3),
    "white 9.5 (.05 D)": (0.7, 0.3, 0.3),
}


def test_shifts_of_known_patches(rgb):
    import colour

    chart = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    materials = {
        name: Material(name, "render", tuple(chart[name].wavelengths), tuple(chart[name].values))
        for name in PATCHES
    }
    lights = [_mixed_to(rgb, 3000.0)[0], _mixed_to(rgb, 3000.0, 0.75)[0], spectra.white(2998.0)]
    found = [ren.material_shifts(light, materials) for light in lights]
    for name, wanted in PATCHES.items():
        np.testing.assert_allclose([one[name].delta_e for one in found], wanted, atol=0.1)
    assert found[0]["moderate red"].word == "redder"
    assert found[0]["blue sky"].word == "greener"


@pytest.mark.parametrize(
    ("step", "word"),
    [
        ((1, 0, 0), "lighter"),
        ((-3, 2, 1), "darker"),
        ((1, -2, 1), "greener"),
        ((0, 1, 2), "yellower"),
        ((0, 1, -2), "bluer"),
    ],
)
def test_the_largest_part_gives_the_word(step, word):
    assert ren.Shift(3.0, *step).word == word


def test_importing_the_package_does_not_import_the_library():
    import subprocess
    import sys

    probe = "import sys, sim.colour, sim.colour.rendition; sys.exit('colour' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", probe], check=False).returncode == 0
