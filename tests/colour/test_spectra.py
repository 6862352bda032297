"""Spectra of dies and of phosphor white, and the plain formulas around them."""

from __future__ import annotations

import numpy as np
import pytest

from layouts import EvenfallError
from sim.colour import planck, spectra

WAVE = spectra.WAVELENGTH_NM

# CIE 15:2018, chromaticities of the LED illuminants, as listed by colour-science 0.4.7.
LED_XY = {
    "LED-B1": (0.4560, 0.4078),
    "LED-B2": (0.4357, 0.4012),
    "LED-B3": (0.3756, 0.3723),
    "LED-B4": (0.3422, 0.3502),
    "LED-B5": (0.3118, 0.3236),
}
# CIE 15:2018, CCT of the same illuminants [K], as published by two secondary sources.
LED_CCT_K = (2733, 2998, 4103, 5109, 6598)


def test_the_phosphor_illuminants_have_their_published_chromaticity():
    found = spectra.xy(spectra._phosphors())
    np.testing.assert_allclose(found, list(LED_XY.values()), atol=3e-4)


@pytest.mark.parametrize(("index", "cct_k"), list(enumerate(LED_CCT_K)))
def test_white_at_an_illuminants_cct_is_that_illuminant(index, cct_k):
    wanted = spectra._phosphors()[index]
    wanted = wanted / spectra.xyz(wanted)[1]
    found = spectra.white(float(cct_k))
    assert np.abs(found - wanted).max() < 0.01 * wanted.max()


@pytest.mark.parametrize("cct_k", [1000, 1800, 2400, 2700, 3000, 3500, 4000, 6500, 8000, 20000])
def test_white_has_the_cct_asked(cct_k):
    # Ohno (2013) and the definition differ by up to 0.4 % far from the locus' warm part.
    assert planck.cct_duv(spectra.xyz(spectra.white(cct_k)))[0] == pytest.approx(cct_k, rel=4e-3)
    assert spectra.white(cct_k).min() >= 0.0
    # One lumen, by construction.
    assert spectra.xyz(spectra.white(cct_k))[1] == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("cct_k", [999.0, 20001.0])
def test_white_outside_its_range_is_refused(cct_k):
    with pytest.raises(EvenfallError, match="outside 1000-20000 K"):
        spectra.white(cct_k)


# Peaks that give these dominant wavelengths re equal-energy white: colour-science 0.4.7,
# dominant_wavelength of sd_gaussian, found by bisection there.
@pytest.mark.parametrize(
    ("dominant_nm", "fwhm_nm", "peak_nm"),
    [(623.0, 20.0, 626.59), (523.0, 33.0, 522.34), (466.0, 25.0, 464.65)],
)
def test_the_peak_is_found_for_the_dominant_wavelength(dominant_nm, fwhm_nm, peak_nm):
    spectrum = spectra.coloured(dominant_nm, fwhm_nm)
    logs = np.log(spectrum[np.argmax(spectrum) + np.arange(-1, 2)])
    fitted = WAVE[np.argmax(spectrum)] + (logs[0] - logs[2]) / (
        2 * (logs[0] - 2 * logs[1] + logs[2])
    )
    assert fitted == pytest.approx(peak_nm, abs=0.01)


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(
    ("dominant_nm", "fwhm_nm"), [(625.0, 20.0), (528.0, 33.0), (470.0, 25.0), (590.0, 15.0)]
)
def test_dominant_wavelength_by_the_library(dominant_nm, fwhm_nm):
    import colour

    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    xy = spectra.xy(spectra.coloured(dominant_nm, fwhm_nm))
    # colour-science 0.4.7; it answers in whole nanometres
    found = colour.dominant_wavelength(xy, [1 / 3, 1 / 3], observer)[0]
    assert float(found) == pytest.approx(dominant_nm, abs=0.05)


def test_half_the_power_lies_at_half_the_width():
    spectrum = spectra.coloured(520.0, 40.0)
    above = WAVE[spectrum >= 0.5]
    assert above[-1] - above[0] == pytest.approx(40.0, abs=1.0)


@pytest.mark.parametrize(("dominant_nm", "fwhm_nm"), [(300.0, 20.0), (523.0, 400.0), (900.0, 5.0)])
def test_an_impossible_die_is_refused(dominant_nm, fwhm_nm):
    with pytest.raises(EvenfallError, match="dominant wavelength"):
        spectra.coloured(dominant_nm, fwhm_nm)


def test_a_line_at_555_nm_gives_683_lumens_a_watt():
    # SI: luminous efficacy of monochromatic radiation of 540 THz is 683 lm/W.
    line = np.where(WAVE == 555.0, 1.0, 0.0)
    assert spectra.xyz(line)[1] == pytest.approx(683.0, abs=0.1)


@pytest.mark.parametrize("cct_k", [1500.0, 2700.0, 4000.0, 6500.0, 20000.0])
def test_a_black_body_lies_on_the_locus(cct_k):
    found_k, duv = planck.cct_duv(spectra.xyz(spectra.planck(cct_k)))
    assert found_k == pytest.approx(cct_k, rel=1e-4)
    assert abs(duv) < 1e-6


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore")
def test_cct_and_duv_off_the_locus_by_the_library():
    import colour

    cct_k, side = np.meshgrid(np.geomspace(1800, 12000, 12), [-0.015, -0.005, 0.005, 0.015])
    # colour-science 0.4.7: Ohno (2013), there and back.
    uv = colour.CCT_to_uv(np.stack([cct_k, side], -1), method="Ohno 2013")
    xy = colour.UCS_uv_to_xy(uv)
    found_k, duv = planck.cct_duv(colour.xy_to_XYZ(xy))
    np.testing.assert_allclose(found_k, cct_k, rtol=4e-3)
    np.testing.assert_allclose(duv, side, atol=5e-5)
