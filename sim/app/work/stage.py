"""From files and state to what can be drawn: rigs, scenes, shows, made once and kept.

`StageWanted` says what the state needs; `stage` makes it, piece by piece, on a worker thread.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace

from effects import Scheme, bind, load_scheme
from layouts import EvenfallError, House, InputError, Problem, kinds, load_house, with_kind
from layouts.files.writeback import digest_of
from layouts.ground import with_ground
from sim.app.edit.commands import Command
from sim.app.edit.draft import Draft
from sim.app.state.actions import Loaded, Refused, Say
from sim.app.state.drawing_do import dropped
from sim.app.state.drawing_words import unwritten
from sim.app.state.record import Facts, State
from sim.app.state.shown import Side, Stage
from sim.app.state.window_layout import layout
from sim.app.work.beside import beside
from sim.app.work.coarse_stage import coarse_stage
from sim.app.work.draft_stage import DraftMaker
from sim.app.work.file_facts import facts_of, schemes_beside
from sim.app.work.guard import in_words, write_down
from sim.app.work.octets import octets
from sim.app.work.planner import Wired
from sim.app.work.watch import Stamp
from sim.frame import Rig, rig, scene
from sim.light import Scene
from sim.plan.boxes import HungBoxes, hung
from sim.report.other_kind import rerated

#: So many scenes are kept, and of more than two no more than so much [octets]: one of a window of
#: 1920 x 1080 px takes 70 MB.
_KEPT_SCENES, _SCENES_OCTETS = 4, 160 << 20
#: So many houses are kept, with how each hangs: two are on show, others can be made again.
_KEPT_HOUSES = 4
#: So long the window has to draw the first exact picture before boxes are hung [s].
_LET_DRAW_S = 0.1
#: A file that is saved while it is read is read again so many times.
_READ_AGAIN = 4
#: Which house of those made from the file's: kind of pixel, number of the proposal or None.
_Key = tuple[str | None, int | None]


@dataclass(frozen=True)
class StageWanted:
    """What decides what has to be made."""

    house_path: str
    scheme_path: str | None
    stamp: Stamp  # of the files
    kind: str | None
    other: str | None
    compare: bool
    colour: str | None
    white: str | float | None
    hour: str
    size_px: tuple[int, int]
    proposal: tuple[int, str | None] | None = None  # feeds on show: number, and kind made for
    draft: Draft | None = None  # what is drawn, in the place of the house file
    held: Command | None = None  # and what is being done to it now
    board: bool = False  # it stands on the drawing board
    daylight: bool = False
    plain: bool = False  # plain light in the place of the scheme
    ground: str = "as drawn"
    lighter_ev: float = 0.0  # by so much less than its own the picture of a drawing is exposed


def wanted(state: State, stamp: Stamp) -> StageWanted:
    """What a state needs to be drawn."""
    place, on, board = layout(state).scene, state.proposal, state.board
    draft = board.draft if board is not None else state.draft if unwritten(state) else None
    assert draft is None or isinstance(draft, Draft)
    return StageWanted(
        state.house_path, state.scheme_path, stamp, state.kind, state.other, state.compare,
        state.colour, state.white, state.hour, (place.w, place.h),
        (on.number, on.kind) if on else None,
        draft, dropped(board) if board else None,
        board is not None, board.daylight if board else False,
        board.plain_light if board else False,
        state.ground,
        state.exposure_offset_ev if board or draft else 0.0,
    )  # fmt: skip


class Maker:
    """Makes stages and keeps what can be used again. Used by one thread at a time."""

    def __init__(self) -> None:
        self._files: tuple[House, Scheme | None] | None = None  # the last good ones
        self._files_of: Hashable = None
        self._facts: Facts | None = None  # of the last good ones
        self._refused: Hashable = None
        # What was told of the files, and what of it the window heard; each set by one thread alone.
        self._told: Loaded | Refused | None = None
        self._heard: Loaded | Refused | None = None
        self._reading = ""  # the file being read
        self._house_digest = ""  # of the house file that all below was made of
        self._houses: OrderedDict[_Key, House] = OrderedDict()
        self._hung: dict[_Key, HungBoxes] = {}
        self._scenes: OrderedDict[Hashable, Scene] = OrderedDict()
        self._exposures: dict[str, float] = {}
        self._drafts = DraftMaker()
        self._drawn: Draft | None = None  # what the houses are made of; None: the file
        self.coarse_first = False  # whether a coarse stage comes before the first
        self._rig: tuple[House, Rig] | None = None  # that of the coarse one

    def heard(self, told: Loaded | Refused) -> None:
        """The window has heard this of the files; called on its thread.

        A newer wish drops what an older one has told. Until it is heard it is told again.
        """
        self._heard = told

    def stage(
        self, asked: StageWanted, wired: Wired | None = None
    ) -> Iterator[Loaded | Refused | Say | Stage]:
        """The files as facts, or what is wrong with them; then the stage. `wired` is the house of
        the proposal asked for; one made from another house file is left out.

        While the files are wrong, other wishes are met with the last good ones.
        """
        key = (asked.house_path, asked.scheme_path, asked.stamp)
        if key not in (self._files_of, self._refused):
            try:
                house, scheme, house_digest, digest = self._read(asked)
                show = bind(house, scheme) if scheme else None
            except EvenfallError as error:
                self._refused = key
                yield self._tell(refusal(error, asked.house_path))
                return
            except Exception as error:  # a reader's own fault must not take the picture with it
                self._refused = key
                write_down("reading the files", error)
                what = f"cannot be read; {in_words('the reader failed', error)}"
                yield self._tell(Refused((Problem(self._reading, 1, 1, what),)))
                return
            if not house_digest or house_digest != self._house_digest:
                self._house_digest = house_digest
                self._forget()
            self._files, self._files_of, self._refused = (house, scheme), key, None
            self._facts = facts_of(house, scheme, show, digest)
            yield self._tell(Loaded(self._facts))
        elif key == self._files_of and self._refused is not None and self._facts is not None:
            self._refused = None  # back from a file that could not be read
            yield self._tell(Loaded(self._facts))
        elif self._told is not None and self._told is not self._heard:
            yield self._told
        if self._files is None:
            return
        house, scheme = self._files
        draft = asked.draft
        if draft is not None:
            drawn = self._drafts.house_of(draft)
            other = not asked.board and bool(asked.kind or asked.compare)
            if not other or self._drafts.scheme_for(drawn, scheme, plain=False)[1]:
                yield from self._drafts.stages(asked, draft, scheme)
                return
            house = drawn
        if draft is not self._drawn:  # another kind of pixel on what is drawn: all is made anew
            self._drawn = draft
            self._forget()
        for kind in (asked.kind, asked.other if asked.compare else None):
            which = _key(asked, kind)
            if which in self._houses:
                self._houses.move_to_end(which)
            elif wired is not None and draft is None and wired.digest == self._house_digest:
                self._houses[which] = wired.house
            else:
                self._houses[which], notes = _of_kind(house, kind)
                if notes:
                    yield Say("; ".join(notes))
        while len(self._houses) > _KEPT_HOUSES:
            self._hung.pop(self._houses.popitem(last=False)[0], None)
        hang = True
        if self.coarse_first and scheme is not None and draft is None and _plain(asked):
            built, show = self._houses[_key(asked, None)], bind(house, scheme)
            first, made = coarse_stage(built, scheme, show, asked.size_px, asked.hour, asked.ground)
            self._rig = (built, made)
            yield first
            hang = False  # the exact picture is awaited, and needs no place of a box
        self.coarse_first = False
        left = self._side(scheme, asked, asked.kind, hang)
        right = self._side(scheme, asked, asked.other) if asked.compare else None
        exposure_ev = self._exposures.setdefault(asked.hour, left.scene.exposure_ev)
        made_of = Stage(
            house, scheme, left, right, exposure_ev, hour=asked.hour, digest=self._house_digest
        )
        yield made_of
        if left.hung is None:
            time.sleep(_LET_DRAW_S)
            hangs = replace(left, hung=self._hung_of(_key(asked, asked.kind)))
            yield replace(made_of, left=hangs)

    def _tell(self, told: Loaded | Refused) -> Loaded | Refused:
        self._told = told
        return told

    def _forget(self) -> None:
        """What was made of another house."""
        self._houses.clear()
        self._hung.clear()
        self._scenes.clear()

    def _read(self, asked: StageWanted) -> tuple[House, Scheme | None, str, str]:
        """House and scheme, and what tells their files' contents from others."""
        self._reading = asked.house_path
        house, of_house = _with_digest(asked.house_path)
        path = asked.scheme_path
        if path is None:
            beside = schemes_beside(house.file)
            path = beside[0][0] if beside else None
        if not path:
            return house, None, of_house, ""
        self._reading = path
        # Before the reading: a change in between then counts as one since, and is asked about.
        digest = digest_of(path)
        return house, load_scheme(path, house), of_house, digest

    def _side(
        self, scheme: Scheme | None, asked: StageWanted, kind: str | None, hang: bool = True
    ) -> Side:
        key = _key(asked, kind)
        built = self._houses[key]
        # The scene on a thread beside circuit and colours: the first picture waits for both.
        lit = beside(lambda: self._scene(built, asked, kind))
        boxes = self._hung_of(key) if hang else None
        kept, self._rig = self._rig, None
        if kept is not None and kept[0] is built:
            made = kept[1]
        else:
            made = rig(
                built,
                colour=asked.colour or (scheme.colour if scheme else "matched"),
                white=asked.white if asked.white is not None
                else (scheme.white if scheme else "most"),
                gamma=scheme.gamma if scheme else 2.2,
            )  # fmt: skip
        return Side(kind, made, lit(), boxes)

    def _hung_of(self, key: _Key) -> HungBoxes:
        if key not in self._hung:
            self._hung[key] = hung(self._houses[key])
        return self._hung[key]

    def _scene(self, house: House, asked: StageWanted, kind: str | None) -> Scene:
        key = (kind, asked.size_px, asked.hour, asked.ground)
        if key not in self._scenes:
            shown = with_ground(house, asked.ground)
            self._scenes[key] = scene(shown, asked.size_px, asked.hour)
            kept = self._scenes
            while len(kept) > 2 and (
                len(kept) > _KEPT_SCENES or octets(*kept.values()) > _SCENES_OCTETS
            ):
                kept.popitem(last=False)
        self._scenes.move_to_end(key)
        return self._scenes[key]


def _with_digest(path: str) -> tuple[House, str]:
    """A house and the digest of just the content it was read from; "" where that keeps changing.

    The files are also read when another of them was saved, so their times tell nothing of it.
    """
    for _ in range(_READ_AGAIN):
        digest = digest_of(path)
        house = load_house(path)
        if digest_of(path) == digest:
            return house, digest
    return house, ""


def _plain(asked: StageWanted) -> bool:
    """Whether nothing but the files decides what is shown."""
    return not (asked.kind or asked.compare or asked.colour or asked.proposal or asked.board
                or asked.white is not None)  # fmt: skip


def _key(asked: StageWanted, kind: str | None) -> _Key:
    """Which house is meant: a proposal is for the kind that it was made for."""
    on = asked.proposal
    return (kind, on[0] if on is not None and on[1] == kind else None)


def _of_kind(house: House, kind: str | None) -> tuple[House, tuple[str, ...]]:
    """The house with every run of a kind, and what else had to change for it, in words."""
    if kind is None:
        return house, ()
    return rerated(with_kind(house, kinds()[kind], keep="pixels"), kinds()[kind])


def refusal(error: EvenfallError, path: str) -> Refused:
    """What is wrong, with its places where it has any, else at the top of the file at `path`."""
    if isinstance(error, InputError):
        return Refused(error.problems)
    return Refused((Problem(path, 1, 1, str(error)),))
