"""The sky against what is known of twilight, and the light on walls against the sky."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import trapezoid

from effects.colour_spaces import LUMINANCE
from sim.light import HOURS
from sim.light.ambient import ambient_cd_m2
from sim.light.canvas import paint
from sim.light.sky import clear_cd_m2, sky_cd_m2, sky_lx
from sim.light.view import view_of


def twilight_lx(sun_deg):
    """Clear sky on level ground, sun from −12° to −5° [lx].

    Seidelmann 1992, Explanatory Supplement to the Astronomical Almanac [from memory].
    """
    x = sun_deg / 90
    return 10 ** (2.88 + 21.81 * x - 258.11 * x**2 - 858.36 * x**3)


def test_twilight_as_remembered():
    # end of civil twilight, clear sky, sun at −6°: 3.4 lx [handbook: tables of illuminance]
    assert twilight_lx(-6) == pytest.approx(3.4, rel=0.02)


@pytest.mark.parametrize("hour", ["dusk", "evening"])
def test_sky_is_as_bright_as_the_sun_is_low(hour):
    want = twilight_lx(HOURS[hour].sun_deg)
    got = float(sky_lx(HOURS[hour], wall=False) @ LUMINANCE)
    assert want / 1.25 < got < want * 1.25


def test_late_sky_is_darker_than_a_full_moon():
    # full moon 0.25 to 0.27 lx [handbook: tables of illuminance]
    assert 0.002 < float(sky_lx(HOURS["late"], wall=False) @ LUMINANCE) < 0.25


def test_an_even_sky_gives_half_to_a_wall(monkeypatch):
    monkeypatch.setattr("sim.light.sky.clear_cd_m2", lambda _, up, across: np.ones((*up.shape, 3)))
    # a sky of 1 cd/m² everywhere: π lx on level ground, half of that on an upright wall
    assert sky_lx(HOURS["dusk"], wall=False) == pytest.approx(np.pi, rel=1e-3)
    assert sky_lx(HOURS["dusk"]) == pytest.approx(np.pi / 2, rel=1e-3)


@pytest.mark.parametrize("name", sorted(HOURS))
def test_wall_is_lit_by_the_sky_that_is_drawn(house_of, wall, name):
    hour = replace(HOURS[name], street_lx=0.0, moon_lx=0.0)
    drawing = house_of([(5, 3)], surfaces=(wall((0, 0, 10, 6)),)).drawing
    view = view_of(drawing, (320, 180))
    seen, canvas = sky_cd_m2(view, hour), paint(drawing, view, hour)
    night = ambient_cd_m2(canvas, view, hour, seen, np.full((1, 3), 0.5))
    on = (canvas.sheet[0] == 0) & (canvas.share[0] == 1)
    got = float((night[on] @ LUMINANCE).mean() * np.pi / 0.5)
    # the sky of the picture, row by row, and the clear sky above the picture's upper edge
    up = np.degrees(
        np.arctan2(
            view.to_m(np.column_stack([np.zeros(180), np.arange(180) + 0.5]))[:, 1] - 1.6, 10.0
        )
    )
    above = up > 0
    high = np.arange(up.max(), 90, 0.5)
    more = clear_cd_m2(hour, high, np.full(len(high), 180.0))
    rise = np.radians(np.r_[up[above][::-1], high])
    rows = np.r_[(seen @ LUMINANCE).mean(axis=1)[above][::-1], more @ LUMINANCE]
    # alike to all sides: E = ∫ L cos φ cos² h dφ dh = 2 ∫ L cos² h dh
    drawn = 2 * trapezoid(rows * np.cos(rise) ** 2, rise)
    assert drawn / 2 < got < drawn * 2
