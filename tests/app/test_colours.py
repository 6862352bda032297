"""Colours of the window against WCAG 2.2, in the usual theme and in high contrast.

Relative luminance and contrast ratio are those that WCAG 2.2 defines (w3.org/TR/WCAG22, "relative
luminance", "contrast ratio"); its minimum is 4.5 : 1 for type (1.4.3), 7 : 1 where more is asked
(1.4.6), and 3 : 1 for what tells controls and their states (1.4.11).
"""

from __future__ import annotations

import itertools
import warnings
from typing import Any

import numpy as np
import pytest

from sim.app.view import theme
from sim.app.view.overlays import ZONES

TYPE = ("WARM", "QUIET", "FAINT", "AMBER", "OVER")
GROUNDS = ("NIGHT", "PANEL", "RAISED", "BANNER")


def luminance(colour: theme.Colour) -> float:
    """Of sRGB: each channel linear (0.04045 is the threshold of the 2.2 text), then weighted."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
              for c in (one / 255 for one in colour)]  # fmt: skip
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: theme.Colour, other: theme.Colour) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def of(name: str, high: bool) -> theme.Colour:
    return theme.shown(getattr(theme, name), high)


# WCAG 2.2, note to "contrast ratio": it ranges from 1 to 21. #777777 on white is 4.48 : 1 and
# #767676 4.54 : 1 (W3C, Understanding 1.4.3: 4.47 : 1 is not rounded up to 4.5).
def test_the_formula_has_the_values_of_the_standard() -> None:
    white = (255, 255, 255)
    assert ratio(white, (0, 0, 0)) == pytest.approx(21)
    assert ratio(white, white) == 1
    assert ratio(white, (0x77,) * 3) == pytest.approx(4.48, abs=0.005)
    assert ratio(white, (0x76,) * 3) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize(("high", "least"), [(False, 4.5), (True, 7.0)])
def test_type_on_every_ground(high: bool, least: float) -> None:
    found = {(ink, ground): ratio(of(ink, high), of(ground, high))
             for ink in TYPE for ground in GROUNDS}  # fmt: skip
    assert min(found.values()) >= least, min(found, key=found.__getitem__)


@pytest.mark.parametrize("high", [False, True])
def test_type_on_what_is_on_or_pointed_at(high: bool) -> None:
    assert ratio(of("NIGHT", high), of("AMBER", high)) >= 4.5
    for ink in ("WARM", "QUIET", "AMBER"):
        assert ratio(of(ink, high), of("LINE", high)) >= 4.5


# 1.4.11: the outline of what can be set, and what tells its state, on what lies beside it.
@pytest.mark.parametrize("high", [False, True])
def test_outlines_and_states_of_controls(high: bool) -> None:
    edge = of("EDGE", high)
    for ground in ("NIGHT", "PANEL", "RAISED"):
        assert ratio(edge, of(ground, high)) >= 3
        assert ratio(of("AMBER", high), of(ground, high)) >= 3  # on, and where the keys are
    assert ratio(of("NIGHT" if high else "WARM", high), edge) >= 3  # the knob of what is off
    assert ratio(of("NIGHT", high), of("AMBER", high)) >= 3  # and of one that is on
    # a slider has its knob besides; where it ends is told by the knob's place
    assert ratio(of("WARM", high), of("PANEL", high)) >= 3


def over(ink: theme.Colour, alpha: int, ground: theme.Colour) -> theme.Colour:
    share = alpha / 255
    r, g, b = (round(share * a + (1 - share) * c) for a, c in zip(ink, ground, strict=True))
    return r, g, b


# What floats over the house lies on a ground that lets some of it through: at worst pure white.
@pytest.mark.parametrize("high", [False, True])
@pytest.mark.parametrize("alpha", [232, 236, 244, 248, 252])
def test_type_on_a_card_over_the_brightest_picture(high: bool, alpha: int) -> None:
    ground = over(of("NIGHT", high), alpha, (255, 255, 255))
    for ink in TYPE:
        assert ratio(of(ink, high), ground) >= 4.5, ink


@pytest.mark.parametrize("high", [False, True])
def test_the_thumb_of_a_scroll_bar(high: bool) -> None:
    assert ratio(over(of("FAINT", high), 200, of("PANEL", high)), of("PANEL", high)) >= 3


def _colour() -> Any:
    """The library, without what it says of parts that are not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        _ = colour.blindness
    return colour


def seen_by(colours: np.ndarray, deficiency: str) -> np.ndarray:
    """sRGB codes as eyes without one kind of cone see them: the model of Machado, Oliveira and
    Fernandes (2009), IEEE TVCG 15(6), severity 1, as colour-science has its matrices."""
    colour = _colour()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that its model of tritanopia is approximate
        matrix = colour.blindness.matrix_cvd_Machado2009(deficiency, 1.0)
    linear = colour.cctf_decoding(colours / 255)
    return np.clip(linear @ np.asarray(matrix).T, 0, 1)


def differences(linear: np.ndarray) -> dict[tuple[int, int], float]:
    """CIEDE2000 of every pair."""
    colour = _colour()
    lab = colour.XYZ_to_Lab(colour.RGB_to_XYZ(linear, "sRGB"))
    return {(a, b): float(colour.delta_E(lab[a], lab[b]))
            for a, b in itertools.combinations(range(len(lab)), 2)}  # fmt: skip


# A difference of 10 is ten times what is just seen; from memory, no source for a least one.
@pytest.mark.parametrize("eyes", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_light_states_are_told_apart_without_a_cone(eyes: str) -> None:
    states = [theme.WARM, theme.AMBER, theme.OVER, theme.FAINT, theme.PANEL]
    found = differences(seen_by(np.array(states, float), eyes))
    # Near a limit and past it are 8.7 apart at the least; a word or a shape stands with them.
    assert found.pop((1, 2)) >= 8
    assert min(found.values()) >= 10, min(found, key=found.__getitem__)


# The names stand beside the lines of zones; the first four, as many as most houses name, are apart.
@pytest.mark.parametrize("eyes", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_zones_are_told_apart_without_a_cone(eyes: str) -> None:
    found = differences(seen_by(np.array(ZONES[:4], float), eyes))
    assert min(found.values()) >= 10, (min(found, key=found.__getitem__), min(found.values()))
