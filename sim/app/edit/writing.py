"""A draft put into its file, and kept apart from it for when the window ends without asking."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from layouts.files.document import parse
from layouts.files.write import digest
from layouts.files.writeback import write_text
from layouts.known import Known
from layouts.load import house_of
from sim.app.edit.draft import Draft, draft_from_text


def write(draft: Draft, path: str | Path | None = None) -> Draft:
    """Puts the draft into its house file, and returns it as one that is written.

    The file must still hold what the draft was read from. Its text before is kept beside it, as
    `.name.bak`. With another `path`, into a file that is not there yet, or holds the same already.

    Raises Conflict where the file was changed by somebody else (`keep_both` of
    `layouts.files.writeback` then puts the draft beside it), InputError where the text is no
    house, CannotWrite or OSError; the file is then as it was.
    """
    target = draft.file if path is None else str(path)
    expected = draft.digest if target == draft.file else ""
    written = write_text(
        target,
        draft.text,
        expected=expected,
        validate=lambda text: house_of(parse(text, target), Known()),
    )
    return replace(draft, file=target, digest=written, source=draft.text, edits=())


@dataclass(frozen=True)
class KeptDraft:
    """A drawing that is not written yet, as plain data: what brings it back."""

    file: str
    digest: str  # of the bytes that the file had when the drawing began
    text: str


def unsaved_of(draft: Draft) -> KeptDraft | None:
    """What of a draft would be lost with the window; None where it is as its file was read."""
    as_read = (draft.text.encode(), draft.text.encode("utf-8-sig"))  # with a mark at its start, too
    if draft.digest in map(digest, as_read):
        return None
    return KeptDraft(draft.file, draft.digest, draft.text)


def draft_from(kept: KeptDraft) -> Draft:
    """The draft again. Raises InputError where the text is no house any more.

    Writing it still asks for the file as it was when the drawing began, so what somebody else has
    written since is not lost.
    """
    return draft_from_text(kept.text, kept.file, kept.digest)
