"""The ribbon in the window: events of the mouse, and what they never start."""

from __future__ import annotations

import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state.ribbon_places import mark_places
from sim.app.state.window_layout import layout
from sim.app.window import Window


def post(kind: int, x: int, y: int, button: int = 1) -> None:
    more = (
        {"button": button} if kind != pygame.MOUSEMOTION else {"rel": (1, 0), "buttons": (0,) * 3}
    )
    pygame.event.post(pygame.event.Event(kind, pos=(x, y), **more))


def test_the_ribbon_by_mouse_and_what_never_measures_again(
    window: Window, until, monkeypatch: pytest.MonkeyPatch
) -> None:
    curve = layout(window.state).curve
    y = curve.y + curve.h // 2
    begun = window.backstage.desk.begun

    # the other button draws the part that repeats, and ends where it is let go
    post(pygame.MOUSEBUTTONDOWN, curve.x + curve.w // 4, y, 3)
    post(pygame.MOUSEMOTION, curve.x + curve.w // 2, y)
    post(pygame.MOUSEBUTTONUP, curve.x + curve.w // 2, y, 3)
    window.step(0.0)
    span_s = window.state.facts.span_s
    assert window.state.ribbon.loop == pytest.approx((span_s / 4, span_s / 2), abs=0.03)
    assert window.state.drag is None

    # what is pointed at is told once it is worked out, and drawn
    until(window, lambda: window.state.ribbon.instant is not None)
    layers = [name for name, _ in window.state.ribbon.instant.layers]
    assert layers == ["chase on both", "steady on door"]

    # the wheel over the axis zooms about the pointer; a double click shows all again
    monkeypatch.setattr(pygame.mouse, "get_pos", lambda: (curve.x + curve.w // 2, curve.bottom + 3))
    pygame.event.post(pygame.event.Event(pygame.MOUSEWHEEL, x=0, y=4))
    window.step(0.0)
    begin_s, end_s = window.state.ribbon.window
    assert begin_s + end_s == pytest.approx(span_s, rel=0.01)
    for _ in range(2):
        post(pygame.MOUSEBUTTONDOWN, curve.x + 40, y)
        post(pygame.MOUSEBUTTONUP, curve.x + 40, y)
    window.step(0.0)
    assert window.state.ribbon.window is None

    # a mark is a link
    peak = next(one for one in mark_places(window.state, layout(window.state)))
    post(pygame.MOUSEBUTTONDOWN, peak.place.x + 2, peak.place.y + 2)
    window.step(0.0)
    assert window.state.time_s == peak.mark.time_s

    # none of these is another current
    for change in (act.ToggleDrawer(), act.Resize((900, 560)), act.Nudge(1, "hour"),
                   act.Expose(0.5), act.Zoom(1), act.ToggleOverlay("volts")):  # fmt: skip
        window.do(change)
        until(window, lambda: window.backstage.idle)
    assert window.backstage.desk.begun == begun
    assert window.backstage.loads["left"].whole
