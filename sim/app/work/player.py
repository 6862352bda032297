"""From state and stage to the frame on show: computed once, kept while nothing has changed."""

from __future__ import annotations

import numpy as np

from effects import Show, bind
from sim.app.state.choosing import tried
from sim.app.state.record import State
from sim.app.state.shown import Shown, Side, Stage
from sim.app.work.file_facts import edited
from sim.app.work.flash_limiter import limited
from sim.frame import Frame, frame, frame_of
from sim.light import picture


class Player:
    """Turns times into frames and pictures."""

    def __init__(self) -> None:
        #: Codes from elsewhere in the scheme's place, with a number that changes whenever they do.
        self.codes: tuple[int, np.ndarray] | None = None
        self._show_key: tuple[object, ...] = ()
        self._show: Show | None = None
        self._key: tuple[object, ...] = ()
        self._shown: Shown | None = None
        self._light: dict[str, np.ndarray] = {}  # as shown, while flashing is reduced
        self._settled = True  # whether that is what is wanted

    def show(self, state: State, stage: Stage) -> Show | None:
        """The scheme with the window's edits, bound to the house."""
        page = state.choosing
        key = (stage.scheme, stage.house, state.edits, state.order, state.hidden, state.only,
               state.colour, state.white, page and (page.page, page.layer, page.tried))  # fmt: skip
        if key != self._show_key:
            self._show_key = key
            self._show = (
                bind(stage.house, edited(stage.scheme, tried(state))) if stage.scheme else None
            )
        return self._show

    def shown(self, state: State, stage: Stage, seconds: float) -> Shown:
        """The frame and picture of a state; `seconds` have passed since the last."""
        if stage.ready is not None:
            if self._shown is None or self._shown.stage is not stage:
                self._key = ()
                made = stage.ready
                self._shown = Shown(stage, made.show, made.frame, None, made.image, None)
            return self._shown
        show = self.show(state, stage)
        key = (show, stage, state.frame, state.shown_brightness, state.exposure_offset_ev,
               state.calm, self.codes and self.codes[0])  # fmt: skip
        moving = state.calm and not self._settled
        if key == self._key and self._shown is not None and not moving:
            return self._shown
        self._key = key
        if not state.calm:
            self._light.clear()
        time_s, bright = state.frame_s, state.shown_brightness
        exposure_ev = stage.exposure_ev + state.exposure_offset_ev
        self._settled = True
        left, left_image = self._one(
            "left", stage.left, show, time_s, bright, exposure_ev, state, seconds
        )
        right, right_image = None, None
        if stage.right is not None:
            right, right_image = self._one("right", stage.right, show, time_s, bright, exposure_ev,
                                           state, seconds)  # fmt: skip
        self._shown = Shown(stage, show, left, right, left_image, right_image)
        return self._shown

    def _one(
        self, name: str, side: Side, show: Show | None, time_s: float, brightness: float,
        exposure_ev: float, state: State, seconds: float,
    ) -> tuple[Frame | None, np.ndarray]:  # fmt: skip
        if self.codes is not None:
            made: Frame | None = frame_of(side.rig, self.codes[1])
        else:
            made = frame(side.rig, show, time_s, brightness) if show else None
        light = made.light if made else np.zeros((len(side.rig.house.pixels), 4), np.float32)
        if state.calm:
            before = self._light.get(name)
            if before is not None and before.shape == light.shape:
                calmed = limited(before, light, seconds).astype(np.float32)
                self._settled = self._settled and np.array_equal(calmed, light)
                light = calmed
            self._light[name] = light
        return made, picture(side.scene, light, exposure_ev=exposure_ev)
