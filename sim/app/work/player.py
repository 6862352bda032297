"""From state and stage to the frame on show: computed once, kept while nothing has changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from effects import Show, bind
from sim.app.state.choosing import tried
from sim.app.state.mending import broken_now
from sim.app.state.record import State
from sim.app.state.shown import Shown, Side, Stage
from sim.app.work.ahead import SLACK_S, Ahead
from sim.app.work.broken_frame import BrokenRigs, frame_now
from sim.app.work.file_facts import edited
from sim.app.work.flash_limiter import limited
from sim.frame import Frame, frame_of
from sim.light import screen_picture

if TYPE_CHECKING:
    from sim.upkeep import BrokenRig


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
        self._ahead, self._rigs = Ahead(), BrokenRigs()
        self._since_s = 0.0  # how long the picture on show has been there

    def close(self) -> bool:
        """End the thread that works ahead; whether it ended at once."""
        return self._ahead.close()

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
        """The frame and picture of a state; `seconds` have passed since the last.

        While a scheme plays the next frame is made beside, and the one before stays until then.
        """
        self._since_s += seconds
        if stage.ready is not None:
            if self._shown is None or self._shown.stage is not stage:
                self._key = ()
                made = stage.ready
                self._shown = Shown(stage, made.show, made.frame, None, made.image, None)
            return self._shown
        show = self.show(state, stage)
        base = (show, stage, state.shown_brightness, state.exposure_offset_ev,
                state.calm, self.codes and self.codes[0], broken_now(state))  # fmt: skip
        key = (*base, state.frame)
        moving = state.calm and not self._settled
        if key == self._key and self._shown is not None and not moving:
            return self._shown
        if self._flows(base, state):
            return self._flowing(base, state, stage, show)
        self._ahead.drop()
        self._key, self._since_s = key, 0.0
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

    def _flows(self, base: tuple[object, ...], state: State) -> bool:
        """Whether nothing but the time has changed, and that by itself."""
        if self._shown is None or self._shown.show is None or base != self._key[:-1]:
            return False
        if not state.playing or state.drag or state.calm or self.codes or state.facts is None:
            return False
        before = self._key[-1]
        assert isinstance(before, int)
        passed = (state.frame - before) % max(state.facts.frames, 1)
        return passed / state.facts.fps <= self._since_s + SLACK_S

    def _flowing(
        self, base: tuple[object, ...], state: State, stage: Stage, show: Show | None
    ) -> Shown:
        """The newest picture that is ready; the one after it is asked for."""
        assert self._shown is not None
        assert state.facts is not None
        found = self._ahead.take(base)
        number = state.frame
        if found is not None:
            self._key, self._since_s = (*base, found[0]), 0.0
            self._shown = found[1]
            number = (state.frame + 1) % max(state.facts.frames, 1)
        if not self._ahead.pending(base):
            time_s, bright = number / state.facts.fps, state.shown_brightness
            exposure_ev = stage.exposure_ev + state.exposure_offset_ev

            faults = broken_now(state)
            rigs = [
                (side, self._rigs.of(side.rig, faults) if side else None)
                for side in (stage.left, stage.right)
            ]

            def made() -> Shown:
                sides = [
                    (None, None) if side is None else _pictured(side, ill, show, time_s, bright,
                                                                exposure_ev)
                    for side, ill in rigs
                ]  # fmt: skip
                (left, image), (right, other) = sides
                assert image is not None  # there is always a left side
                return Shown(stage, show, left, right, image, other)

            self._ahead.ask(base, number, made)
        return self._shown

    def _one(
        self, name: str, side: Side, show: Show | None, time_s: float, brightness: float,
        exposure_ev: float, state: State, seconds: float,
    ) -> tuple[Frame | None, np.ndarray]:  # fmt: skip
        if self.codes is not None:
            made: Frame | None = frame_of(side.rig, self.codes[1])
        else:
            ill = self._rigs.of(side.rig, broken_now(state))
            made = frame_now(side.rig, ill, show, time_s, brightness) if show else None
        light = _light(side, made)
        if state.calm:
            before = self._light.get(name)
            if before is not None and before.shape == light.shape:
                calmed = limited(before, light, seconds).astype(np.float32)
                self._settled = self._settled and np.array_equal(calmed, light)
                light = calmed
            self._light[name] = light
        return made, screen_picture(side.scene, light, exposure_ev=exposure_ev)


def _pictured(
    side: Side, ill: BrokenRig | None, show: Show | None, time_s: float, brightness: float,
    exposure_ev: float,
) -> tuple[Frame | None, np.ndarray]:  # fmt: skip
    """Frame and picture of one side at a time [s]."""
    made = frame_now(side.rig, ill, show, time_s, brightness) if show else None
    if made is not None:  # what the window tells of it is worked out here too, and kept with it
        _ = made.volts, made.supply_a, made.wire_a
    return made, screen_picture(side.scene, _light(side, made), exposure_ev=exposure_ev)


def _light(side: Side, made: Frame | None) -> np.ndarray:
    """(N, C) of every pixel; dark without a frame."""
    house = side.rig.house
    return made.light if made else np.zeros((len(house.pixels), len(house.channels)), np.float32)
