"""The small windows: everything that can be pressed has a name, a size, and keys that do the same.

Sizes: WCAG 2.2, success criterion 2.5.8 (Target Size, Minimum): 24 by 24 CSS pixels.
"""

from __future__ import annotations

import typing
from dataclasses import replace
from itertools import combinations

import pygame
import pytest

from sim.app.state import measuring as ms
from sim.app.state import straightening as st
from sim.app.state.names import Named, Role, named
from sim.app.state.record import State
from sim.app.state.small_names import named_marks, named_measures
from sim.app.state.straightening import MarkedShape, Pixel
from sim.app.view.brush import Brush, Kit
from sim.app.view.listening import ListeningScreen
from sim.app.view.measuring import MeasuringScreen
from sim.app.view.straightening import StraighteningScreen

SIZES = [((960, 600), 1.0), ((960, 600), 2.0), ((1280, 720), 1.0), ((1280, 720), 2.0),
         ((1920, 1080), 1.0), ((1920, 1080), 2.0)]  # fmt: skip


@pytest.fixture(scope="module")
def kit() -> Kit:
    pygame.font.init()
    return Kit()


def marked(size: tuple[int, int], scale: float) -> st.Straightening:
    corners = tuple(Pixel(u, v) for u, v in ((100, 100), (200, 100), (200, 300), (100, 300)))
    shapes = (MarkedShape("rectangle", corners, "0.9 m x 2 m"),
              MarkedShape("point", (Pixel(300, 200),), "3.2 m, 0"))  # fmt: skip
    return replace(st.begun((640, 480), "m", "wall.png"), shapes=shapes, size_px=size, scale=scale)


def wrong_in(lines: list[Named], size: tuple[int, int], scale: float, pinned: str) -> list[object]:
    """What has no name, no role or no keys, is too small, lies outside, or on top of another."""
    wrong: list[object] = []
    for line in lines:
        assert line.place is not None
        if not line.name.strip() or not line.keys or line.role not in typing.get_args(Role):
            wrong.append((line.id, "no name, role or keys"))
        if min(line.place.w, line.place.h) < 24 * scale - 1.01:
            wrong.append((line.id, f"{line.place.w / scale:.1f} x {line.place.h / scale:.1f}"))
        inside = line.place.x >= 0 and line.place.right <= size[0]
        if not inside or line.place.y < 0 or line.place.bottom > size[1]:
            wrong.append((line.id, "outside"))
    wrong += [
        (a.id, b.id)
        for a, b in combinations(lines, 2)
        if a.place.meets(b.place) and not (b.id.startswith("step") and a.id.startswith("field"))
        and not b.id.startswith(pinned)
    ]  # fmt: skip
    names = [line.name for line in lines]
    wrong += [name for name in names if names.count(name) > 1]
    return wrong


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_the_stage_of_a_photograph(kit: Kit, size: tuple[int, int], scale: float) -> None:
    state = marked(size, scale)
    screen = StraighteningScreen(pygame.Surface((640, 480)))
    screen.draw(Brush(pygame.Surface(size), scale, kit), state, None)
    lines = list(named_marks(state, screen.buttons))
    assert {line.id.partition(" ")[0] for line in lines} == {
        "tool", "shape", "viewer", "undo", "redo", "grid", "leave", "accept"}  # fmt: skip
    assert wrong_in(lines, size, scale, "") == []


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_the_dialogue_of_measurements(kit: Kit, size: tuple[int, int], scale: float) -> None:
    wrong: list[object] = []
    seen: set[str] = set()
    state = replace(ms.begun("m", "shed"), size_px=size, scale=scale)
    for focus in ms.order(state):  # every field once in sight
        screen = MeasuringScreen()
        here = replace(state, focus=focus, follow=True)
        for _ in range(2):
            screen.draw(Brush(pygame.Surface(size), scale, kit), here, None, None, None)
            here = replace(here, scroll_px=screen.seen.scroll_px)
        lines = list(named_measures(here, screen.buttons))
        seen |= {line.id.split(" ")[1] for line in lines if line.id.startswith(("field", "choose"))}
        panel = ms.panel(here)
        cut = [line for line in lines  # what is half in sight is scrolled wholly in by Tab
               if panel.y + 56 * scale < line.place.y < line.place.bottom < panel.bottom
               - 88 * scale - 1 or not line.id.startswith(("field", "choose", "step"))]  # fmt: skip
        wrong += wrong_in([one for one in cut if one.place.h > 0], size, scale, "never")
    assert wrong == []
    assert set(ms.order(state)) - set(ms.BUTTONS) <= seen


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_a_window_that_listens(
    state: State, size: tuple[int, int], scale: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.set_mode((64, 64))
    state = replace(state, size_px=size, scale=scale, drawer=True, drawer_open=1.0)
    screen = ListeningScreen()
    tools: set[str] = set()
    for part in range(4):
        one = replace(state, access=replace(state.access, row=part))
        screen.draw_heard(pygame.Surface(size), one, None, 0.0, 0.02)
        lines = [line for line in named(one, screen.seen) if line.id.startswith("tool")]
        tools |= {line.id for line in lines}
        keyed = [replace(line, keys=line.keys or "is itself a way by mouse") for line in lines]
        assert wrong_in(keyed, size, scale, "never") == []
        first = next(line for line in lines if line.id not in ("tool More",))
        assert first.name == first.id.removeprefix("tool "), first  # no scheme is played
    assert {"tool Panel", "tool Save", "tool Keys", "tool Volts", "tool Wires"} <= tools
