"""What each effect does, by hand: where an edge is, when a colour stands, how far a drop got."""

from __future__ import annotations

import numpy as np
import pytest

from effects import effects
from effects.place import place


@pytest.fixture
def line(build):
    """A level run of 10 m with 500 pixels, 20 mm apart, 3 m above the ground."""
    return build(
        "runs: [{name: eave, pixels: ws2813, path: [[2, 3], [12, 3]], count: 500, aim: down,"
        " standoff: 0.1, profile: bare}]\n"
    )


@pytest.fixture
def drop(build):
    """An upright run of 5 m with 250 pixels, from the top down."""
    return build(
        "runs: [{name: post, pixels: ws2813, path: [[2, 6], [2, 1]], count: 250, aim: wall,"
        " standoff: 0.1, profile: bare}]\n"
    )


def field(house, name, time_s, colours=3, direction="forward", seed=0, **settings):
    _, where = place(house, ("all",), direction)
    effect = effects()[name]
    times = np.atleast_1d(np.asarray(time_s, float))[:, None]
    position, level = effect.field(times, where, effect.settle(settings), colours, seed)
    shape = (len(times), len(where.along_m))
    return np.broadcast_to(position, shape), np.broadcast_to(level, shape)


def pixel(metres: float) -> int:
    """The pixel of `line` at so many metres."""
    return round(metres / 0.02 - 0.5)


def test_steady_bands(line):
    position, level = field(line, "steady", 0, band=2.5)
    assert position[0, [pixel(1), pixel(3), pixel(6), pixel(9)]] == pytest.approx([0, 1, 2, 3])
    assert (level == 1).all()
    soft, _ = field(line, "steady", 0, band=2.0, soft=0.5)
    # The second half of a band of 2 m runs over: half way at 1.5 m.
    assert soft[0, pixel(1.5)] == pytest.approx(0.5, abs=0.01)


def test_chase_travels_at_its_speed(line):
    lit = {"band": 1.0, "gap": 1.0, "speed": 0.5, "soft": 0.0}
    position, level = field(line, "chase", [0, 1, 4], **lit)
    # At first 0..1 m is lit in colour 0 and 2..3 m in colour 1; a second later 0.5 m further on.
    assert level[0, [pixel(0.5), pixel(1.5), pixel(2.5)]] == pytest.approx([1, 0, 1])
    assert position[0, [pixel(0.5), pixel(2.5), pixel(4.5)]] == pytest.approx([0, 1, 2])
    assert level[1, [pixel(0.25), pixel(1.25), pixel(1.75)]] == pytest.approx([0, 1, 0])
    # After one step (2 m at 0.5 m/s = 4 s) the next colour stands where this one was.
    assert position[2, pixel(2.5)] % 3 == pytest.approx(0)
    # Half of the path is lit.
    assert level.mean(axis=1) == pytest.approx([0.5] * 3, abs=0.01)


def test_chase_meets_in_the_middle(line):
    _, level = field(line, "chase", 2.0, direction="inward", band=1, gap=1, speed=0.5)
    assert level[0] == pytest.approx(level[0, ::-1], abs=1e-4)  # mirrored
    _, later = field(line, "chase", 2.5, direction="inward", band=1, gap=1, speed=0.5)
    # From both ends 0.25 m further towards the middle.
    step = 12.5
    left = np.interp(np.arange(100, 150), np.arange(250) + step, level[0, :250])
    assert later[0, 100:150] == pytest.approx(left, abs=0.03)


def test_backward_is_the_mirror_image(line):
    for name in ("chase", "dart", "repaint", "wick"):
        _, forward = field(line, name, 7.7)
        _, backward = field(line, name, 7.7, direction="backward")
        assert backward[0] == pytest.approx(forward[0, ::-1], abs=5e-3)


def test_picket_lights_one_of_n(line):
    settings = {"every": 4, "step": 1, "change": 0.2}
    position, level = field(line, "picket", [0.5, 1.5, 1.9], **settings)
    assert np.flatnonzero(level[0])[:3].tolist() == [0, 4, 8]
    assert np.flatnonzero(level[1])[:3].tolist() == [1, 5, 9]
    assert position[0, [0, 4, 8]] == pytest.approx([0, 1, 2])
    assert position[1, [1, 5, 9]] == pytest.approx([0, 1, 2])  # its colour steps with it
    # Half way through the change both are half lit: 1.9 s is the middle of 1.8..2.0 s.
    assert level[2, [1, 2]] == pytest.approx([0.5, 0.5], abs=1e-4)


def test_repaint_front(line):
    position, _ = field(line, "repaint", [2.5, 8, 12], speed=2, edge=1, hold=5)
    # The front is at 5 m after 2.5 s and 1 m wide behind; 5.5 s later all is the next colour.
    assert position[0, [pixel(3.9), pixel(4.5), pixel(5.1)]] == pytest.approx([1, 0.5, 0], abs=0.02)
    assert position[1] == pytest.approx(1)
    # The second crossing starts after 11 m / 2 m/s + 5 s = 10.5 s.
    assert position[2, [pixel(1.9), pixel(3.1)]] == pytest.approx([2, 1])


def test_fade_holds_then_changes(line):
    position, level = field(line, "fade", [0, 3.9, 5.5, 7.0, 14.0, 21.0], hold=4, change=3)
    assert position[:, 0] == pytest.approx([0, 0, 0.5, 1, 2, 0])
    assert (level == 1).all()


def test_swell_peaks_half_way(line):
    position, level = field(line, "swell", [0, 4, 8, 12], every=8, low=0.1)
    assert level[:, 0] == pytest.approx([0.1, 1, 0.1, 1], abs=1e-5)
    assert position[[1, 3], 0] == pytest.approx([0, 1])


def test_twinkle_lights_each_pixel_in_its_share(line):
    _, level = field(line, "twinkle", np.arange(0, 400, 0.5), every=8, share=0.25)
    lit = (level > 0).mean(axis=0)
    assert lit.mean() == pytest.approx(0.25, abs=0.01)
    assert lit.min() > 0.15
    assert level.max() > 0.95


def test_glint_keeps_its_rate_from_the_first_minute_on(line):
    _, level = field(line, "glint", np.arange(0, 300, 0.05), rate=6, length=0.5)
    begun = ((level[1:] > 0) & (level[:-1] == 0)).sum(axis=1)
    assert begun.sum() / 500 / 5 == pytest.approx(6, rel=0.03)  # a pixel and minute
    # In 5 s, 0.5 a pixel; of 250 flashes the count varies by 6 %.
    assert begun[:5900].reshape(59, 100).sum(axis=1) / 500 == pytest.approx([0.5] * 59, rel=0.3)


@pytest.mark.parametrize(
    ("name", "settings"), [("twinkle", {}), ("flurry", {"size": 0.1}), ("thaw", {"width": 0.05})]
)
def test_chance_is_even_from_the_start(line, name, settings):
    """No draw that a pixel keeps may be the draw of one of its steps."""
    _, level = field(line, name, np.arange(0, 64, 0.1), **settings)
    mean = level.reshape(16, -1).mean(axis=1)
    assert mean == pytest.approx([mean.mean()] * 16, rel=0.25)


def test_wick_flames_stand_apart(line):
    _, level = field(line, "wick", np.arange(0, 60, 0.1), spacing=1, size=0.4)
    mean = level.mean(axis=0)
    flames = mean.reshape(10, 50)
    assert (flames[:, :14] == 0).all()  # 0.5 m − half of 0.4 m = 0.3 m dark on either side
    assert (flames[:, -14:] == 0).all()
    assert flames.max(axis=1) == pytest.approx([0.75] * 10, abs=0.1)
    high = level[:, 25::50]
    assert np.abs(np.corrcoef(high.T) - np.eye(10)).max() < 0.45  # each for itself


def test_hearth_is_hot_and_cold_at_once(line):
    position, level = field(line, "hearth", np.arange(0, 30, 0.2), colours=4)
    assert position.min() == 0
    assert position.max() == 3
    assert 0.4 < level.mean() < 0.8
    assert np.corrcoef(position.ravel(), level.ravel())[0, 1] < -0.95


def test_wander_shows_every_colour_alike(line):
    position, _ = field(line, "wander", np.arange(0, 2000, 7.0), size=1)
    shown = np.histogram(position % 3, 3, (0, 3))[0] / position.size
    assert shown == pytest.approx([1 / 3] * 3, abs=0.03)


def test_tide_wave(line):
    _, level = field(line, "tide", [0, 5], length=4, speed=0.4, low=0)
    x = line.pixels.xy_m[:, 0]
    # sin²(π(x − v·t)/λ)
    for row, time_s in zip(level, (0, 5), strict=True):
        assert row == pytest.approx(np.sin(np.pi * (x - 0.4 * time_s) / 4) ** 2, abs=1e-4)


def test_rings_run_out_from_the_middle(line):
    position, _ = field(line, "rings", [0, 1], width=1, speed=0.5, soft=0.02)
    assert position[0] == pytest.approx(position[0, ::-1], abs=1e-3)
    # 2.25 m from the middle is ring 2; a second later ring 1 has come there (1.75 m).
    assert position[:, pixel(7.25)] % 3 == pytest.approx([2, 1], abs=0.03)


def test_flurry_falls(drop):
    _, level = field(drop, "flurry", np.arange(0, 30, 0.02), size=0.3, speed=0.5, gap=6)
    step = np.diff(level.argmax(axis=1))
    # A pixel is 20 mm and a frame 20 ms: pixels a frame are m/s. 0.5 m/s, 30 % about it.
    assert 0.34 <= step[np.abs(step) < 10].mean() <= 0.66


def test_thaw_runs_down_and_fades(drop):
    settings = {"speed": 1.0, "tail": 0.5, "run": 4.0, "every": 4.0}
    _, level = field(drop, "thaw", np.arange(0, 40, 0.01), **settings)
    brightest = level.max(axis=0)
    # Fades to nothing over 4 m: half as bright at 2 m.
    assert brightest[[0, 100, 205]] == pytest.approx([0.8, 0.4, 0], abs=0.08)
    starts = [np.flatnonzero((level[1:, at] > 0) & (level[:-1, at] == 0)) for at in (10, 110)]
    later = starts[1][starts[1] > starts[0][0]][0]
    assert (later - starts[0][0]) * 0.01 == pytest.approx(2.0, abs=0.02)  # 2 m at 1 m/s


def test_dart_head_and_tail(line):
    _, level = field(line, "dart", [2.0, 3.6], speed=2, tail=2, rest=5)
    lit = np.flatnonzero(level[0])
    assert lit.max() in (pixel(4.0) - 1, pixel(4.0))
    assert lit.min() == pytest.approx(pixel(2.0), abs=1)
    # (1 − s/tail)² half way down the tail
    assert level[0, pixel(3.0)] == pytest.approx(0.25, abs=0.02)
    assert level[1].max() > 0.7


def test_crossing_is_two_chases_against_each_other(line):
    settings = {"band": 1.0, "gap": 1.0, "speed": 0.5, "soft": 0.0}
    position, level = field(line, "crossing", 1.0, colours=2, **settings)
    # Colour 0 has run to 0.5..1.5 m, colour 1 back to −0.5..0.5 m and 1.5..2.5 m.
    colours = position[0, [pixel(0.25), pixel(1.0), pixel(2.0)]] % 2
    assert colours == pytest.approx([1, 0, 1], abs=0.01)
    assert (level[0, :400] > 0.4).all()
    crossed, _ = field(line, "crossing", 0.0, colours=2, **settings)
    assert crossed[0, pixel(0.5)] % 1 == pytest.approx(0.5)  # half of each where they cross


def test_banner_stripes_lie_at_an_angle(build):
    house = build(
        "runs: [{name: a, pixels: ws2813, path: [[0, 0], [4, 3]], count: 100, aim: up,"
        " standoff: 0.1, profile: bare}]\n"
    )
    # Along a line at atan(3/4) stripes across it are as wide as they are…
    angle = np.rad2deg(np.arctan2(3, 4))
    position, _ = field(house, "banner", 0, width=1, angle=angle, soft=0.05, speed=0)
    assert np.floor(position[0] + 1e-3).astype(int)[[10, 30, 50, 70, 90]].tolist() == [
        0, 1, 2, 3, 4,
    ]  # fmt: skip
    # …and stripes along it show one colour.
    position, _ = field(house, "banner", 0, width=1, angle=angle + 90, speed=0)
    assert np.ptp(position) < 1e-4


def test_gather_fills_from_both_ends(line):
    _, level = field(line, "gather", [2.0, 6.0, 9.4], speed=1, edge=0.5, hold=3, release=2)
    assert level[0] == pytest.approx(level[0, ::-1], abs=1e-4)
    # The front is 2 m in after 2 s; the soft edge lies behind it.
    assert level[0, [pixel(1.4), pixel(1.75), pixel(2.1), pixel(5)]] == pytest.approx(
        [1, 0.5, 0, 0], abs=0.03
    )
    assert (level[1] == 1).all()
    # Full after 5.5 s, held to 8.5 s, dying away until 10.5 s: 9.5 s would be half.
    assert level[2] == pytest.approx(0.57, abs=0.02)
