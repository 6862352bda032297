"""Living small pictures of the house: every scheme, or every effect, a few seconds that go round.

They are made by the same light as the large picture, on a thread of low priority: first one still
of each, then the rest. Once made they cost nothing but being shown.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from effects import Scheme, Show, bind, effects, load_scheme
from layouts import EvenfallError, House
from sim.app.state.choosing_pages import sheet
from sim.app.state.record import State
from sim.app.state.settings import set_control
from sim.app.state.shown import Stage
from sim.app.state.window_layout import layout
from sim.app.work.file_facts import edited
from sim.app.work.watch import stamp
from sim.app.work.worker import Alive, Worker
from sim.colour import mixer
from sim.frame import Rig, frame, scene
from sim.light import Scene, picture

#: Frames of one small picture and, where the scheme does not come round sooner, their time [s].
FRAMES, SPAN_S = 20, 4.0
#: A scheme that comes round within this is shown once round [s].
ROUND_S = 8.0
#: No small picture is computed wider than this [px]; light at so many places over the width.
WIDEST, ACROSS = 320, 24
#: So much of small pictures is made to live [octets]; the rest stand still.
MOST_OCTETS = 80 << 20


@dataclass(frozen=True, eq=False)
class SmallFilm:
    """What one small picture shows: pictures (H, W, 3) uint8 in turn, or what is wrong."""

    title: str
    images: tuple[np.ndarray, ...] = ()
    each_s: float = 0.0  # 0: it stands still, or the others are still to come
    problem: str = ""

    def image(self, now_s: float) -> np.ndarray | None:
        """The picture of a time [s]."""
        if not self.images:
            return None
        return self.images[int(now_s / self.each_s) % len(self.images) if self.each_s else 0]


class SmallPictures:
    """Follows the state; `films` are those of the page that stands open, by keys of its parts."""

    def __init__(self) -> None:
        self.films: dict[str, SmallFilm] = {}
        self._worker: Worker | None = None
        self._wanted: tuple[object, ...] = ()
        self._night: tuple[tuple[object, ...], Scene] | None = None

    @property
    def now_s(self) -> float:
        """The clock that the small pictures go by [s]."""
        return time.monotonic()

    @property
    def beat(self) -> int:
        """Changes whenever there is something new to draw."""
        if not self.films:
            return 0
        return int(self.now_s * FRAMES / SPAN_S) % 200

    def follow(self, state: State, stage: Stage | None) -> None:
        """Ask for what the page shows, and take what is ready."""
        page = state.choosing
        if page is None or page.page not in ("schemes", "effects") or stage is None:
            if self._worker is not None and self._wanted:
                self._worker.cancel()
                self._wanted, self.films = (), {}
            return
        self._ask(state, stage)
        if self._worker is None:  # nothing on the page has a picture
            return
        for told in self._worker.drain():
            if not isinstance(told, Exception):
                key, film = told
                self.films[key] = film

    def _ask(self, state: State, stage: Stage) -> None:
        page, facts = state.choosing, state.facts
        assert page is not None
        if facts is None:
            return
        parts = [one for one in sheet(state, layout(replace(state, drawer_open=1.0))).parts
                 if one.form in ("scheme", "effect")]  # fmt: skip
        if not parts:  # nothing is called so
            return
        width = min(max(one.place.w for one in parts), WIDEST)
        size = (width, width * 9 // 16)
        files = stamp(path for path, _ in facts.schemes) if page.page == "schemes" else ()
        of_layer = (page.layer, state.edits, state.order) if page.page == "effects" else ()
        key = (page.page, stage.left.rig.house, size, files, of_layer, state.hour)
        if key == self._wanted:
            return
        self._wanted = key
        self.films = {}
        if self._worker is None:
            self._worker = Worker("small pictures", low=True)
        schemes = page.page == "schemes"
        names = list(facts.schemes) if schemes else [(name, name) for name in effects()]
        self._worker.submit(lambda alive: self._make(state, stage, page.page, names, size, alive))

    def _make(
        self, state: State, stage: Stage, page: str, names: list[tuple[str, str]],
        size: tuple[int, int], alive: Alive,
    ) -> Iterator[tuple[str, SmallFilm]]:  # fmt: skip
        house = stage.left.rig.house
        night = self._scene(house, size, state.hour)
        exposure_ev = stage.exposure_ev + state.exposure_offset_ev
        ready: list[tuple[str, str, Show, Rig]] = []
        for key, name in names:
            try:
                scheme = (load_scheme(key, house) if page == "schemes"
                          else with_effect(state, stage, key))  # fmt: skip
                show, rig = bind(house, scheme), _rig(stage, scheme)
            except EvenfallError as error:
                yield key, SmallFilm(name, problem=str(error))
                continue
            title = scheme.name if page == "schemes" else name
            span_s = _span_s(show)
            still = _picture(rig, show, night, span_s / 3, exposure_ev)
            yield key, SmallFilm(title, (still,))
            if span_s:
                ready.append((key, title, show, rig))
            if not alive():
                return
        living = MOST_OCTETS // (FRAMES * size[0] * size[1] * 3)
        for key, title, show, rig in ready[:living]:
            span_s = _span_s(show)
            images = []
            for number in range(FRAMES):
                if not alive():
                    return
                images.append(_picture(rig, show, night, span_s * number / FRAMES, exposure_ev))
            yield key, SmallFilm(title, tuple(images), span_s / FRAMES)

    def _scene(self, house: House, size: tuple[int, int], hour: str) -> Scene:
        key = (house, size, hour)
        if self._night is None or self._night[0] != key:  # one page is open at a time
            self._night = key, scene(house, size, hour, across=ACROSS)
        return self._night[1]

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker is None or self._worker.close()


def with_effect(state: State, stage: Stage, name: str) -> Scheme:
    """The layer that the page is about, alone, with another effect."""
    page = state.choosing
    assert page is not None
    assert state.facts is not None
    assert stage.scheme is not None
    alone = replace(state, only=state.facts.marks[page.layer], choosing=None)
    scheme = edited(stage.scheme, set_control(alone, f"{page.layer}.effect", name))
    layers = tuple(replace(layer, opacity=1.0, blend="over", from_s=None, until_s=None)
                   for layer in scheme.layers)  # fmt: skip
    return replace(scheme, layers=layers)


def _rig(stage: Stage, scheme: Scheme) -> Rig:
    """The house as this scheme wants its colours; its wiring is analysed already."""
    rig = stage.left.rig
    mixing: Any = mixer(rig.house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    return Rig(rig.house, rig.network, mixing)


def _span_s(show: Show) -> float:
    """How much of a show its small picture has [s]; 0 where it stands still."""
    if all(bound.period_s == 0 for bound in show.layers):
        return 0.0
    period_s = show.period_s
    return period_s if period_s is not None and 0.5 <= period_s <= ROUND_S else SPAN_S


def _picture(rig: Rig, show: Show, night: Scene, at_s: float, exposure_ev: float) -> np.ndarray:
    return picture(night, frame(rig, show, at_s).light, exposure_ev=exposure_ev)
