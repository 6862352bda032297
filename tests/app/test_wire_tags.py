"""Tags of wires: none over another nor over a box, however many and however large the type."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pygame
import pytest

from sim.app.state.window_layout import Rect
from sim.app.state.wire_plan import WirePlan
from sim.app.view import theme
from sim.app.view.brush import Brush, Kit
from sim.app.view.lying_wires import clear_of, over_rating
from sim.app.view.touch import _crosses
from sim.app.view.wire_tags import placed_tags, tags_of


def laid(wires: int, scale: float) -> tuple[Any, Any, WirePlan, Brush]:
    """Six supplies, each with its feeds along a line; a picture of 1280 × 572."""
    pygame.font.init()
    picture = Rect(0, 0, 1280, 572)
    parts: Any = SimpleNamespace(picture=picture, px=lambda v: max(1, round(v * scale)))
    supplies, spots, made, paths = [], {}, [], []
    each = wires // 6
    for s in range(6):
        name, at = f"box{s}", (110.0 + 210 * s, 430.0)
        supplies.append(SimpleNamespace(name=name, volts=5.0, rated_a=20.0))
        spots[name] = at
        for w in range(each):
            end = (30.0 + 205 * s + 190 * w / max(each - 1, 1), 120.0 + 40 * (s % 3))
            paths.append((at, (at[0], 300.0), (end[0], 300.0), end))
            size = SimpleNamespace(name="14 AWG", ampacity_a=15.0)
            start = SimpleNamespace(kind="supply", name=name)
            made.append(SimpleNamespace(size=size, fuse_a=5.0, start=start,
                                        end=SimpleNamespace(kind="run", name="r")))  # fmt: skip
    house: Any = SimpleNamespace(supplies=tuple(supplies), wires=tuple(made))
    plan = WirePlan(spots, {}, {}, tuple(paths), frozenset())
    return house, parts, plan, Brush(pygame.Surface((1280, 720)), scale, Kit())


@pytest.mark.parametrize(("wires", "scale"), [(12, 1.0), (60, 1.0), (60, 2.0)])
def test_none_over_another_nor_over_a_box(wires: int, scale: float) -> None:
    house, parts, plan, brush = laid(wires, scale)
    tags = placed_tags(brush, parts, house, plan, [np.array(path) for path in plan.paths])
    places = np.array([tag.place for tag in tags], dtype=float)
    low, high = places[:, :2], places[:, :2] + places[:, 2:]
    apart = (low[:, None] >= high[None]) | (high[:, None] <= low[None])
    assert (apart.any(axis=-1) | np.eye(len(tags), dtype=bool)).all()
    half = 9 * scale
    for x, y in plan.supplies.values():
        clear = (low >= (x + half, y + half)) | (high <= (x - half, y - half))
        assert clear.any(axis=-1).all()
    assert (low >= 0).all()
    assert (high <= (1280, 572)).all()
    named = {tag.number for tag in tags}
    assert set(range(6)) <= named  # every supply
    # every wire has its tag; at 200 % there is not room for ten wires on 190 px, and those that
    # have none are told when they are pointed at
    assert len(tags) == 6 + wires or scale > 1
    assert len(tags) >= 6 + wires // 3


def test_a_wire_past_its_fuse_or_its_copper_is_marked() -> None:
    house, _, plan, _ = laid(12, 1.0)
    amps = np.array([4.9, 5.1, 16.0] + [0.0] * 9)
    over = over_rating(house, amps)
    assert over == [False, True, True] + [False] * 9
    unfused: Any = SimpleNamespace(wires=(SimpleNamespace(size=house.wires[0].size, fuse_a=None),))
    assert over_rating(unfused, np.array([-15.1])) == [True]  # whichever way it flows
    told = tags_of(house, plan, amps, np.zeros(6), over)
    assert told[6].full == "4.9 A · 14 AWG · fuse 5 A"
    assert told[6].sized == "4.9 of 5 A · 14 AWG"
    assert told[6].short == "4.9 A · 14 AWG"
    assert (told[6].least, told[7].least) == ("14 AWG", "! 14 AWG")
    assert told[7].full.startswith("! ")  # and not by colour alone
    assert told[7].colour != told[6].colour


# Tags of 36 wires have room for the size of each (see below), and of few for the fuse as well.
@pytest.mark.parametrize(("wires", "least"), [(24, 19), (36, 5)])
def test_large_type_leaves_a_wires_fuse_where_it_has_room(wires: int, least: int) -> None:
    house, parts, plan, brush = laid(wires, 2.0)
    tags = placed_tags(brush, parts, house, plan, [np.array(path) for path in plan.paths])
    told = tags_of(house, plan, np.full(wires, 1.0), np.zeros(6), [False] * wires)
    assert told[6].sized == "1.0 of 5 A · 14 AWG"
    sized = [tag for tag in tags if tag.number >= 6 and tag.words == "sized"]
    assert len(sized) >= least
    for tag in sized:  # with two digits of amperes and the sign of what is past its rating too
        assert tag.place.w >= brush.size("! 88.8 of 5 A · 14 AWG", theme.SMALL)[0]
        assert pygame.Rect(parts.picture).contains(tag.place)
    places = [pygame.Rect(tag.place) for tag in tags]
    assert all(place.collidelistall(places) == [n] for n, place in enumerate(places))


# So many as find a place where tags say amperes and fuse without the size: none is lost for it.
@pytest.mark.parametrize(
    ("wires", "scale", "least"), [(18, 2.0, 18), (36, 2.0, 36), (60, 1.0, 60), (60, 2.0, 42)]
)
def test_every_tag_of_a_wire_tells_its_size(wires: int, scale: float, least: int) -> None:
    house, parts, plan, brush = laid(wires, scale)
    tags = placed_tags(brush, parts, house, plan, [np.array(path) for path in plan.paths])
    told = tags_of(house, plan, np.full(wires, 1.0), np.zeros(6), [False] * wires)
    said = [getattr(told[tag.number], tag.words) for tag in tags if tag.number >= 6]
    assert [words for words in said if "14 AWG" not in words] == []
    assert len(said) >= least


def test_what_a_card_covers_in_part_is_left_out() -> None:
    house, parts, plan, brush = laid(12, 1.0)
    tags = placed_tags(brush, parts, house, plan, [np.array(path) for path in plan.paths])
    half = tags[3].place
    card = Rect(half.x + half.w // 2, half.y - 40, 300, 200)
    left = clear_of(tags, card)
    assert tags[3] not in left
    assert all(not pygame.Rect(tag.place).colliderect(card) for tag in left)
    assert [tag for tag in tags if not pygame.Rect(tag.place).colliderect(card)] == left
    assert clear_of(tags, None) == tags


def test_the_line_of_a_card_gives_way_to_tags_that_are_drawn() -> None:
    card, at = Rect(100, 100, 50, 50), (125.0, 20.0)  # right above it: the line goes straight down
    between, covered = Rect(110, 50, 30, 20), Rect(110, 85, 30, 20)
    assert _crosses([between], at, card)
    assert not _crosses([covered], at, card)  # that one is left out
    assert not _crosses([], at, card)
