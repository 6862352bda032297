"""The first picture comes coarse, the fine one after it; both are of the same instant and rig."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
import pytest

from sim.app.state.record import State
from sim.app.state.shown import Stage
from sim.app.state.window_layout import Rect
from sim.app.view.brush import Brush, Kit
from sim.app.view.settle import Settle, draw_coarse
from sim.app.work.player import Player
from sim.app.work.stage import Maker, StageWanted, wanted

COTTAGE = Path(__file__).parents[2] / "demo/cottage"


@pytest.fixture(scope="module")
def asked() -> StageWanted:
    schemes = sorted(COTTAGE.glob("*.scheme.yaml"))
    state = State(str(COTTAGE / "house.yaml"), str(schemes[0]), size_px=(320, 240))
    return wanted(state, ())


def stages(maker: Maker, asked: StageWanted) -> Iterator[Stage]:
    return (told for told in maker.stage(asked) if isinstance(told, Stage))


def test_coarse_first_then_fine_with_the_same_rig(asked: StageWanted) -> None:
    maker = Maker()
    maker.coarse_first = True
    coarse, fine, hung = stages(maker, asked)
    assert (coarse.coarse, coarse.held) == (True, True)
    assert (fine.coarse, fine.held) == (False, False)
    assert fine.left.rig is coarse.left.rig
    # nobody waits for what hangs where: the same picture once more, with it
    assert fine.left.hung is None
    assert hung.left.hung is not None
    assert hung.left.scene is fine.left.scene
    assert hung.left.rig is fine.left.rig
    width, height = fine.left.scene.size_px
    assert coarse.left.scene.size_px == (width // 2, height // 2)
    assert [one.coarse for one in stages(maker, asked)] == [False]  # once a window
    # half the points each way, the same picture: what four fine ones show together, roughly
    state = State(asked.house_path, asked.scheme_path, size_px=(320, 240))
    shown = Player().shown(state, coarse, 0.0)
    assert coarse.ready is not None
    assert shown.left_image is coarse.ready.image
    player = Player()
    exact = player.shown(state, fine, 0.0).left_image
    player.close()
    high, wide = coarse.ready.image.shape[:2]
    mean = exact[: 2 * high, : 2 * wide].reshape(high, 2, wide, 2, 3).mean(axis=(1, 3))
    apart = np.abs(mean - coarse.ready.image.astype(float))
    assert apart.mean() < 12, apart.mean()


def test_none_where_more_than_the_files_decides(asked: StageWanted) -> None:
    maker = Maker()
    maker.coarse_first = True
    found = list(stages(maker, replace(asked, colour="raw")))
    assert [one.coarse for one in found] == [False]


def test_said_on_the_picture_and_made_as_large_as_its_place() -> None:
    pygame.font.init()
    image = np.full((50, 80, 3), 90, np.uint8)
    settle, place = Settle(), Rect(0, 0, 160, 100)
    made = settle.fitted(image, place)
    assert made.get_size() == (160, 100)
    assert settle.fitted(image, place) is made
    surface = pygame.Surface((400, 100))
    draw_coarse(Brush(surface, 1.0, Kit()), Rect(0, 0, 400, 100))
    assert pygame.surfarray.array3d(surface).max() > 100  # there are words
