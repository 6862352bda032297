"""Amperes that can be read while a scheme plays: told four times a second, not at every frame."""

from __future__ import annotations

from sim.app.state.shown import Shown

#: So long a figure stands while a scheme plays [s].
EVERY_S = 0.25


class HeldFigures:
    """Which frame the words of the window tell of."""

    def __init__(self) -> None:
        self._shown: Shown | None = None
        self._left_s = 0.0
        self.frame = 0  # the number of that frame

    def of(
        self, shown: Shown | None, playing: bool, seconds: float, frame: int = 0
    ) -> Shown | None:
        """The frame on show, of a number, or one of the same stage and scheme shown a moment
        before."""
        self._left_s -= seconds
        told = self._shown
        if (
            told is None or shown is None or not playing or self._left_s <= 0
            or told.stage is not shown.stage or told.show is not shown.show
        ):  # fmt: skip
            if shown is not told:
                self._left_s = EVERY_S
            self._shown, self.frame = shown, frame
            told = shown
        return told
