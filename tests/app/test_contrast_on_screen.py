"""Words against their ground, measured on the pixels of the window as it is drawn.

WCAG 2.2, success criterion 1.4.3 (Contrast, Minimum): 4.5 to 1. Relative luminance and contrast
ratio as WCAG 2.2 defines them. What cannot be pressed now is exempt there, and left out here.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state.names import named
from sim.app.state.touch_record import OpenThing
from sim.app.state.window_layout import Rect, layout
from sim.app.view.brush import Brush
from sim.app.window import Window

Until = Callable[..., None]
LEAST = 4.5


def luminance(codes: np.ndarray) -> np.ndarray:
    """WCAG 2.2, "relative luminance", of sRGB codes (…, 3)."""
    share = codes / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return np.asarray(linear @ np.array([0.2126, 0.7152, 0.0722]))


def measured(codes: np.ndarray) -> float:
    """The contrast of a piece with words on it, codes (w, h, 3): its ground is what there is most
    of, its ink the pixels farthest from that (the strongest 3 %, as edges are softened)."""
    found = np.sort(luminance(codes).ravel())
    ground = float(np.median(found))
    few = max(round(len(found) * 0.03), 1)
    inks = (float(found[:few].mean()), float(found[-few:].mean()))
    return max((max(ground, ink) + 0.05) / (min(ground, ink) + 0.05) for ink in inks)


def test_the_measure_itself() -> None:
    # the ends of the scale as WCAG 2.2 has them: 1 and 21
    white_on_black = np.zeros((40, 10, 3))
    white_on_black[:4] = 255
    assert measured(white_on_black) == pytest.approx(21.0)
    assert measured(np.full((40, 10, 3), 90)) == pytest.approx(1.0)
    # grey 767676 on white is the often quoted limit of 4.54 to 1 (WebAIM contrast checker)
    grey = np.full((40, 10, 3), 255)
    grey[:4] = 0x76
    assert measured(grey) == pytest.approx(4.54, abs=0.01)


class Words:
    """Keeps what is written, and where it stands in the window."""

    def __init__(self, window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
        self.window = window
        self.found: list[tuple[str, pygame.Surface, pygame.Rect]] = []
        plain = Brush.text

        def text(brush: Brush, said: str, *args: object, **more: object) -> Rect:
            place = plain(brush, said, *args, **more)  # type: ignore[arg-type]
            seen = pygame.Rect(place).clip(brush.surface.get_clip())
            if said.strip() and seen.w == place.w and seen.h == place.h:
                self.found.append((said, brush.surface, seen))
            return place

        monkeypatch.setattr(Brush, "text", text)

    def afresh(self) -> None:
        """Draw all anew: with other colours and back, so that nothing kept is laid."""
        window = self.window
        window.do(act.Set("contrast", True))
        window.step(0.3)
        window.do(act.Set("contrast", False))
        self.found.clear()
        window.step(0.3)

    def weak(self, within: Rect) -> list[tuple[str, float]]:
        """Words inside a part of the window whose contrast is too low."""
        parts = layout(self.window.state)
        screen = pygame.surfarray.array3d(self.window.surface)
        weak, count = [], 0
        for said, surface, seen in self.found:
            place = seen
            if surface.get_size() == tuple(parts.ribbon[2:]):
                place = seen.move(parts.ribbon[:2])
            elif surface is not self.window.surface and surface.get_size() != parts.picture[2:]:
                if surface.get_flags() & pygame.SRCALPHA == 0:
                    continue
                under = pygame.Surface(surface.get_size())  # a piece laid on the night
                under.blit(surface, (0, 0))
                piece = pygame.surfarray.array3d(under)
                ratio = measured(piece[seen.x : seen.right, seen.y : seen.bottom])
                count += 1
                weak += [(said, round(ratio, 2))] if ratio < LEAST else []
                continue
            if not pygame.Rect(within).contains(place):
                continue
            count += 1
            ratio = measured(screen[place.x : place.right, place.y : place.bottom])
            weak += [(said, round(ratio, 2))] if ratio < LEAST else []
        assert count >= 3  # something was measured
        return weak


def test_words_of_drawer_ribbon_row_and_cards_stand_out(
    window: Window, until: Until, monkeypatch: pytest.MonkeyPatch
) -> None:
    until(window, lambda: window.backstage.idle)
    words = Words(window, monkeypatch)
    monkeypatch.setattr(pygame.mouse, "get_pos", lambda: (0, 0))
    window.do(act.ToggleDrawer())
    window.do(act.Set("brightness", 0.4))
    until(window, lambda: window.backstage.idle)
    parts = layout(window.state)
    words.afresh()
    assert words.weak(parts.drawer) == []
    assert words.weak(parts.ribbon) == []
    screen = pygame.surfarray.array3d(window.surface)
    lines = [line for line in named(window.state, window._screen.seen) if line.place is not None]
    pressed = [line for line in lines if (not line.off and line.role in ("button", "combobox")
               and line.place.meets(parts.drawer)) or line.id.startswith("tool")]  # fmt: skip
    faint = []
    for line in pressed:
        place = pygame.Rect(line.place).clip(window.surface.get_rect())
        if line.off or place.size != (line.place.w, line.place.h) or line.id.endswith("back"):
            continue
        inner = place.inflate(-8, -8)
        ratio = measured(screen[inner.x : inner.right, inner.y : inner.bottom])
        faint += [(line.id, round(ratio, 2))] if ratio < LEAST else []
    assert faint == []
    window.do(act.ToggleDrawer())
    until(window, lambda: window.backstage.idle)
    things = window.state.touch.things
    for form in ("run", "wire", "supply"):
        window.do(OpenThing(next(thing for thing in things if thing.form == form)))
        words.afresh()
        card = window._screen.touch.touchable.card
        assert card is not None
        assert words.weak(card.card) == [], form
    window.do(OpenThing(None))
    window.do(act.ToggleOverlay("wires"))
    words.afresh()
    assert words.weak(layout(window.state).picture) == []
