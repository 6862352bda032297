"""The stage of a drawing: the draft's house lit as far as there is time.

A drag asks for a picture twenty times a second; a whole scene takes most of a second. So the
painting is kept and only the lights are computed anew, at fewer places while something is held;
what is drawn is painted anew once it is let go.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from effects import Scheme, bind
from effects.load import scheme_from_text
from layouts import EvenfallError, House
from layouts.records import Drawing
from sim.app.edit.commands import Command
from sim.app.edit.draft import Draft, house_of, tried
from sim.app.state.actions import Say
from sim.app.state.shown import Ready, Side, Stage
from sim.circuit import build
from sim.colour import Mixer
from sim.frame import Rig, frame, relight, rig, scene
from sim.light import Scene, coarser, lifted, picture
from sim.plan.boxes import hung

if TYPE_CHECKING:
    from sim.app.work.stage import StageWanted

#: Places of light over the picture's width while something is held.
HELD_ACROSS = 44
#: What every run shines with while one draws.
PLAIN = """\
format: evenfall-scheme/1
name: Plain warm white
seconds: 1
fps: 10
brightness: 0.35
layers:
  - {effect: steady, palette: ["3000 K"]}
"""
NOT_BOUND = "The scheme does not fit what is drawn, so every run is lit in plain warm white: "


@dataclass(frozen=True, eq=False)
class _Painted:
    """A painted drawing, for light at all its places and at few."""

    drawing: Drawing
    fine: Scene
    coarse: Scene


class DraftMaker:
    """Makes stages of drafts and keeps what can be used again. Used by one thread at a time."""

    def __init__(self) -> None:
        self._house: tuple[Draft, House] | None = None
        self._painted: dict[tuple[tuple[int, int], str, bool], _Painted] = {}
        self._exposures: dict[str, float] = {}
        self._told = ""
        self._mixed: tuple[object, Mixer] | None = None
        self._was_held = False

    def stages(
        self, asked: StageWanted, draft: Draft, scheme: Scheme | None
    ) -> Iterator[Say | Stage]:
        """The draft on stage: soon and coarse, then, unless something is held, exact."""
        house = self.house_of(draft)
        if asked.held is not None:
            house = self._held(draft, asked.held, house)
        shown, said = self.scheme_for(house, scheme, asked.plain)
        if said != self._told:
            self._told = said
            if said:
                yield Say(said)
        plain = shown is not scheme
        made = self._rig(house, shown, asked)
        key = (asked.size_px, asked.hour, asked.daylight)
        painted = self._painted.get(key)
        fits = painted is not None and painted.drawing.size_m == house.drawing.size_m
        # let go just now: the last of the held pictures does until the exact one
        dropped, self._was_held = self._was_held and asked.held is None, asked.held is not None
        if painted is not None and fits and not dropped:
            coarse = relight(painted.coarse, house)
            yield self._stage(shown, Side(None, made, coarse), asked, plain, held=True)
        if asked.held is not None and painted is not None:
            return
        if painted is None or not same_drawing(painted.drawing, house.drawing):
            painted = self._paint(house, asked)
            fine = painted.fine
        else:
            fine = relight(painted.fine, house)
        # the board draws wires from end to end; where they lie takes too long to wait for
        side = Side(None, made, fine, None if asked.board else hung(house))
        yield self._stage(shown, side, asked, plain, held=False)

    def _stage(
        self, scheme: Scheme, side: Side, asked: StageWanted, plain: bool, held: bool
    ) -> Stage:
        house = side.rig.house
        exposure_ev = self._exposures.setdefault(asked.hour, side.scene.exposure_ev)
        ready = None
        if plain:
            show = bind(house, scheme)
            made = frame(side.rig, show, 0.0)
            ev = exposure_ev + asked.lighter_ev
            ready = Ready(show, made, picture(side.scene, made.light, exposure_ev=ev))
        return Stage(house, scheme, side, None, exposure_ev, plain, held, ready)

    def _rig(self, house: House, scheme: Scheme, asked: StageWanted) -> Rig:
        """The house ready for frames; its colours are mixed as before while its pixels are."""
        colour = asked.colour or scheme.colour
        white = asked.white if asked.white is not None else scheme.white
        pixels = tuple((run.kind, run.count) for run in house.runs)
        key = (pixels, colour, white, scheme.gamma)
        if self._mixed is None or self._mixed[0] != key:
            made = rig(house, colour=colour, white=white, gamma=scheme.gamma)
            self._mixed = (key, made.mixer)
            return made
        return Rig(house, build(house), self._mixed[1])

    def house_of(self, draft: Draft) -> House:
        before = self._house
        if before is None or before[0] is not draft:
            self._house = (draft, house_of(draft, before[1] if before else None))
        assert self._house is not None
        return self._house[1]

    @staticmethod
    def _held(draft: Draft, command: Command, house: House) -> House:
        """The house with what is held where it is now; as it was where it cannot be there."""
        try:
            return house_of(tried(draft, command), house)
        except EvenfallError:
            return house

    def scheme_for(self, house: House, scheme: Scheme | None, plain: bool) -> tuple[Scheme, str]:
        if scheme is not None and not plain:
            try:
                bind(house, scheme)
                return scheme, ""
            except EvenfallError as error:
                words = NOT_BOUND + str(error).partition("\n")[0]
                return scheme_from_text(PLAIN, "plain warm white", house), words
        return scheme_from_text(PLAIN, "plain warm white", house), ""

    def _paint(self, house: House, asked: StageWanted) -> _Painted:
        made = scene(house, asked.size_px, asked.hour)
        exposure_ev = self._exposures.setdefault(asked.hour, made.exposure_ev)
        if asked.daylight:
            made = lifted(made, exposure_ev)
        painted = _Painted(house.drawing, made, coarser(made, HELD_ACROSS))
        if len(self._painted) > 3:
            self._painted.clear()
        self._painted[asked.size_px, asked.hour, asked.daylight] = painted
        return painted


def same_drawing(one: Drawing, two: Drawing) -> bool:
    """Whether two drawings are painted alike."""
    if one is two:
        return True
    whole = ("size_m", "viewer_m", "photo", "ground", "lit_windows", "bounces")
    rest = all(getattr(one, name) == getattr(two, name) for name in whole)
    if not rest or len(one.surfaces) != len(two.surfaces):
        return False
    return all(
        a is b
        or (a.name == b.name and a.material is b.material and a.depth_m == b.depth_m
            and a.lit == b.lit and a.faces == b.faces
            and np.array_equal(a.outline_m, b.outline_m))
        for a, b in zip(one.surfaces, two.surfaces, strict=True)
    )  # fmt: skip
