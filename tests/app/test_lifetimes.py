"""What a window holds ends with it, and what is kept for later is bounded by its octets."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame
import pytest

from layouts import House, kinds
from layouts.faults import Fault
from layouts.kept_with import kept_with_first
from sim.app.state import actions as act
from sim.app.state.choosing_actions import ClosePage, OpenPage
from sim.app.state.drawing_actions import OpenBoard, PointTo
from sim.app.state.history_record import History, HistoryStep
from sim.app.state.mending_record import BreakIt
from sim.app.state.record import Proposed, State
from sim.app.state.touch_record import OpenThing
from sim.app.view.brush import Kit
from sim.app.view.choosing import ChoosingScreen
from sim.app.view.kept_surfaces import KeptSurfaces
from sim.app.window import Window
from sim.app.work import heaps
from sim.app.work.octets import octets
from sim.app.work.planner import Planner
from sim.app.work.stage import Maker, wanted

SIZE = (480, 320)


def used(window: Window, until: Callable[..., None]) -> None:
    """Cards, something broken, pages, another size, the drawing board."""
    for thing in window.state.touch.things:
        window.do(OpenThing(thing))
        window.step(0.02)
    window.do(BreakIt(Fault("dead", "eave", 3)))
    window.do(OpenPage("layers"))
    window.step(0.02)
    window.do(ClosePage())
    window.do(act.ToggleOverlay("wires"))
    window.do(OpenBoard())
    window.step(0.02)
    window.do(PointTo((2.0, 1.0), 0.1))
    until(window, lambda: window.backstage.idle)


def opened_used_closed(
    house: Path, until: Callable[..., None], closed: Callable[[Window], bool]
) -> dict[str, weakref.ref[object]]:
    """A window's life; weak references to what it held."""
    window = Window(house, house.parent / "winter.scheme.yaml", scale=1.0, size_px=SIZE)
    window.do(act.PlayPause())
    until(window, lambda: window.shown is not None and window.backstage.idle)
    stage, shown = window.backstage.stage, window.shown
    held = {
        "window": window, "screen": window._screen, "stage": stage, "house": stage.house,
        "scene": stage.left.scene, "rig": stage.left.rig, "shown": shown, "show": shown.show,
    }  # fmt: skip
    used(window, until)
    assert closed(window)
    return {name: weakref.ref(one) for name, one in held.items()}


def test_nothing_of_a_window_outlives_it(
    house_file: Path, monkeypatch: pytest.MonkeyPatch, until: Callable[..., None],
    closed: Callable[[Window], bool],
) -> None:  # fmt: skip
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    refs = opened_used_closed(house_file, until, closed)
    gc.collect()
    assert [name for name, ref in refs.items() if ref() is not None] == []
    left = [one for one in gc.get_objects() if isinstance(one, House)]
    assert [one for one in left if one.file == str(house_file)] == []


class Whatever:
    """Something that can be looked at weakly."""


def test_what_is_kept_with_a_record_goes_with_it() -> None:
    asked = []

    @kept_with_first
    def counted(of: Whatever, number: int) -> list[int]:
        asked.append(number)
        return [number]

    one, other = Whatever(), Whatever()
    assert counted(one, 3) is counted(one, 3)
    assert counted(one, 4) is not counted(other, 4)
    assert asked == [3, 4, 4]
    gone = weakref.ref(one)
    del one
    assert gone() is None
    with pytest.raises(TypeError, match="by place"):
        counted(other, number=4)


def test_surfaces_are_kept_by_their_octets() -> None:
    made = []

    def make(width: int) -> pygame.Surface:
        made.append(width)
        return pygame.Surface((width, 10), pygame.SRCALPHA)

    kept = KeptSurfaces(make, 12_000)
    for width in (100, 101, 102, 100):  # 4 octets a pixel: 4000, 4040, 4080
        kept(width)
    assert (len(kept), kept.octets) == (2, 4000 + 4080)
    assert made == [100, 101, 102, 100]  # 100 had gone for 102, then 101 for 100
    kept(102)
    kept(50)  # all three have room now
    assert (len(kept), kept.octets) == (3, 4000 + 4080 + 2000)
    kept(103)  # and 100, used longest ago, goes
    assert kept.octets == 4080 + 2000 + 4120
    kept(102)
    assert made == [100, 101, 102, 100, 50, 103]
    kept(5000)
    assert (len(kept), kept.octets) == (1, 200_000)  # the newest stays, however large
    kept.clear()
    assert (len(kept), kept.octets) == (0, 0)


def test_veils_over_a_growing_window_are_bounded() -> None:
    kit = Kit()
    for width in range(1000, 1900, 30):
        kit.veil((width, 1000), (0, 0, 0), 96, 0)
    assert kit.veil.octets <= 20 << 20
    assert len(kit.veil) >= 2


def test_small_pictures_in_their_size_are_bounded_and_dropped_with_the_page() -> None:
    page = ChoosingScreen()
    pygame.display.init()
    pygame.display.set_mode((64, 64))
    images = [np.full((180, 320, 3), number, np.uint8) for number in range(40)]
    limit = 12 * (180 * 320 * 3 + 160 * 90 * 4)
    page.most_octets = limit
    for image in images:
        page._surface(image, (160, 90))
        assert page.octets <= limit
    first = page._surface(images[-1], (160, 90))
    assert page._surface(images[-1], (160, 90)) is first
    page.forget()
    assert page.octets == 0


def test_octets_count_every_buffer_once_however_deep() -> None:
    pixels = np.zeros((10, 10))
    assert octets({"a": (pixels, pixels[2:]), "b": [np.zeros(5, np.uint8)]}, pixels) == 805


def test_heaps_are_left_as_the_person_set_them(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(heaps.ctypes, "CDLL", lambda name: asked.append(name))
    monkeypatch.setenv("MALLOC_ARENA_MAX", "8")
    assert heaps.share_heaps() is False
    monkeypatch.delenv("MALLOC_ARENA_MAX")
    monkeypatch.setenv("GLIBC_TUNABLES", "glibc.malloc.arena_max=4")
    assert heaps.share_heaps() is False
    assert asked == []
    monkeypatch.delenv("GLIBC_TUNABLES")
    monkeypatch.setattr(heaps.sys, "platform", "linux")
    assert heaps.share_heaps() is False  # a library without such a function
    assert asked == ["libc.so.6"]


def test_plans_are_kept_as_long_as_a_step_may_ask_for_them() -> None:
    planner = Planner()
    planner._found = {number: object() for number in range(1, 13)}  # type: ignore[misc]
    shown, before = Proposed(2, None, "", ()), Proposed(3, None, "", ())
    step = HistoryStep("propose feeds", proposal=(before, None))
    for history in (History(done=(step,)), History(undone=(step,))):
        planner._let_go(State("house.yaml", proposal=shown, history=history))
        assert sorted(planner._found) == [2, 3, 9, 10, 11, 12]
    planner._let_go(State("house.yaml"))
    assert sorted(planner._found) == [9, 10, 11, 12]
    planner.close()


def test_houses_of_other_kinds_are_kept_by_number(house_file: Path) -> None:
    maker = Maker()
    first = wanted(State(str(house_file), size_px=(96, 64)), ())
    for kind in (None, *list(kinds())[:6], None):
        *_, made = maker.stage(replace(first, kind=kind))
        assert made.left.kind == kind
        assert len(maker._houses) <= 4
        assert len(maker._hung) <= 4
