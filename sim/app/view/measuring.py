"""The dialogue of measurements, drawn: the house, the line of facts, the panel."""

from __future__ import annotations

import numpy as np
import pygame

from layouts.provenance import split_tag
from layouts.units import length_text
from sim.app.state import measuring as ms
from sim.app.state.formed import FormFacts, FormPicture
from sim.app.state.measuring import Measuring
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.measuring_panel import PanelSeen, draw_panel
from sim.app.view.panel_parts import segments
from sim.app.view.ribbon import CAUTIONS


class MeasuringScreen:
    """Keeps the house at the size it is shown; all else comes from the state."""

    def __init__(self) -> None:
        self.seen = PanelSeen((), 0.0, 0.0)
        self.buttons: tuple[tuple[str, Rect], ...] = ()
        self._of: FormPicture | None = None
        self._house: pygame.Surface | None = None

    def draw(
        self,
        brush: Brush,
        state: Measuring,
        picture: FormPicture | None,
        facts: FormFacts | None,
        pointer: tuple[int, int] | None,
    ) -> None:
        """Everything. `pointer` is where the mouse is, None where the keys are used."""
        place = ms.picture(state)
        brush.fill(place, theme.NIGHT)
        if picture is not None:
            house = self._sized(picture, (place.w, place.h))
            brush.surface.blit(house, (place.x, place.y))
        else:
            words = "Drawing the house…"
            brush.text(words, place.w / 2, place.h / 2, theme.QUIET, align="centre")
        self.seen = draw_panel(brush, state, pointer)
        self.buttons = (*self.seen.buttons, *_facts(brush, state, facts))

    def _sized(self, picture: FormPicture, size: tuple[int, int]) -> pygame.Surface:
        if picture is not self._of or self._house is None or self._house.get_size() != size:
            made = pygame.surfarray.make_surface(np.swapaxes(picture.rgb, 0, 1))
            if made.get_size() != size:
                made = pygame.transform.smoothscale(made, size)
            self._house, self._of = made, picture
        return self._house


def _facts(brush: Brush, state: Measuring, facts: FormFacts | None) -> list[tuple[str, Rect]]:
    """Below the house: how it is shown, and what it would need, with the caution beside it."""
    place = ms.picture(state)
    bar = Rect(0, place.bottom, place.w, state.size_px[1] - place.bottom)
    brush.fill(bar, theme.PANEL)
    brush.across(bar.x, bar.right, bar.y)
    brush.surface.set_clip(pygame.Rect(bar))
    pad, narrow = brush.px(16), ms.narrow(state)
    high = brush.px(28)
    wide = bar.w - 2 * pad if narrow else brush.px(216)
    y = bar.bottom - high - brush.px(9) if narrow else bar.y + (bar.h - high) // 2
    box = Rect(bar.right - pad - wide, y, wide, high)
    if facts is not None:
        room = bar.w - 2 * pad if narrow else box.x - 2 * pad
        y = bar.y + brush.px(8)
        fits = (one for one in CAUTIONS if brush.size(one, theme.SMALL)[0] <= room)
        caution = next(fits, CAUTIONS[-1])
        for words, size, colour in _lines(facts, state, narrow, caution):
            brush.text(words, pad, y, colour, size, width=room)
            y += brush.px(size + 8)
    choices = tuple(ms.SIGHTS.items())
    pressed = segments(brush, "sight", box, choices, state.sight, state.focus == "sight")
    brush.surface.set_clip(None)
    return pressed


def _lines(
    facts: FormFacts, state: Measuring, narrow: bool, caution: str
) -> tuple[tuple[str, float, theme.Colour], ...]:
    units = state.forming.units
    step_m = 0.0254 if units in ("ft", "in") else 0.1  # a total to the hair helps nobody
    metres = round(facts.length_m / step_m) * step_m
    runs = f"{facts.runs} run{'s' if facts.runs != 1 else ''} · {length_text(metres, units)}"
    pixels, watts = f"{facts.pixels} pixels", f"{facts.full_white_w:.0f} W at full white"
    none = "No supplies yet: the plan makes them."
    if narrow:
        return (
            (f"{runs} · {pixels}", theme.SMALL, theme.WARM),
            (f"{watts} [{split_tag(facts.said)[1]}]", theme.SMALL, theme.WARM),
            (none, theme.SMALL, theme.FAINT),
            (caution, theme.SMALL, theme.FAINT),
        )
    said = f" Current of {facts.said}." if facts.said else ""
    return (
        (f"{runs} · {pixels} · {watts}", theme.BODY, theme.WARM),
        (none + said, theme.SMALL, theme.FAINT),
        (caution, theme.SMALL, theme.FAINT),
    )
