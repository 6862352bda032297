"""The edits of a paper made in the text of its document."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.files.document import parse
from layouts.files.edits import CannotWrite, Edit, Put, Remove, Reorder, applied, edited


def text_with(text: str, edits: Sequence[Edit], file: str) -> str:
    """The text with the edits made, all else as it was to the byte.

    What stands for something written elsewhere (an alias) is written out where it is changed.
    Raises CannotWrite where the text is written in a way that cannot be edited.
    """
    try:
        return edited(text, edits, file)
    except CannotWrite:
        for edit in edits:
            text = _made(text, edit, file)
        return text


def _made(text: str, edit: Edit, file: str) -> str:
    try:
        return edited(text, [edit], file)
    except CannotWrite:
        if isinstance(edit, Reorder):  # lists in brackets, or a last line that does not end
            held = parse(text, file).data
            for step in edit.path[:-1]:
                held = held[step]
            rest = applied({"": held}, Remove(("", edit.path[-1])))[""]
            entry = held[edit.path[-1]]
            there = [*rest[: edit.to], entry, *rest[edit.to :]]
            return edited(text, [Remove(edit.path), Put(edit.path[:-1], there)], file)
        if not isinstance(edit, Put) or not isinstance(edit.path[-1], str):
            raise
        try:
            return edited(text, [Remove(edit.path), edit], file)
        except CannotWrite:
            pass
        raise
