"""Compiled twins of fields, against the plain arrays that they stand for: the same numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from effects import effects
from effects.place import DIRECTIONS, place
from layouts import house_from
from sim.composed.inline import colour_of
from sim.composed.twins import TWINS, field_of

HOUSE = house_from(
    {
        "name": "test",
        "drawing": {"size": [20, 6]},
        "runs": [
            {"name": "eave", "pixels": "sk6812", "path": [[-1, 3], [1.1, 3]]},
            {"name": "gable", "pixels": "ws2811-12v-group3", "path": [[3, 3], [4, 5], [5, 3]]},
        ],
    },
    file="house.yaml",
)
PLACES = [place(HOUSE, zones, way)[1] for zones in (("all",), ("gable",)) for way in DIRECTIONS]
TWINNED = [effect for effect in effects().values() if effect.field in TWINS]
twinned = pytest.mark.parametrize("effect", TWINNED, ids=lambda effect: effect.name)
# An hour, a year within what is counted in 32 bits, the end of that; and before the start.
TIMES = np.array([0.0, 0.025, 7.7, 3600.0125, 8e6 + 0.3, 1e7, -0.025, -12.5, -1e7])[:, None]


def same(effect, time_s, where, settled, colours, seed):
    shape = (len(time_s), len(where.along_m))
    pairs = zip(
        effect.field(time_s, where, settled, colours, seed),
        TWINS[effect.field](time_s, where, settled, colours, seed),
        strict=True,
    )
    for plain, compiled in pairs:
        assert compiled.dtype == np.float32
        assert np.array_equal(np.broadcast_to(plain, shape), np.broadcast_to(compiled, shape))


@twinned
def test_at_the_ends_of_every_parameter(effect):
    settings = [{}]
    for parameter in effect.parameters:
        settings += [{parameter.name: parameter.low}, {parameter.name: parameter.high}]
    settings += [{parameter.name: getattr(parameter, end) for parameter in effect.parameters}
                 for end in ("low", "high")]  # fmt: skip
    for number, given_ in enumerate(settings):
        for where in PLACES[number % 2 :: 2]:
            same(effect, TIMES, where, effect.settle(given_), 1 + number % 4, 3)


@twinned
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_anywhere_between(effect, data):
    """Any settings, seed, number of colours and times."""
    settled = {
        parameter.name: data.draw(st.floats(parameter.low, parameter.high), parameter.name)
        for parameter in effect.parameters
    }
    times = data.draw(st.lists(st.floats(-1e7, 1e7), min_size=1, max_size=4), "times")
    colours = data.draw(st.integers(1, 40), "colours")
    seed = data.draw(st.integers(-(2**33), 2**33), "seed")
    where = data.draw(st.sampled_from(PLACES), "place")
    same(effect, np.array(times)[:, None], where, settled, colours, seed)


@twinned
def test_far_from_the_drawing_s_origin(effect):
    """Columns and rows of noise are counted from it, in 32 bits."""
    far = replace(PLACES[0], xy_m=np.asfortranarray(PLACES[0].xy_m + np.float32([9e4, -9e4])))
    same(effect, TIMES, far, effect.settle({}), 3, 5)


def test_who_is_asked_for_how_much():
    """Few frames, later than is counted in 32 bits, or what is no field of ours: plain arrays."""
    glint, where = effects()["glint"], PLACES[0]
    twin = TWINS[glint.field]
    assert field_of(glint, np.zeros((40, 1)), where) is twin
    assert field_of(glint, np.zeros((1, 1)), where) is glint.field
    for late in (1.1e7, -1.1e7, np.nan, np.inf):
        assert field_of(glint, np.full((40, 1), late), where) is glint.field
    foreign = replace(glint, field=lambda *arguments: glint.field(*arguments))
    assert field_of(foreign, np.zeros((40, 1)), where) is foreign.field


def test_remainders_by_any_number_of_colours():
    """Also where a hash is a multiple, or one beside it, up to the largest."""
    random = np.random.default_rng(1)
    for colours in (1, 2, 3, 5, 7, 12, 255, 256, 1000, 65535, 2**20 + 1):
        largest = 0xFFFFFFFF // colours
        some = random.integers(0, largest, 500, endpoint=True)
        many = np.concatenate([some, np.arange(5), largest - np.arange(min(5, largest))]) * colours
        drawn = np.concatenate([many, many + 1, many - 1, many + colours - 1]).clip(0, 0xFFFFFFFF)
        found = colour_of.__wrapped__(drawn.astype(np.uint32), float(colours))
        assert np.array_equal(found, (drawn % colours).astype(np.float32))
