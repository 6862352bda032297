"""Which way and how fast every travelling effect goes, measured by phase on sparse and dense strip.

A pattern of wavelength λ that moves with the speed v changes the phase of its spatial Fourier
component by −2πv/λ a second; over whole wavelengths that component is measured exactly. Single
heads and fronts are followed by where they are. Expected speeds are the settings.
"""

from __future__ import annotations

import numpy as np
import pytest

from effects import effects
from effects.place import DIRECTIONS, place

LENGTH_M = 10.0
DENSITIES = (30, 144)  # pixels a metre
#: Of the left and the right half of the path, the sign of travel along the house's own x.
SIGNS = {"forward": (1, 1), "backward": (-1, -1), "inward": (1, -1), "outward": (-1, 1)}

both_densities = pytest.mark.parametrize("per_metre", DENSITIES)
every_direction = pytest.mark.parametrize("direction", DIRECTIONS)


@pytest.fixture
def line(build):
    """line(per_metre): a level run of 10 m from x = 2 m on, 3 m above the ground."""

    def make(per_metre: int):
        return build(
            f"runs: [{{name: eave, pixels: ws2813, path: [[2, 3], [12, 3]], aim: down,"
            f" count: {round(LENGTH_M * per_metre)}, standoff: 0.1, profile: bare}}]\n"
        )

    return make


@pytest.fixture
def post(build):
    """post(per_metre): an upright run of 5 m from the top, y = 6 m, down."""

    def make(per_metre: int):
        return build(
            f"runs: [{{name: post, pixels: ws2813, path: [[2, 6], [2, 1]], aim: wall,"
            f" count: {5 * per_metre}, standoff: 0.1, profile: bare}}]\n"
        )

    return make


def field(house, name, times_s, direction="forward", colours=3, seed=0, **settings):
    """Position and level (T, M), and where each pixel is along its run (M,) [m]."""
    _, where = place(house, ("all",), direction)
    effect = effects()[name]
    times = np.asarray(times_s, float)[:, None]
    position, level = effect.field(times, where, effect.settle(settings), colours, seed)
    shape = (len(times), len(where.along_m))
    position, level = (np.broadcast_to(each, shape) for each in (position, level))
    return position.astype(float), level.astype(float), house.pixels.along_m


def speed(signal, x_m, wavelength_m, times_s):
    """[m/s] along x of a pattern (T, M) of that wavelength, by the phase of its fundamental."""
    wave = signal @ np.exp(-2j * np.pi * x_m / wavelength_m)
    assert np.abs(wave).min() > 0.01 * np.abs(signal).sum(axis=1).mean()  # there is a wave at all
    phase = np.unwrap(np.angle(wave))
    return -np.polyfit(times_s, phase, 1)[0] * wavelength_m / (2 * np.pi)


def halves(x_m):
    return x_m < LENGTH_M / 2, x_m > LENGTH_M / 2


TIMES_S = np.arange(0, 2, 0.05)


@both_densities
@every_direction
@pytest.mark.parametrize("asked", [0.4, -0.7])
def test_chase(line, per_metre, direction, asked):
    settings = {"band": 0.4, "gap": 0.6, "soft": 0.2, "speed": asked}  # λ = 1 m
    _, level, x_m = field(line(per_metre), "chase", TIMES_S, direction, **settings)
    for half, sign in zip(halves(x_m), SIGNS[direction], strict=True):
        found = speed(level[:, half], x_m[half], 1.0, TIMES_S)
        assert found == pytest.approx(sign * asked, rel=0.01)


@both_densities
@pytest.mark.parametrize("soft", [0.0, 0.5])
def test_chase_lights_its_share_from_its_start_on(line, per_metre, soft):
    """Over a band the light is that of the band: an edge is as far inside as outside."""
    settings = {"band": 0.4, "gap": 0.6, "soft": soft, "speed": 0.25}
    times_s = np.arange(0, 4, 0.01)  # one metre: every place of the band on the pixels
    _, level, x_m = field(line(per_metre), "chase", times_s, **settings)
    assert level.mean() == pytest.approx(0.4, abs=2e-3)
    # The first band lies from 0 to 0.4 m at first: its fundamental has the phase of 0.2 m.
    wave = level[0] @ np.exp(-2j * np.pi * x_m)
    assert np.angle(wave) == pytest.approx(-2 * np.pi * 0.2, abs=0.05)


@both_densities
def test_chase_changes_colour_in_the_middle_of_the_gap(line, per_metre):
    pitch_m = 1 / per_metre
    # Moved on by half a pixel, so that a pixel stands exactly in the middle of a gap, at 1.5 m.
    settings = {"band": 1.0, "gap": 1.0, "soft": 0.0, "speed": 0.1}
    position, _, x_m = field(line(per_metre), "chase", [5 * pitch_m], **settings)
    at = int(np.argmin(np.abs(x_m - (1.5 + pitch_m / 2))))
    assert position[0, at - 1 : at + 2] == pytest.approx([0.0, 0.5, 1.0], abs=0.02)


@both_densities
@every_direction
def test_crossing_runs_both_ways(line, per_metre, direction):
    settings = {"band": 0.2, "gap": 0.8, "soft": 0.0, "speed": 0.4}
    times_s = np.arange(0.3, 0.95, 0.05)  # between two meetings, which are 1.25 s apart
    position, level, x_m = field(
        line(per_metre), "crossing", times_s, direction, colours=2, **settings
    )
    # Colour 0 runs forward, colour 1 back; λ = 1 m.
    nearest = np.rint(position) % 2
    for half, sign in zip(halves(x_m), SIGNS[direction], strict=True):
        for colour, way in ((0, 1), (1, -1)):
            shown = level * (nearest == colour)
            found = speed(shown[:, half], x_m[half], 1.0, times_s)
            assert found == pytest.approx(sign * way * 0.4, rel=0.02)


@both_densities
@every_direction
def test_picket_steps_on_by_a_pixel(line, per_metre, direction):
    every, step_s, pitch_m = 5, 0.5, 1 / per_metre
    times_s = 0.1 + step_s * np.arange(12)  # before each change
    settings = {"every": every, "step": step_s, "change": 0.4}
    _, level, x_m = field(line(per_metre), "picket", times_s, direction, **settings)
    for half, sign in zip(halves(x_m), SIGNS[direction], strict=True):
        found = speed(level[:, half], x_m[half], every * pitch_m, times_s)
        assert found == pytest.approx(sign * pitch_m / step_s, rel=0.01)


@both_densities
@pytest.mark.parametrize("direction", ["forward", "backward"])
def test_dart_and_repaint_run_along(line, per_metre, direction):
    times_s = np.arange(1.0, 3.5, 0.05)
    _, level, x_m = field(
        line(per_metre), "dart", times_s, direction, speed=2.5, tail=1.0, rest=1.0
    )
    sign = SIGNS[direction][0]
    centre = (level @ x_m) / level.sum(axis=1)
    assert np.polyfit(times_s, centre, 1)[0] == pytest.approx(sign * 2.5, rel=0.02)
    # The tail lies behind: the head is the first of it.
    head = x_m[level.argmax(axis=1)]
    assert ((head - centre) * sign > 0).all()
    position, _, _ = field(line(per_metre), "repaint", times_s, direction, speed=2.5, edge=0.5)
    # What is painted grows from the start; half of the soft edge counts.
    painted_m = position.sum(axis=1) / per_metre
    assert np.polyfit(times_s, painted_m, 1)[0] == pytest.approx(2.5, rel=0.02)
    first = position[:, : len(x_m) // 4].mean() - position[:, -len(x_m) // 4 :].mean()
    assert first * sign > 0


@both_densities
@pytest.mark.parametrize("direction", ["inward", "outward"])
def test_dart_meets_or_leaves_the_middle(line, per_metre, direction):
    times_s = np.arange(0.6, 1.8, 0.05)
    _, level, x_m = field(
        line(per_metre), "dart", times_s, direction, speed=2.5, tail=1.0, rest=1.0
    )
    for half, sign in zip(halves(x_m), SIGNS[direction], strict=True):
        centre = (level[:, half] @ x_m[half]) / level[:, half].sum(axis=1)
        assert np.polyfit(times_s, centre, 1)[0] == pytest.approx(sign * 2.5, rel=0.05)


@both_densities
def test_gather_comes_in_from_both_ends(line, per_metre):
    times_s = np.arange(1.0, 4.0, 0.1)
    _, level, x_m = field(line(per_metre), "gather", times_s, speed=1.0, edge=0.5)
    for half in halves(x_m):
        lit_m = level[:, half].sum(axis=1) / per_metre
        assert np.polyfit(times_s, lit_m, 1)[0] == pytest.approx(1.0, rel=0.02)
        outer = np.abs(x_m[half] - LENGTH_M / 2) > 3
        assert level[0, half][outer].sum() > level[0, half][~outer].sum()


# Angle of the wave's way and the speed it then has along a level eave: v / cos(angle).
@both_densities
@pytest.mark.parametrize("asked", [0.8, -0.8])
@pytest.mark.parametrize(("angle", "along"), [(0, 1.0), (180, -1.0), (60, 2.0)])
def test_tide_and_banner_cross_the_house(line, per_metre, asked, angle, along):
    cosine = abs(np.cos(np.deg2rad(angle)))
    settings = {"angle": angle, "speed": asked}
    _, level, x_m = field(line(per_metre), "tide", TIMES_S, length=2.5 * cosine, low=0, **settings)
    assert speed(level, x_m, 2.5, TIMES_S) == pytest.approx(asked * along, rel=0.01)
    position, _, _ = field(
        line(per_metre), "banner", TIMES_S, width=1.25 * cosine, soft=1, colours=2, **settings
    )
    # Two colours, each 1.25 m along the eave.
    shown = np.cos(np.pi * position)
    assert speed(shown, x_m, 2.5, TIMES_S) == pytest.approx(asked * along, rel=0.01)


@both_densities
@pytest.mark.parametrize("asked", [0.8, -0.8])
def test_tide_of_the_house_knows_no_direction_of_the_path(line, per_metre, asked):
    """It runs across the house: a run wired the other way round shows the same wave."""
    for direction in DIRECTIONS:
        _, level, x_m = field(
            line(per_metre), "tide", TIMES_S, direction, length=2.5, low=0, speed=asked
        )
        assert speed(level, x_m, 2.5, TIMES_S) == pytest.approx(asked, rel=0.01)


@both_densities
@pytest.mark.parametrize("asked", [0.6, -0.6])
def test_rings_run_from_their_point(line, per_metre, asked):
    settings = {"width": 1.25, "speed": asked, "soft": 1}
    position, _, x_m = field(line(per_metre), "rings", TIMES_S, colours=2, **settings)
    shown = np.cos(np.pi * position)
    for half, sign in zip(halves(x_m), (-1, 1), strict=True):  # the point is the middle
        found = speed(shown[:, half], x_m[half], 2.5, TIMES_S)
        assert found == pytest.approx(sign * asked, rel=0.01)


@both_densities
def test_thaw_and_flurry_fall(post, per_metre):
    times_s = np.arange(0, 60, 0.02)
    for name, settings, low, high in (
        ("thaw", {"speed": 1.2, "tail": 0.5, "run": 20, "every": 2.0}, 1.2, 1.2),
        # Each column of snow falls at 0.7 to 1.3 of what is asked.
        ("flurry", {"speed": 0.5, "size": 0.3, "wind": 0.0, "gap": 3.0}, 0.35, 0.65),
    ):
        _, level, x_m = field(post(per_metre), name, times_s, **settings)
        # x counts down the post. Best delay between two places 1 m apart, by cross-correlation.
        one, other = (level[:, int(np.argmin(np.abs(x_m - at)))] for at in (1.0, 2.0))
        delays = np.arange(-200, 201)
        match = [
            np.corrcoef(one[200:-200], other[200 + delay : len(other) - 200 + delay])[0, 1]
            for delay in delays
        ]
        best_s = delays[int(np.argmax(match))] * 0.02
        assert best_s > 0
        assert low * 0.95 <= 1.0 / best_s <= high * 1.05


@both_densities
@pytest.mark.parametrize("asked", [0.5, -0.5])
def test_snow_drifts_with_the_wind(line, per_metre, asked):
    times_s = np.arange(0, 60, 0.05)
    # Hardly falling, so that what passes along the eave is the wind's.
    settings = {"size": 1.0, "speed": 0.05, "wind": asked, "gap": 3.0}
    _, level, x_m = field(line(per_metre), "flurry", times_s, **settings)
    one, other = (level[:, int(np.argmin(np.abs(x_m - at)))] for at in (4.5, 5.5))
    delays = np.arange(-80, 81)
    match = [
        np.corrcoef(one[80:-80], other[80 + delay : len(other) - 80 + delay])[0, 1]
        for delay in delays
    ]
    best_s = delays[int(np.argmax(match))] * 0.05
    assert 1.0 / best_s == pytest.approx(asked, rel=0.06)
