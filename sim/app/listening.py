"""A window that shows what arrives over the network on the house."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pygame

from sim.app.state import actions as act
from sim.app.state.listening import Listened, looks_at_worst, shown_now, told
from sim.app.state.listening_keys import is_taken
from sim.app.state.window_layout import layout
from sim.app.view.listening import ListeningScreen
from sim.app.window import LIVELY_S, Window
from sim.app.work.ear import Ear, Turns
from sim.app.work.guard import in_words, write_down
from sim.compiling import share_compiling

OTHER_HOUSE = "The house file was changed: close this window and listen again"


def run_listening(house_path: str | Path, turns: Turns, *, scale: float | None = None) -> bool:
    """Listen in a window until it is closed or the turns end; whether anything was dangerous."""
    share_compiling("screen")
    window = ListeningWindow(house_path, turns, scale=scale)
    try:
        window.run()
    finally:
        window.close()
    return window.ear.dangerous


class ListeningWindow(Window):
    """The window of a house, and an ear in the place of a scheme."""

    def __init__(
        self,
        house_path: str | Path,
        turns: Turns,
        *,
        scale: float | None = None,
        size_px: tuple[int, int] | None = None,
    ):
        super().__init__(house_path, scale=scale, size_px=size_px)
        # "" is no scheme at all, not the one beside the house
        self.state = replace(self.state, scheme_path="", drawer=True, drawer_open=1.0)
        self._screen = self._heard_screen = ListeningScreen()
        self.heard = Listened()
        self._number = 0  # of the codes taken from the ear
        self._serial = 0  # of the codes on show
        self._last: np.ndarray | None = None
        self.ear = Ear(turns)

    def close(self) -> bool:
        """End the ear too."""
        self.ear.close()
        return super().close()

    def step(self, seconds: float) -> None:
        """A turn of the loop, after what arrived was taken."""
        self.guard.run("listening", self._hear_packets)
        super().step(seconds)
        if self.ear.ended:
            self.running = False

    def _hear_packets(self) -> None:
        for each in self.ear.drain():
            if isinstance(each, Exception):
                write_down("listening", each)
                self.do(act.Failed(in_words("listening", each)))
                continue
            self.heard = told(self.heard, each)
            self._lively_s = LIVELY_S
        codes = self.ear.codes
        if codes is not None and codes[0] != self._number:
            self._number = codes[0]
            self.heard = shown_now(self.heard, codes[1])
        shown = self.heard.shown
        if shown is not None and shown is not self._last:
            self._last, self._serial = shown, self._serial + 1
            self._player.codes = (self._serial, shown)

    def _play(self, seconds: float) -> None:
        stage, codes = self.backstage.stage, self._player.codes
        if stage is not None and codes is not None and len(codes[1]) != len(stage.house.pixels):
            self.do(act.Say(OTHER_HOUSE))
            return
        super()._play(seconds)

    def _do(self, action: act.Action) -> None:
        if isinstance(action, act.PlayPause):
            self.heard = looks_at_worst(self.heard, not self.heard.at_worst)
            self._lively_s = LIVELY_S
        elif isinstance(action, act.Quit):
            self.running = False
        elif is_taken(action):
            super()._do(action)
            if self.state.scheme_path is None:  # as after reading a house without a scheme
                self.state = replace(self.state, scheme_path="")

    def _actions(self, event: pygame.event.Event) -> Iterator[act.Action]:
        """The wheel over the panel moves it; everything else as in any window."""
        if event.type == pygame.MOUSEWHEEL and self.state.drawer:
            parts = layout(self.state)
            if parts.drawer.holds(*pygame.mouse.get_pos()):
                limit = max(self._screen.content_px - parts.drawer.h, 0)
                yield act.Scroll(-48 * event.y, limit / parts.scale)
                return
        yield from super()._actions(event)

    def _draw(self, seconds: float) -> None:
        self._heard_screen.heard = self.heard
        self._heard_screen.draw_heard(self.surface, self.state, self.shown, self.fps, seconds)
        self._name()
        pygame.display.flip()
