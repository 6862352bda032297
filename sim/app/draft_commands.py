"""Opening the drawing board, and writing what is drawn to the house file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Protocol

from layouts import EvenfallError
from layouts.files.writeback import Conflict, digest_of, keep_both
from sim.app.edit.draft import Draft, draft_of, house_of
from sim.app.edit.writing import write
from sim.app.state import actions as act
from sim.app.state.drawing_actions import BoardOpened, CloseBoard, DraftWritten
from sim.app.state.drawing_words import changed_meanwhile, unwritten
from sim.app.state.record import State
from sim.app.work.backstage import Backstage


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
        self._base: Draft | None = None  # what this window began with
        self._ours = ""  # digest of the file as it was read, or as it was last written here

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
        path = desk.state.house_path
        try:
            draft, base, filed = desk.state.draft, self._base, None
            if isinstance(draft, Draft):
                filed = Path(path).read_text(encoding="utf-8-sig")
            else:
                draft = base = draft_of(path)
                self._base, self._ours = base, draft.digest
            desk.do(BoardOpened(draft, house_of(draft), base, filed))
        except (EvenfallError, OSError, UnicodeError) as error:
            self._say(f"This house cannot be drawn on: {error}")

    def file_read(self) -> None:
        """The files were read: nothing being drawn yet, the board follows a newer house file."""
        state = self._desk.state
        board = state.board
        if board is None or state.draft is not None or board.line or board.grab is not None:
            return
        if digest_of(state.house_path) not in ("", self._ours):
            self._open()

    def write(self) -> None:
        """The draft into its file, if that still is as it was read, or as this window wrote it."""
        desk = self._desk
        board = desk.state.board
        if board is None:
            return
        if not unwritten(desk.state):
            self._say("Nothing is drawn that the house file does not have")
            return
        try:
            done = write(replace(board.draft, digest=self._ours))
        except Conflict as conflict:
            self._conflict = conflict
            desk.state = replace(desk.state, question=changed_meanwhile(Path(conflict.path).name))
            return
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return
        self._ours = done.digest
        desk.do(DraftWritten())
        desk.backstage.reread(desk.state)
        self._say(f"Written to {done.file}")

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
