"""What the hand that draws keeps to: pitch, foliage, rooms behind panes, numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from effects.colour_spaces import LUMINANCE
from layouts.forms import roof
from sim.light.materials import Patch, habit_of, look, pitch_of
from sim.light.materials.roofs import USUAL_PITCH
from sim.light.windows import _WINDOW


def patch(size_m, pixel_m, at=(0.0, 0.0), **more):
    """A surface that fills its box."""
    (wide, tall), (left, low) = size_m, at
    x = left + (np.arange(round(wide / pixel_m)) + 0.5)[None, :] * pixel_m
    y = low + tall - (np.arange(round(tall / pixel_m)) + 0.5)[:, None] * pixel_m
    return Patch(x, y, pixel_m, (left, low, left + wide, low + tall), 5, **more)


def luminous(seen):
    return np.broadcast_to(seen, (*np.shape(seen)[:2], 3)) @ LUMINANCE


@pytest.mark.parametrize("pitch", [0.35, 6 / 12, 1.0])
def test_hips_show_the_pitch(pitch):
    # a hip goes in by as much as the slope runs back, so it rises `pitch` over every metre across
    outline = np.array(roof.hip(0.0, 14.0, 2.5, pitch, 8.0))
    assert pitch_of(outline) == pytest.approx(pitch)


def test_a_roof_that_ends_square_has_the_usual_pitch():
    assert pitch_of(np.array([[0, 3], [10, 3], [10, 6], [0, 6.0]])) == USUAL_PITCH


@pytest.mark.parametrize("pitch", [0.4, 1.2])
def test_courses_are_as_low_as_the_pitch_shows_them(pitch):
    """Slates of 200 mm on a slope seen level: sin(atan p) of that from course to course."""
    step = 0.002
    seen = luminous(look("slate", patch((4.0, 3.0), step, pitch=pitch)).shade).mean(axis=1)
    want = 0.2 * math.sin(math.atan(pitch))
    seen = np.diff(seen)  # the lower edges of courses are steps
    lags = np.arange(round(0.6 * want / step), round(1.6 * want / step))
    alike = [float(seen[:-lag] @ seen[lag:]) for lag in lags]
    assert lags[int(np.argmax(alike))] * step == pytest.approx(want, rel=0.05)


@pytest.mark.parametrize("texture", ["hedge", "leaves", "needles", "flowers"])
def test_a_plant_fills_its_outline_and_stays_near_it(texture):
    pixel_m, room = 0.02, 60
    solid = np.zeros((200, 240), dtype=np.float32)
    solid[room:-room, room:-room] = 1
    whole = patch((4.8, 4.0), pixel_m)
    box = (1.2, 1.2, 3.6, 2.8)
    seen = look(texture, Patch(whole.x, whole.y, pixel_m, box, 5, solid))
    assert seen.cover is not None
    assert seen.cover[room:-room, room:-room].mean() > 0.85
    reach = math.ceil(habit_of(texture, (2.4, 1.6)).reach_m / pixel_m) + 2
    beyond = seen.cover.copy()
    beyond[room - reach : reach - room, room - reach : reach - room] = 0
    assert reach < room
    assert beyond.max() == 0


def test_the_same_tree_in_a_picture_of_any_size():
    coarse, fine = (look("leaves", patch((3.0, 2.4), step)).shade for step in (0.04, 0.02))
    small = luminous(fine).reshape(60, 2, 75, 2).mean(axis=(1, 3))
    assert np.corrcoef(luminous(coarse).ravel(), small.ravel())[0, 1] > 0.7


def test_lit_windows_have_the_luminance_that_their_light_is_reckoned_from():
    places = [(1.37 * n, 0.9 + 2.6 * (n % 2)) for n in range(24)]
    glows = [look("glass_lit", patch((1.1, 1.35), 0.02, at)).glow for at in places]
    assert all(glow is not None for glow in glows)
    mean = np.mean([luminous(glow).mean() for glow in glows])
    assert mean == pytest.approx(_WINDOW, rel=0.15)
    # no two rooms alike
    assert len({round(float(luminous(glow).mean()), 4) for glow in glows}) > 20


def test_houses_in_other_places_have_other_numbers():
    drawn = {luminous(look("number", patch((0.24, 0.16), 0.004, (x, 1.4))).shade).tobytes()
             for x in np.arange(3.0, 9.0, 0.5)}  # fmt: skip
    assert len(drawn) > 8


def test_the_cage_of_a_lantern_hides_its_frame_wholly_and_its_middle_bar_in_part():
    glow = look("glass_lit", patch((0.2, 0.3), 0.002)).glow[..., 1]
    middle = glow.shape[0] // 2
    row = glow[middle]
    bar, beside = row[len(row) // 2], row[len(row) // 2 + 12]  # of 12 mm, and 24 mm beside it
    assert 0.25 < bar / beside < 0.45  # 0.3 of it is seen, where the bulb is a little brighter
    assert glow[0].max() < 0.01 * row.max()
    assert glow[-1].max() < 0.01 * row.max()
