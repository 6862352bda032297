"""A house document while it is drawn: its text, what it says, and which file it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from layouts.errors import InputError
from layouts.files.document import parse, read
from layouts.files.edits import Edit
from layouts.files.write import digest
from layouts.known import Known
from layouts.load import house_of as house_of_written
from layouts.records import House
from sim.app.edit.commands import Command
from sim.app.edit.doing import do
from sim.app.edit.house import house_from_data
from sim.app.edit.lengths import units_of
from sim.app.edit.paper import NotDone, Paper
from sim.app.edit.texts import text_with

__all__ = ["Draft", "NotDone", "draft_from_text", "draft_of", "house_of", "made", "tried"]


@dataclass(frozen=True, eq=False)
class Draft:
    """A house document as it is drawn. Two drafts are the same where they are the same object.

    `data` is the text as plain Python, `digest` that of the bytes the file had when it was read
    ("" for a file that is not there yet). `notes` say what else the last command changed.
    """

    file: str
    digest: str
    data: Mapping[str, Any]
    source: str  # the text that `edits` are made in
    edits: tuple[Edit, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def text(self) -> str:
        """The document; what was not touched stands in it as it was read, to the byte.

        Raises CannotWrite where the text is written in a way that cannot be edited.
        """
        return text_with(self.source, self.edits, self.file) if self.edits else self.source

    @property
    def units(self) -> str:
        """What bare numbers of the document mean."""
        return units_of(self.data)


def draft_of(path: str | Path) -> Draft:
    """The house file at `path` as a draft. Raises InputError with all that is wrong in it."""
    read(path)  # refuses what is no readable text
    raw = Path(path).read_bytes()
    return draft_from_text(raw.decode("utf-8-sig"), str(path), digest(raw))


def draft_from_text(text: str, file: str, found_digest: str = "") -> Draft:
    """A draft of a text that is, or is to be, in `file`. Raises InputError."""
    document = parse(text, file)
    house_of_written(document, Known())
    return Draft(file, found_digest, document.data, text)


def made(draft: Draft, command: Command, before: House | None = None) -> Draft:
    """The draft with the command done, checked as a whole; `draft` stays as it is.

    `before`, a house made of an earlier draft by `house_of`, makes the check quick. The same draft
    comes back where nothing changes. Raises NotDone for what cannot be, CannotWrite where the text
    is written in a way that cannot be edited.
    """
    done = tried(draft, command)
    if done is draft:
        return draft
    house_of(done, before)
    return replace(done, source=done.text, edits=())


def tried(draft: Draft, command: Command) -> Draft:
    """The draft with the command done, not checked and its text not yet written: for a drag.

    Raises NotDone for what is seen to be impossible at once; `house_of` tells the rest.
    """
    paper = Paper(draft.data)
    do(paper, command)
    if not paper.edits:
        return draft
    notes = tuple(dict.fromkeys(paper.notes))
    return Draft(draft.file, draft.digest, paper.data, draft.text, tuple(paper.edits), notes)


def house_of(draft: Draft, before: House | None = None) -> House:
    """The house that the draft says; `before` is one made by this function of an earlier draft.

    Where little has changed since then the rest is taken over. Raises NotDone.
    """
    try:
        return house_from_data(draft.data, draft.file, before)
    except InputError as error:
        told = [f"{each.what}; {each.do}" if each.do else each.what for each in error.problems]
        raise NotDone("\n".join(dict.fromkeys(told[:3]))) from None
