"""Colours as people write them: "#rrggbb", "oklch(L C h)", "3000 K"."""

from __future__ import annotations

import re

import numpy as np

from effects.colour_spaces import XYZ_TO_RGB, decoded, encoded, from_oklab, oklch_to_oklab

COOLEST_K, WARMEST_K = 20_000, 1_000

_HEX = re.compile(r"#([0-9a-fA-F]{6})")
_N = r"([-+]?(?:\d+\.?\d*|\.\d+))"
_OKLCH = re.compile(rf"oklch\(\s*{_N}(%?)\s+{_N}\s+{_N}\s*\)", re.IGNORECASE)
_KELVIN = re.compile(r"(\d+(?:\.\d*)?)\s*K")


def linear_rgb(text: str) -> np.ndarray:
    """Linear sRGB (3,), D65, of a colour as written; white is 1, 1, 1.

    `"3000 K"` is the blackbody's chromaticity at luminance 1, so red lies above 1.
    Raises ValueError, in words for the user, for anything that is no colour.
    """
    if match := _HEX.fullmatch(text.strip()):
        return decoded(np.frombuffer(bytes.fromhex(match[1]), np.uint8) / 255)
    if match := _OKLCH.fullmatch(text.strip()):
        lightness = float(match[1]) / (100 if match[2] else 1)
        chroma, hue_deg = float(match[3]), float(match[4])
        if not (0 <= lightness <= 1 and 0 <= chroma <= 0.5 and abs(hue_deg) <= 360):
            raise ValueError(
                f"'{text}' is outside what is a colour; lightness 0..1, chroma 0..0.5, hue 0..360"
            )
        return from_oklab(oklch_to_oklab(lightness, chroma, hue_deg))
    if match := _KELVIN.fullmatch(text.strip()):
        return _white(float(match[1]))
    raise ValueError(f'\'{text}\' is not a colour; write "#rrggbb", "oklch(L C h)" or "3000 K"')


def codes(text: str) -> np.ndarray:
    """The three codes / 255 (3,) that a plain controller is sent for a colour as written.

    A hex colour is its codes. Others are encoded as sRGB, a white brought to a largest code of 1.
    """
    if match := _HEX.fullmatch(text.strip()):
        return np.frombuffer(bytes.fromhex(match[1]), np.uint8) / 255
    rgb = linear_rgb(text)
    return encoded(np.clip(rgb / max(1.0, rgb.max()), 0, 1))


def _white(cct_k: float) -> np.ndarray:
    """Linear sRGB (3,) of a blackbody at `cct_k` [K], luminance 1."""
    if not WARMEST_K <= cct_k <= COOLEST_K:
        raise ValueError(f"{cct_k:g} K is outside {WARMEST_K} K..{COOLEST_K} K")
    x, y = planckian_xy(cct_k)
    return XYZ_TO_RGB @ np.array([x / y, 1.0, (1 - x - y) / y])


def planckian_xy(cct_k: float) -> tuple[float, float]:
    """CIE 1931 x, y of a blackbody at `cct_k` [K].

    M. Krystek, "An algorithm to calculate correlated colour temperature", Color Research &
    Application 10 (1985) 38-40: u, v of CIE 1960 as quotients of quadratics, made for 1000 K
    to 15,000 K; used to 20,000 K, where it still holds to 0.0005 in u and v.
    """
    t = cct_k
    u = (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t**2) / (
        1 + 8.42420235e-4 * t + 7.08145163e-7 * t**2
    )
    v = (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t**2) / (
        1 - 2.89741816e-5 * t + 1.61456053e-7 * t**2
    )
    # CIE 1960 UCS to CIE 1931.
    return 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)
