"""Writing the window's values to scheme files."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from pathlib import Path

from effects.load import scheme_from_text
from layouts import House
from layouts.file_names import SCHEME_ENDING
from layouts.files.writeback import write_edits
from sim.app.state.record import State
from sim.app.state.settings import changes_of
from sim.app.work.layer_writing import edits_of


def differs(state: State) -> bool:
    """Whether there is anything to write; values set aside wait for their layer."""
    return bool(changes_of(state)) or state.order is not None


def write(state: State, house: House) -> str:
    """Put the unsaved values into the scheme file, if it still is as it was read.

    Returns the digest of its new content.

    Raises Conflict, InputError, CannotWrite or OSError like `write_edits`.
    """
    facts = state.facts
    assert facts is not None
    path = facts.scheme_file
    return write_edits(path, edits_of(state, _text(path)), expected=facts.scheme_digest or None,
                       validate=_reads(path, house))  # fmt: skip


def write_beside(state: State, house: House) -> Path:
    """Put the scheme with the unsaved values into a new file beside its own; returns which."""
    facts = state.facts
    assert facts is not None
    path = Path(facts.scheme_file)
    stem = path.name.removesuffix(".yaml").removesuffix(".scheme")
    names = (path.with_name(f"{stem}-{number}{SCHEME_ENDING}") for number in count(2))
    other = next(name for name in names if not name.exists())
    write_edits(path, edits_of(state, _text(path)), expected=facts.scheme_digest or None,
                validate=_reads(str(path), house), to=other)  # fmt: skip
    return other


def _text(path: str | Path) -> str:
    """What the file holds; what is no text is refused by the writing itself."""
    try:
        return Path(path).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return ""


def _reads(path: str, house: House) -> Callable[[str], object]:
    return lambda text: scheme_from_text(text, path, house)
