"""A house document while it is drawn: its text, what it says, and which file it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from layouts.errors import EvenfallError
from layouts.files.edits import Edit
from layouts.records import House
from layouts.units import METRES
from sim.app.edit.commands import Command


class NotDone(EvenfallError):
    """A command that cannot be done, in words for the user: what, and what to do."""


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
    notes: tuple[str, ...] = field(default=())

    @cached_property
    def text(self) -> str:
        """The document; what was not touched stands in it as it was read, to the byte."""
        raise NotImplementedError

    @property
    def units(self) -> str:
        """What bare numbers of the document mean."""
        units = self.data.get("units", "m")
        return units if units in METRES else "m"


def draft_of(path: str | Path) -> Draft:
    """The house file at `path` as a draft. Raises InputError with all that is wrong in it."""
    raise NotImplementedError


def made(draft: Draft, command: Command, before: House | None = None) -> Draft:
    """The draft with the command done, checked as a whole; `draft` stays as it is.

    `before`, a house made of an earlier draft by `house_of`, makes the check quick. Raises NotDone
    for what cannot be, CannotWrite where the text is written in a way that cannot be edited.
    """
    raise NotImplementedError


def tried(draft: Draft, command: Command) -> Draft:
    """The draft with the command done, not checked and its text not yet written: for a drag.

    Raises NotDone for what is seen to be impossible at once; `house_of` tells the rest.
    """
    raise NotImplementedError


def house_of(draft: Draft, before: House | None = None) -> House:
    """The house that the draft says; `before` is one made by this function of an earlier draft.

    Where little has changed since then the rest is taken over. Raises NotDone.
    """
    raise NotImplementedError
