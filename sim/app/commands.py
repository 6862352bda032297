"""What a person can ask for that reaches the disk."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Protocol

import pygame

from layouts import EvenfallError
from layouts.files.write import write_atomically
from layouts.files.writeback import Conflict
from sim.app.draft_commands import DraftCommands
from sim.app.state import actions as act
from sim.app.state import drawing_actions as draw
from sim.app.state.drawing_words import KEEP_BOTH
from sim.app.state.proposing import WRITE
from sim.app.state.questions import BESIDE, OVER, answered, asked_before_writing
from sim.app.state.record import State
from sim.app.state.settings import changes_of
from sim.app.state.update import answer_of
from sim.app.work.backstage import Backstage
from sim.app.work.saving import write, write_beside


class Desk(Protocol):
    """What commands need of the window."""

    state: State
    surface: pygame.Surface
    backstage: Backstage

    def do(self, action: act.Action) -> None:
        """Let an action happen."""


class Commands:
    """Does commands, and says how it went."""

    def __init__(self, desk: Desk):
        self._desk = desk
        self._drafts = DraftCommands(desk)

    def done(self, action: act.Action) -> bool:
        """Do what is a command; whether it was one."""
        if isinstance(action, act.WriteValues):
            self._write()
        elif isinstance(action, act.WriteFeeds):
            self._write_feeds()
        elif isinstance(action, draw.OpenBoard):
            self._drafts.open()
        elif isinstance(action, draw.WriteDraft):
            self._drafts.write()
        elif isinstance(action, act.Screenshot):
            self._screenshot()
        elif isinstance(action, act.Answer):
            return self._answer(action)
        else:
            return False
        return True

    def file_read(self) -> None:
        """The files were read anew."""
        self._drafts.file_read()

    def _say(self, text: str) -> None:
        self._desk.do(act.Say(text))

    def _answer(self, action: act.Answer) -> bool:
        """Answers that write; all others are the state's alone."""
        name = answer_of(self._desk.state, action)
        if name == OVER:
            self._write(over=True)
        elif name == BESIDE:
            self._beside()
        elif name == KEEP_BOTH:
            self._drafts.keep_both()
        elif name == WRITE:
            self._desk.state = answered(self._desk.state, name)
            self._write_feeds()
        else:
            return False
        return True

    def _write(self, over: bool = False) -> None:
        desk = self._desk
        facts, stage = desk.state.facts, desk.backstage.stage
        if not changes_of(desk.state) or not facts or not facts.scheme_file or not stage:
            self._say("Nothing differs from the scheme file")
            return
        if not over and (asked := asked_before_writing(desk.state)).question != desk.state.question:
            desk.state = asked
        if not over and desk.state.collided and desk.state.question:
            self._say("Not written yet: the file was changed since; choose above which value holds")
            return
        try:
            digest = write(desk.state, stage.house)
        except Conflict:
            desk.backstage.reread(desk.state)
            self._say("Not written: the file was changed since it was read. It is read anew; your "
                      "values stay in the window")  # fmt: skip
            return
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return
        desk.do(act.ValuesWritten(digest))
        desk.backstage.reread(desk.state)
        self._say(f"Written to {Path(facts.scheme_file).name}")

    def _beside(self) -> None:
        desk = self._desk
        stage = desk.backstage.stage
        if desk.state.facts is None or stage is None:
            return
        try:
            path = write_beside(desk.state, stage.house)
        except (EvenfallError, OSError) as error:
            if isinstance(error, Conflict):
                desk.backstage.reread(desk.state)
            self._say(f"Not written: {error}")
            return
        desk.do(act.Revert())
        desk.do(act.Open(str(path)))
        self._say(f"Written to {path.name}, which is on show now; the other file is as it was")

    def _write_feeds(self) -> None:
        desk = self._desk
        proposal = desk.state.proposal
        if proposal is None or not proposal.accepted:
            self._say("No feeds are accepted that could be written")
            return
        if not proposal.file:
            self._say(
                "Not written: these feeds are for another kind of pixel than the house file has"
                if proposal.kind is not None
                else "Not written: here feeds are kept in the window only"
            )
            return
        try:
            desk.backstage.write_feeds(proposal.number)
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return
        desk.do(act.FeedsWritten())
        desk.backstage.reread(desk.state)
        self._say(f"The feeds are written to {proposal.file}")

    def _screenshot(self) -> None:
        desk = self._desk
        stem = "evenfall-" + Path(desk.state.house_path).resolve().parent.name
        path = next(path for number in range(1, 10_000)
                    if not (path := Path(f"{stem}-{number}.png")).exists())  # fmt: skip
        held = io.BytesIO()
        pygame.image.save(desk.surface, held, "a.png")
        try:
            write_atomically(path, held.getvalue())
        except OSError as error:
            self._say(f"Not saved: {error.strerror or error}")
            return
        self._say(f"Saved {path}")
