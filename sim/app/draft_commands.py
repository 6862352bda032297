"""Opening the drawing board, and writing what is drawn to the house file."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from layouts import EvenfallError
from layouts.files.writeback import Conflict, digest_of, keep_both
from sim.app.edit.draft import Draft, draft_from_text, draft_of, house_of
from sim.app.edit.writing import write
from sim.app.state import actions as act
from sim.app.state.drawing_actions import BoardOpened, CloseBoard, DraftFiled
from sim.app.state.drawing_words import changed_meanwhile, drawing, unwritten
from sim.app.state.history import filed_step, stepped
from sim.app.state.history_record import FileStep
from sim.app.state.record import State
from sim.app.work.backstage import Backstage
from sim.app.work.file_steps import wrote
from sim.app.work.photo_grey import photo_sight_of


class DrawingDesk(Protocol):
    """What these commands need of the window."""

    state: State
    backstage: Backstage

    def do(self, action: act.Action) -> None:
        """Let an action happen."""


class DraftCommands:
    """Does them, and says how it went."""

    def __init__(self, desk: DrawingDesk):
        self._desk = desk
        self._conflict: Conflict | None = None
        self._base: Draft | None = None  # the house as its file has it where nothing is drawn

    def _say(self, text: str) -> None:
        self._desk.do(act.Say(text))

    def open(self) -> None:
        """The house file on the board; what was drawn before is taken up; open: it is shut."""
        desk = self._desk
        if desk.state.board is not None:
            left = unwritten(desk.state)
            desk.do(CloseBoard())
            if left:
                self._say("What is drawn stays in the window and is not written yet: Shift D, W")
        elif desk.state.proposal is not None:
            self._say("Feeds are proposed: write or undo them first, then draw")
        else:
            self._open()

    def _open(self) -> None:
        desk = self._desk
        try:
            if desk.state.draft is None or self._outdated():
                draft = self._read_anew()
            else:
                draft = self._as_drawn()
            house = house_of(draft)
            desk.do(BoardOpened(draft, house, self._base, photo_sight_of(house)))
        except (EvenfallError, OSError, UnicodeError) as error:
            self._say(f"This house cannot be drawn on: {error}")

    def _outdated(self) -> bool:
        """Whether all that is drawn is in the file, and the file is another one since."""
        state = self._desk.state
        if unwritten(state):
            return False
        return digest_of(state.house_path) not in ("", state.filed_digest)

    def _read_anew(self) -> Draft:
        """The house file; where something was drawn, what the file holds now is a step more."""
        desk, before = self._desk, self._desk.state
        fresh = draft_of(before.house_path)
        self._base = fresh
        desk.do(DraftFiled(fresh.text, fresh.digest))
        if before.draft is not None:
            after = replace(desk.state, draft=fresh)
            desk.state = stepped(before, after, "read the changed house file")
        return fresh

    def _as_drawn(self) -> Draft:
        """What is drawn already, by this window or an earlier one."""
        desk = self._desk
        state, draft = desk.state, desk.state.draft
        assert isinstance(draft, Draft)
        if not state.filed_digest:  # left by an earlier window: written over what it was drawn on
            filed = ""
            with suppress(OSError, UnicodeError):
                filed = Path(state.house_path).read_text(encoding="utf-8-sig")
            desk.do(DraftFiled(filed, draft.digest))
        if self._base is None:
            with suppress(EvenfallError, OSError):
                self._base = draft_of(state.house_path)
        return draft

    def file_read(self) -> None:
        """The files were read: with nothing unwritten, the board follows a newer house file."""
        board = self._desk.state.board
        if board is None or board.line or board.grab is not None:
            return
        if self._outdated():
            self._open()

    def take_up(self, text: str, digest: str) -> None:
        """What an earlier window left is the drawing on show."""
        try:
            draft = draft_from_text(text, self._desk.state.house_path, digest)
        except EvenfallError as error:
            self._say(f"Not taken up: {error}")
            return
        self._desk.do(act.TakeUpDrawing(draft))

    def write(self, again: bool = False) -> bool:
        """The draft into its file, if that still is as it was read, or as this window wrote it.

        Whether it stands there now; `again`: a writing that was taken back is done again.
        """
        desk, before = self._desk, self._desk.state
        draft = drawing(before)
        if not isinstance(draft, Draft) or not unwritten(before):
            self._say("Nothing is drawn that the house file does not have")
            return False
        name = Path(draft.file).name
        expected = before.filed_digest or draft.digest
        try:
            step = wrote(draft.file, lambda: write(replace(draft, digest=expected)).digest)
        except Conflict as conflict:
            self._conflict = conflict
            desk.state = replace(desk.state, question=changed_meanwhile(Path(conflict.path).name))
            return False
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return False
        # The draft stays the one it is, so that steps lead back past the writing.
        desk.do(DraftFiled(draft.text, step.digests[1]))
        desk.state = filed_step(before, desk.state, f"write to {name}", step, again)
        desk.backstage.reread(desk.state)
        self._say(f"Written to {name}")
        return True

    def taken_back(self, step: FileStep) -> None:
        """The house file has the text again that it had before a drawing was written to it."""
        with suppress(OSError, UnicodeError):
            text = Path(step.file).read_text(encoding="utf-8-sig")
            self._desk.do(DraftFiled(text, step.digests[0]))

    def keep_both(self) -> None:
        """What is drawn beside the file that somebody else changed."""
        desk, conflict = self._desk, self._conflict
        desk.state = replace(desk.state, question=None)
        if conflict is None:
            return
        try:
            path = keep_both(conflict)
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return
        self._say(f"Written beside it, to {path}; the other file is as it was")
