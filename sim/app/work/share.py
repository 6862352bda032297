"""A picture or a film of the house alone, made on a thread of its own while the window goes on."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from effects import Show
from layouts import EvenfallError
from layouts.faults import Fault
from sim.app.state.actions import Action, Say
from sim.app.state.feedback import Making
from sim.app.state.feedback_actions import NotShared, Shared, SharedSoFar
from sim.app.state.mending import broken_now
from sim.app.state.record import State
from sim.app.state.sharing import FILM_S, stem
from sim.app.state.shown import Shown, Side
from sim.app.work.broken_frame import BrokenRigs, frame_now
from sim.app.work.guard import in_words, write_down
from sim.app.work.share_files import open_folder, save
from sim.app.work.share_picture import CAPTION, captioned
from sim.app.work.worker import Alive, Worker
from sim.film_files import encoded, frame_rate
from sim.frame import scene
from sim.light import Scene, picture

#: How large they are, whatever the window is [px].
PICTURE_PX, FILM_PX = (1920, 1080), (1280, 720)
#: How much of the work making the scenes is taken for.
_SCENES = 0.1

#: callback(share) of what is done, 0..1.
Progress = Callable[[float], None]


class _SharingDropped(Exception):
    """Nobody waits for it any more."""


@dataclass(frozen=True, eq=False)
class Take:
    """All that a picture or a film is made from, as it stood when it was asked for."""

    sides: tuple[Side, ...]  # one, or left and right of the divider
    divider: float
    show: Show | None
    hour: str
    exposure_ev: float
    brightness: float
    at_s: float
    house_file: str
    stem: str
    house: str
    words: str
    faults: tuple[Fault, ...] = ()  # broken for a trial


def take_of(state: State, shown: Shown) -> Take:
    """What is on show now."""
    facts, stage = state.facts, shown.stage
    assert facts is not None
    sides = (stage.left,) if stage.right is None else (stage.left, stage.right)
    kinds = " | ".join(
        ", ".join(dict.fromkeys(run.kind.name for run in side.rig.house.runs)) for side in sides
    )
    scheme = facts.scheme if facts.scheme_file else ""
    faults = broken_now(state)
    words = [scheme, kinds if len(sides) > 1 or state.kind else ""]
    words.append(f"{len(faults)} broken for a trial" if faults else "")
    return Take(
        sides, state.divider, shown.show, state.hour, stage.exposure_ev + state.exposure_offset_ev,
        state.shown_brightness, state.frame_s, state.house_path, stem(facts), facts.house,
        " · ".join(word for word in words if word), faults,
    )  # fmt: skip


class Sharing:
    """Owns the thread; one thing at a time."""

    def __init__(self) -> None:
        self._worker = Worker("share", low=True)
        self._making: Making | None = None
        self._share = self._told = 0.0
        self._wrong: queue.SimpleQueue[str] = queue.SimpleQueue()  # with opening folders

    @property
    def idle(self) -> bool:
        """Whether nothing is being made."""
        return self._worker.idle and self._making is None

    def open_folder(self, path: str) -> None:
        """Show the folder of a file; `follow` tells if it cannot be."""
        job = threading.Thread(target=lambda: self._wrong.put(open_folder(path)), daemon=True)
        job.start()

    def follow(self, state: State, shown: Shown | None) -> list[Action]:
        """Begin or stop as the state asks, and tell what has come of it."""
        making, told = state.feedback.making, list[Action]()
        with suppress(queue.Empty):
            if wrong := self._wrong.get_nowait():
                told.append(Say(wrong))
        if self._making is not None and (making is None or making.number != self._making.number):
            self._making = None
            self._worker.cancel()
        if making is not None and self._making is None:
            if shown is None or state.facts is None:
                return told  # the first picture is on its way
            self._making, self._share, self._told = making, 0.0, 0.0
            take = take_of(state, shown)
            self._worker.submit(lambda alive: self._work(take, making, alive))
        for result in self._worker.drain():
            if self._making is None:
                continue
            number, self._making = self._making.number, None
            told.append(_heard(result, number))
        if self._making is not None and self._share - self._told >= 0.01:
            self._told = self._share
            told.append(SharedSoFar(self._making.number, self._share))
        return told

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker.close()

    def _work(self, take: Take, making: Making, alive: Alive) -> Iterator[Path]:
        def progress(share: float) -> None:
            if not alive():
                raise _SharingDropped
            self._share = share

        try:
            suffix, data = made(take, making.what == "film", progress)
            progress(1.0)
            yield save(data, take.house_file, take.stem, suffix)
        except _SharingDropped:
            return


def _heard(result: object, number: int) -> Action:
    if isinstance(result, Path):
        return Shared(str(result), number)
    if isinstance(result, OSError):
        return NotShared(number, result.strerror or str(result))
    if isinstance(result, EvenfallError):
        return NotShared(number, str(result))
    assert isinstance(result, Exception)
    write_down("sharing", result)
    return NotShared(number, in_words("making it failed", result))


def film_ending() -> str:
    """MP4 where there is something to write it with, else animated WebP."""
    return ".mp4" if find_spec("av") is not None else ".webp"


def made(
    take: Take,
    film: bool,
    progress: Progress,
    size_px: tuple[int, int] | None = None,
    seconds: float = FILM_S,
) -> tuple[str, bytes]:
    """The ending and the bytes of a file; `progress` hears of shares 0..1, and may raise to stop.

    A picture is `size_px` with its caption. The scenes are made anew for that size, at the
    exposure on show.
    """
    width, height = size_px or (FILM_PX if film else PICTURE_PX)
    scenes: list[Scene] = []
    for side in take.sides:
        progress(_SCENES * len(scenes) / len(take.sides))
        room = height if film else height - CAPTION
        scenes.append(scene(side.rig.house, (width, room), take.hour))
    suffix = film_ending() if film else ".png"
    rate = frame_rate(suffix, None, take.show.fps if take.show else 1.0)
    count = max(1, round(seconds * rate)) if film else 1
    times_s = take.at_s + np.arange(count) / rate
    split = round(width * take.divider)
    rigs = BrokenRigs()

    def frames() -> Iterator[np.ndarray]:
        for index, time_s in enumerate(times_s):
            progress(_SCENES + (1 - _SCENES) * index / count)
            images = []
            for side, night in zip(take.sides, scenes, strict=True):
                light = np.zeros(night.seen.shape[:2], np.float32)
                if take.show is not None:
                    ill = rigs.of(side.rig, take.faults)
                    now = frame_now(side.rig, ill, take.show, float(time_s), take.brightness)
                    light = now.light
                images.append(picture(night, light, exposure_ev=take.exposure_ev))
            image = images[0]
            if len(images) > 1:
                image = np.concatenate([images[0][:, :split], images[1][:, split:]], axis=1)
            yield image if film else captioned(image, take.house, take.words)

    return suffix, encoded(suffix, frames(), rate, count=len(times_s))
