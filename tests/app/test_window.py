"""The whole window drawn without a screen: what is on it follows files and state."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state.record import OVERLAYS
from sim.app.state.touch_record import OpenThing
from sim.app.state.window_layout import Rect, layout
from sim.app.view import lying_wires
from sim.app.view.touch import TouchScreen
from sim.app.window import Window

SIZE = (960, 600)
Until = Callable[[Window, Callable[[], bool]], None]


def seen(window: Window) -> np.ndarray:
    """(W, H, 3) what is on the window."""
    window.step(0.0)
    return pygame.surfarray.array3d(window.surface).astype(int)


def house_of(window: Window) -> np.ndarray:
    picture = layout(window.state).picture
    return seen(window)[: picture.w, : picture.h]


def test_house_ribbon_and_figures_are_there(window: Window) -> None:
    parts = layout(window.state)
    assert window.state.facts is not None
    assert window.state.facts.house == "Shed"
    for place in (parts.picture, parts.ribbon, parts.tools):
        part = seen(window)[place.x : place.right, place.y : place.bottom]
        assert part.std() > 5
    load = window.backstage.loads["left"]
    assert load.ready == 1.0
    assert len(load.total_a) == window.state.facts.frames
    assert window.state.ceiling is not None


def test_the_ribbon_holds_the_amps_of_the_frame_on_show(window: Window) -> None:
    window.do(act.Seek(1.3))
    window.step(0.0)
    shown = window.shown
    assert shown is not None
    assert shown.left is not None
    total_a = window.backstage.loads["left"].total_a
    assert shown.left.supply_a.sum() == pytest.approx(total_a[window.state.frame], abs=1e-6)


def test_a_broken_file_shows_where_and_keeps_the_last_good_picture(
    window: Window,
    house_file: Path,
    until: Until,
) -> None:
    before, good = window.shown, house_file.read_text()
    house_file.write_text(good.replace("standoff", "standof", 1))
    until(window, lambda: bool(window.state.problems))
    problem = window.state.problems[0]
    line = next(n for n, text in enumerate(good.splitlines(), 1) if "standoff" in text)
    assert (problem.file, problem.line) == (str(house_file), line)
    assert window.shown is before
    window.do(act.Set("hour", "dusk"))  # the last good house still follows what one wants to see
    until(window, lambda: window.shown is not before)
    assert window.state.problems
    before = window.shown
    house_file.write_text(good.replace("[5, 2.35]", "[4, 2.35]"))
    until(window, lambda: not window.state.problems and window.backstage.idle)
    assert window.shown is not before


def test_a_file_broken_from_the_start_can_be_mended(
    house_file: Path,
    monkeypatch: pytest.MonkeyPatch,
    until: Until,
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    good = house_file.read_text()
    house_file.write_text("format: [\n")
    one = Window(house_file, size_px=SIZE, scale=1.0)
    try:
        until(one, lambda: bool(one.state.problems))
        assert one.shown is None
        house_file.write_text(good)
        until(one, lambda: one.shown is not None)
        assert not one.state.problems
        assert one.state.facts is not None
        assert one.state.facts.scheme == "Plain"
    finally:
        one.close()


def test_a_house_without_a_scheme_or_a_supply_is_shown_dark(
    house_file: Path,
    monkeypatch: pytest.MonkeyPatch,
    until: Until,
) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    for scheme in house_file.parent.glob("*.scheme.yaml"):
        scheme.unlink()
    text = house_file.read_text()
    unpowered = text[: text.index("supplies:")] + text[text.index("outputs:") :]
    house_file.write_text(unpowered)
    one = Window(house_file, size_px=SIZE, scale=2.0)
    try:
        until(one, lambda: one.shown is not None and one.backstage.idle)
        one.do(act.ToggleDrawer())
        for action in (act.Focus(1), act.Nudge(1), act.PlayPause(), act.Step(1), act.Select(3),
                       act.ToggleOverlay("wires"), act.ToggleOverlay("zones"),
                       act.ToggleCompare(), act.WriteValues()):  # fmt: skip
            one.do(action)
            one.step(0.1)
        until(one, lambda: one.backstage.idle and one.backstage.stage.right is not None)
        assert not one.state.problems
    finally:
        one.close()


def test_values_are_written_to_the_scheme_file_and_nothing_else(
    window: Window,
    house_file: Path,
    until: Until,
) -> None:
    scheme = house_file.parent / "winter.scheme.yaml"
    before = scheme.read_text()
    window.do(act.Set("brightness", 0.35))
    window.do(act.Set("0.speed", 1.5))
    window.do(act.Set("1.opacity", 0.2))
    assert window.state.changed
    window.do(act.WriteValues())
    until(window, lambda: not window.state.changed)
    expected = before.replace("0.8   # as", "0.35   # as").replace("speed: 0.5", "speed: 1.5")
    assert scheme.read_text() == expected.replace("opacity: 0.5", "opacity: 0.2")
    assert window.state.shown_brightness == 0.35


def test_a_file_that_cannot_be_written_is_said(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.app.work.saving.write_edits", full)
    window.do(act.Set("brightness", 0.35))
    window.do(act.WriteValues())
    assert window.state.message is not None
    assert "No space left" in window.state.message.text
    assert window.state.changed


@pytest.mark.parametrize("overlay", OVERLAYS)
def test_every_overlay_changes_the_house_and_goes_again(window: Window, overlay: str) -> None:
    plain = house_of(window)
    window.do(act.ToggleOverlay(overlay))
    assert np.abs(house_of(window) - plain).max() > 60
    window.do(act.ToggleOverlay(overlay))
    assert (house_of(window) == plain).all()


def test_left_of_the_divider_is_the_picture_of_one_kind_alone(window: Window, until: Until) -> None:
    alone = house_of(window)
    window.do(act.ToggleCompare())
    until(window, lambda: window.backstage.idle and window.backstage.stage.right is not None)
    stage = window.backstage.stage
    assert stage is not None
    window.do(act.MoveDivider(0.6))
    both = house_of(window)
    split = round(layout(window.state).picture.w * 0.6)
    below = slice(80, None)  # the names of the kinds stand above
    assert (both[: split - 20, below] == alone[: split - 20, below]).all()
    assert (both[split + 20 :, below] != alone[split + 20 :, below]).any()
    assert set(window.backstage.loads) == {"left", "right"}


def test_one_exposure_whatever_the_kind(window: Window, until: Until) -> None:
    before = window.backstage.stage
    window.do(act.Set("kind", "sk6812-rgbw-warm"))
    until(window, lambda: window.backstage.idle and window.backstage.stage is not before)
    assert window.backstage.stage.exposure_ev == before.exposure_ev


def test_a_kind_of_another_voltage_gets_supplies_that_suit_it_and_says_so(
    window: Window, until: Until
) -> None:
    window.do(act.Set("kind", "ws2815"))
    until(window, lambda: window.backstage.idle and window.backstage.stage.left.kind == "ws2815")
    supply = window.backstage.stage.left.rig.house.supplies[0]
    assert (supply.volts, supply.rated_a) == (12.0, pytest.approx(2 * 5 / 12))
    assert window.state.message is not None
    assert "supply box taken as 12 V" in window.state.message.text


def test_solo_and_mute_reach_the_light(window: Window) -> None:
    window.do(act.Set("0.hide", True))
    window.do(act.Set("1.hide", True))
    window.step(0.0)
    assert window.shown.left.codes.max() == 0
    window.do(act.Set("1.only", True))
    window.step(0.0)
    lit = window.shown.left.codes.any(axis=1)
    assert not lit[:40].any()
    assert lit[40:].all()


def test_reduced_flashing_lets_the_light_follow_slowly(window: Window) -> None:
    window.do(act.Set("calm", True))
    window.step(1.0)
    lit = house_of(window)
    window.do(act.Set("brightness", 0.0))
    window.step(1 / 60)
    soon = house_of(window)
    for _ in range(400):
        window.step(1 / 60)
    late = house_of(window)
    assert np.abs(lit - soon).max() < 12
    assert np.abs(lit - late).max() > 60


@pytest.mark.parametrize(("size", "scale"), [((640, 400), 2.0), ((1600, 900), 1.0),
                                             ((1280, 720), 1.5), ((500, 900), 1.25),
                                             ((160, 120), 1.0)])  # fmt: skip
def test_everything_open_at_many_sizes(
    window: Window, size: tuple[int, int], scale: float, until: Until
) -> None:
    while window.state.scale != scale:
        window.do(act.Zoom(1))
    window.surface = pygame.display.set_mode(size, pygame.RESIZABLE)
    window.do(act.Resize(size))
    window.do(act.ToggleDrawer())
    window.do(act.Select(12))
    for overlay in OVERLAYS:
        window.do(act.ToggleOverlay(overlay))
    for _ in range(30):
        window.do(act.Focus(1))
        window.step(0.02)
    until(window, lambda: window.backstage.idle)
    parts = layout(window.state)
    assert window.shown.left_image.shape == (parts.picture.h, parts.picture.w, 3)
    window.do(act.ToggleHelp())
    window.step(0.0)


def test_the_focused_control_is_in_sight(window: Window, until: Until) -> None:
    window.do(act.ToggleDrawer())
    for _ in range(10):
        window.step(0.1)
    window.do(act.Focus(-1))
    for _ in range(3):
        window.step(0.1)
    parts, state = layout(window.state), window.state
    row = next(row for row in window._screen.rows
               if row.control is not None and row.control.id == state.focus)  # fmt: skip
    top = row.place.y - state.scroll * state.scale
    assert top >= 0
    assert top + row.place.h <= parts.drawer.h
    until(window, lambda: window.backstage.idle)


def test_of_no_tag_of_a_wire_a_half_is_seen_beside_a_card(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[list[int]] = []
    monkeypatch.setattr(
        lying_wires, "draw_tags", lambda _, tags, told: drawn.append([one.number for one in tags])
    )
    window.do(act.ToggleOverlay("wires"))
    window.step(0.0)
    all_of_them = drawn[-1]
    covered = window._screen.touch.tags[0]
    monkeypatch.setattr(TouchScreen, "card_place", property(lambda _: covered))
    window.do(act.Say("drawn anew"))
    drawn.clear()
    window.step(0.0)
    assert all_of_them
    assert drawn[-1] == all_of_them[1:]


def test_tags_are_drawn_off_the_card_as_it_stands_though_nothing_else_happens(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A card finds its place after the tags are drawn, and what stands still is not drawn again."""
    beside: list[Rect | None] = []
    draw = lying_wires.LyingWires.draw

    def watched(self: lying_wires.LyingWires, *what: Any) -> None:
        beside.append(what[-1])
        draw(self, *what)

    monkeypatch.setattr(lying_wires.LyingWires, "draw", watched)
    window.do(act.ToggleOverlay("wires"))
    for _ in range(8):
        window.step(0.25)  # no event for long
    beside.clear()
    window.do(OpenThing(next(one for one in window.state.touch.things if one.form == "wire")))
    for _ in range(8):
        window.step(0.25)
    assert window._screen.touch.card_place is not None
    assert beside[-1] == window._screen.touch.card_place
    assert len(beside) < 8  # and it comes to rest
