"""Absolute light of channels, emitted and reflected."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from effects.colour_spaces import XYZ_TO_RGB
from layouts import EvenfallError, Material
from sim.colour import emission_xyz_lm, emitted_rgb, reflected_rgb, spectra

REC709_Y = np.array([0.2126, 0.7152, 0.0722])  # IEC 61966-2-1


def test_ws2812b_lumens_from_its_candela():
    # WS2812B data sheet: 405/690/190 mcd in the middle of the bins, 120° (Lambertian): Φ = π·I0.
    lumens = emission_xyz_lm(layouts.kinds()["ws2812b"])[:, 1]
    np.testing.assert_allclose(lumens, [1.272, 2.168, 0.597, 0.0], atol=0.003)
    assert lumens.sum() == pytest.approx(4.04, abs=0.01)


def test_equal_codes_on_ws2812b_are_a_violet_blue():
    # WS2812B data sheet intensities, Gaussian dies: computed with colour-science 0.4.7.
    xyz = emission_xyz_lm(layouts.kinds()["ws2812b"])[:3].sum(axis=0)
    np.testing.assert_allclose(xyz[:2] / xyz.sum(), [0.253, 0.202], atol=0.005)


@pytest.mark.parametrize("name", list(layouts.kinds()))
def test_the_luminance_of_emitted_rgb_is_the_flux(name):
    kind = layouts.kinds()[name]
    wanted = np.zeros(len(emitted_rgb(kind)))
    for channel in kind.channels:
        wanted[layouts.CHANNELS.index(channel.name)] = channel.flux_lm
    np.testing.assert_allclose(emitted_rgb(kind) @ REC709_Y, wanted, atol=1e-9)


def test_d65_white_is_equal_red_green_and_blue():
    # IEC 61966-2-1: white D65, x = 0.3127, y = 0.3290.
    xyz = np.array([0.3127, 0.3290, 1 - 0.3127 - 0.3290]) / 0.3290
    np.testing.assert_allclose(XYZ_TO_RGB @ xyz, 1.0, atol=1e-3)


def test_a_perfect_reflector_reflects_what_is_emitted():
    kind = layouts.kinds()["sk6812-rgbw-warm"]
    white = Material("white", "render", (380.0, 780.0), (1.0, 1.0))
    black = Material("black", "render", (380.0, 780.0), (0.0, 0.0))
    np.testing.assert_allclose(reflected_rgb(kind, white), emitted_rgb(kind))
    np.testing.assert_allclose(reflected_rgb(kind, black), 0.0)


def test_a_filter_reflects_only_its_own_channel():
    # A filter that passes nothing below 600 nm: the blue die's light ends there, the red's begins.
    kind = layouts.kinds()["sk6812-rgbw-warm"]
    steep = Material("filter", "render", (380.0, 599.0, 600.0, 780.0), (0.0, 0.0, 1.0, 1.0))
    lumens = reflected_rgb(kind, steep) @ REC709_Y
    flux = emission_xyz_lm(kind)[:, 1]
    assert lumens[0] / flux[0] > 0.98
    assert lumens[2] / flux[2] < 1e-6


def test_brick_is_redder_under_the_red_die():
    # Reflectance at 622 nm over that at 523 nm, read off the material's own samples.
    kind, brick = layouts.kinds()["sk6812"], layouts.materials()["brick-red"]
    at = np.interp([623.0, 523.0], brick.wavelength_nm, brick.reflectance)
    lumens = reflected_rgb(kind, brick) @ REC709_Y / emission_xyz_lm(kind)[:, 1].clip(1e-9)
    np.testing.assert_allclose(lumens[:2], at, rtol=0.25)


def test_the_white_die_has_the_cct_of_its_data_sheet():
    for name, cct_k in [("warm", 2950.0), ("neutral", 4150.0), ("cool", 6500.0)]:
        kind = layouts.kinds()[f"sk6812-rgbw-{name}"]
        assert kind.channel("w").cct_k == pytest.approx(cct_k, abs=250.0)
        found = emission_xyz_lm(kind)[3]
        np.testing.assert_allclose(found, 6.0 * spectra.xyz(spectra.white(kind.channel("w").cct_k)))


@pytest.mark.parametrize(
    ("green", "said"),
    [
        ({"dominant_nm": None}, "kind odd: channel g: no spectrum; give `nm` and `fwhm_nm`, or"),
        ({"dominant_nm": 390.0}, "kind odd: channel g: no spectrum of 33 nm width has the domin"),
        ({"dominant_nm": None, "cct_k": 800.0}, "kind odd: channel g: a white of 800 K is outsi"),
    ],
)
def test_a_channel_without_a_possible_spectrum_is_refused(green, said, with_dies):
    odd = with_dies(layouts.kinds()["sk6812"], name="odd", g=green)
    with pytest.raises(EvenfallError) as refusal:
        emission_xyz_lm(odd)
    assert str(refusal.value).startswith(said)
