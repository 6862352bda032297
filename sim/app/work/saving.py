"""Writing the window's values to scheme files."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from pathlib import Path

from effects import Scheme
from effects.load import scheme_from_text
from layouts import EvenfallError, House
from layouts.file_names import SCHEME_ENDING
from layouts.files.edits import Edit
from layouts.files.write import digest
from layouts.files.writeback import write_edits
from sim.app.state.layer_facts import layer_facts
from sim.app.state.layers import numbered
from sim.app.state.record import Facts, State
from sim.app.state.settings import changes_of
from sim.app.work.layer_writing import edits_of


def differs(state: State) -> bool:
    """Whether there is anything to write; values set aside wait for their layer."""
    return bool(changes_of(state)) or state.order is not None


def write(state: State, house: House) -> str:
    """Put the unsaved values into the scheme file, if it still is as it was read.

    Returns the digest of its new content.

    Raises Conflict, InputError, CannotWrite or OSError like `write_edits`; EvenfallError where the
    window has not read yet what it wrote itself.
    """
    facts = state.facts
    assert facts is not None
    path = facts.scheme_file
    return write_edits(path, _edits(state, house), expected=facts.scheme_digest or None,
                       validate=_reads(path, house))  # fmt: skip


def write_beside(state: State, house: House) -> Path:
    """Put the scheme with the unsaved values into a new file beside its own; returns which."""
    facts = state.facts
    assert facts is not None
    path = Path(facts.scheme_file)
    stem = path.name.removesuffix(".yaml").removesuffix(".scheme")
    names = (path.with_name(f"{stem}-{number}{SCHEME_ENDING}") for number in count(2))
    other = next(name for name in names if not name.exists())
    write_edits(path, _edits(state, house), expected=facts.scheme_digest or None,
                validate=_reads(str(path), house), to=other)  # fmt: skip
    return other


def _edits(state: State, house: House) -> list[Edit]:
    """What to do to the file; nothing where it is another one, which the writing itself refuses."""
    facts = state.facts
    assert facts is not None
    path = Path(facts.scheme_file)
    try:
        held = path.read_bytes()
        text = held.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return []
    if facts.scheme_digest and digest(held) != facts.scheme_digest:
        return []
    if state.order is not None:
        _must_be_read(facts, scheme_from_text(text, str(path), house))
    return edits_of(state, text)


def _must_be_read(facts: Facts, scheme: Scheme) -> None:
    """Layers are moved and removed by number: those must be numbers of the file as it is now.

    Just written, or just taken back, it holds other layers than the window knows of until it is
    read again: the same removal would then take another layer.
    """
    if numbered(layer_facts(layer).mark for layer in scheme.layers) != facts.file_marks:
        raise EvenfallError("the scheme file is being read again; write once more in a moment")


def _reads(path: str, house: House) -> Callable[[str], object]:
    return lambda text: scheme_from_text(text, path, house)
