"""What a person can ask for that reaches the disk."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

import pygame

from layouts import EvenfallError
from layouts.files.writeback import Conflict
from sim.app.draft_commands import DraftCommands
from sim.app.state import actions as act
from sim.app.state import drawing_actions as draw
from sim.app.state.closing import (
    CLOSE,
    WRITE_CLOSE,
    asked_before_closing,
    is_closing,
    kept_feeds,
    stays,
)
from sim.app.state.drawing_words import KEEP_BOTH, unwritten
from sim.app.state.history import dropped, filed_step, next_step, passed, undone
from sim.app.state.history_values import values_to_write, with_layers
from sim.app.state.mending_record import SaveFaults
from sim.app.state.proposing import WRITE, with_proposal_shown
from sim.app.state.questions import BESIDE, OVER, USE_DRAWING, answered, asked_before_writing
from sim.app.state.record import State
from sim.app.state.sharing import WINDOW, stem
from sim.app.state.sighted_record import SaveSeen
from sim.app.state.update import answer_of
from sim.app.work.backstage import Backstage
from sim.app.work.file_steps import take_back, wrote
from sim.app.work.save_trial import save_trial
from sim.app.work.saving import differs, write, write_beside
from sim.app.work.share import Sharing
from sim.app.work.share_files import save


class Desk(Protocol):
    """What commands need of the window."""

    state: State
    running: bool
    surface: pygame.Surface
    backstage: Backstage
    sharing: Sharing

    def do(self, action: act.Action) -> None:
        """Let an action happen."""

    def redraw(self) -> None:
        """Draw the window as the state has it now."""


class Commands:
    """Does commands, and says how it went."""

    def __init__(self, desk: Desk):
        self._desk = desk
        self._drafts = DraftCommands(desk)

    def done(self, action: act.Action) -> bool:
        """Do what is a command; whether it was one."""
        if isinstance(action, act.WriteValues):
            self._write()
        elif isinstance(action, act.Quit):
            self._quit()
        elif isinstance(action, act.Undo):
            return self._undo()
        elif isinstance(action, act.Redo):
            return self._redo()
        elif isinstance(action, act.WriteFeeds):
            self._write_feeds()
        elif isinstance(action, draw.OpenBoard):
            self._drafts.open()
        elif isinstance(action, draw.WriteDraft):
            self._drafts.write()
        elif isinstance(action, act.Screenshot):
            self._screenshot()
        elif isinstance(action, act.OpenFolder):
            self._open_folder()
        elif isinstance(action, act.Answer):
            return self._answer(action)
        elif isinstance(action, SaveFaults | SaveSeen):
            self._save(lambda: save_trial(self._desk.state, action))
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
        elif name == WRITE_CLOSE:
            self._write_and_close()
        elif name == CLOSE:
            self._desk.running = False
        elif name == USE_DRAWING:
            self._take_up()
        elif name == WINDOW:
            desk = self._desk
            desk.do(act.AskSharing())  # its own card is no part of the picture
            desk.redraw()
            self._screenshot()
        else:
            return False
        return True

    # --- writing ---

    def _write(self, over: bool = False, again: bool = False) -> bool:
        """Write the values; whether they stand in the file now. `again`: a step done again."""
        desk = self._desk
        facts, stage = desk.state.facts, desk.backstage.stage
        if not differs(desk.state) or not facts or not facts.scheme_file or not stage:
            self._say("Nothing differs from the scheme file")
            return False
        if not over and (asked := asked_before_writing(desk.state)).question != desk.state.question:
            desk.state = asked
        if not over and desk.state.collided and desk.state.question:
            self._say("Not written yet: the file was changed since; choose above which value holds")
            return False
        name, before = Path(facts.scheme_file).name, desk.state
        try:
            step = wrote(
                facts.scheme_file, lambda: write(before, stage.house), values_to_write(before)
            )
            step = with_layers(step, before)
        except Conflict:
            desk.backstage.reread(desk.state)
            self._say("Not written: the file was changed since it was read. It is read anew; your "
                      "values stay in the window")  # fmt: skip
            return False
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return False
        desk.do(act.ValuesWritten(step.digests[1]))
        desk.state = filed_step(before, desk.state, f"write to {name}", step, again)
        desk.backstage.reread(desk.state)
        self._say(f"Written to {name}")
        return True

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

    def _write_feeds(self, again: bool = False) -> bool:
        """Write the accepted feeds; whether the house file has them now."""
        desk, before = self._desk, self._desk.state
        proposal, stage = before.proposal, desk.backstage.stage
        if proposal is None or not proposal.accepted or stage is None:
            self._say("No feeds are accepted that could be written")
            return False
        if not proposal.file:
            self._say(
                "Not written: these feeds are for another kind of pixel than the house file has"
                if proposal.kind is not None
                else "Not written: here feeds are kept in the window only"
            )
            return False
        number = proposal.number
        try:
            step = wrote(before.house_path, lambda: desk.backstage.write_feeds(number))
        except (EvenfallError, OSError) as error:
            self._say(f"Not written: {error}")
            return False
        desk.do(act.FeedsWritten())
        label = f"write the feeds to {proposal.file}"
        desk.state = filed_step(before, desk.state, label, step, again)
        desk.backstage.reread(desk.state)
        self._say(f"The feeds are written to {proposal.file}")
        return True

    # --- back and on ---

    def _undo(self) -> bool:
        """Steps that wrote a file; all others are the state's alone."""
        desk = self._desk
        desk.state = passed(desk.state, "back")  # else the state alone would step over a writing
        step = next_step(desk.state, "back")
        if step is None or step.wrote is None:
            return False
        name = Path(step.wrote.file).name
        try:
            take_back(step.wrote)
        except Conflict:
            desk.state = dropped(desk.state, "back")
            self._say(f"Not undone: {name} was changed since it was written, and stays as it is")
            return True
        except (EvenfallError, OSError) as error:
            self._say(f"Not undone: {error}")
            return True
        if step.proposal is None and step.wrote.file == desk.state.house_path:
            self._drafts.taken_back(step.wrote)
        desk.state = with_proposal_shown(undone(desk.state))
        desk.backstage.reread(desk.state)
        self._say(f"{name} has its former text again; what was written stands in the window")
        return True

    def _redo(self) -> bool:
        """Write again what was written before."""
        self._desk.state = passed(self._desk.state, "on")
        step = next_step(self._desk.state, "on")
        if step is None or step.wrote is None:
            return False
        if step.proposal is not None:
            self._write_feeds(again=True)
        elif step.wrote.values or step.wrote.order:
            self._write(again=True)
        else:
            self._drafts.write(again=True)
        return True

    # --- closing ---

    def _quit(self) -> None:
        """Ask where something is unwritten; asked for once more while that stands, close."""
        desk = self._desk
        if is_closing(desk.state):
            desk.running = False
            return
        desk.state = asked_before_closing(desk.state)
        desk.running = is_closing(desk.state)

    def _write_and_close(self) -> None:
        """Whatever cannot be written keeps the window open, and is told."""
        desk = self._desk
        desk.state = stays(desk.state)
        done = True
        if kept_feeds(desk.state) and desk.state.proposal and desk.state.proposal.file:
            done = self._write_feeds()
        if unwritten(desk.state):
            done = self._drafts.write() and done
        if differs(desk.state):
            done = self._write() and done
        desk.running = not done

    def _take_up(self) -> None:
        """Read the drawing that was left."""
        left = self._desk.state.left_drawing
        if left is not None:
            self._drafts.take_up(left.text, left.digest)

    # --- sharing ---

    def _screenshot(self) -> None:
        """All of the window as it is."""
        state = self._desk.state
        held = io.BytesIO()
        pygame.image.save(self._desk.surface, held, "a.png")
        name = stem(state.facts, window=True) if state.facts is not None else "evenfall-window"
        self._save(lambda: save(held.getvalue(), state.house_path, name, ".png"))

    def _save(self, made: Callable[[], Path]) -> None:
        """A new file, made at once; where it is, or why it is not."""
        try:
            path = made()
        except (EvenfallError, OSError) as error:
            self._say(f"Not saved: {getattr(error, 'strerror', None) or error}")
            return
        self._desk.do(act.Shared(str(path)))

    def _open_folder(self) -> None:
        saved = self._desk.state.feedback.saved
        if saved:
            self._desk.sharing.open_folder(saved)
        else:
            self._say("Nothing was saved yet")
