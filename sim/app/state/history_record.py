"""What can be taken back, as records: every step holds what it changed and nothing else.

Ten thousand steps of a large drawing must stay small, so a step keeps the difference of two texts,
not the texts; and it must stand while files change around it, so it keeps the difference of two
states, not the states. `sim.app.state.history` makes and applies them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Protocol

from sim.app.state.layers import LayerMark, LayerValue, Value

if TYPE_CHECKING:
    from layouts.faults import Fault
    from sim.app.state.record import Proposed
    from sim.app.state.sighted_record import SeenLine

#: What is broken for a trial, and what was seen.
Trial = tuple["tuple[Fault, ...]", "tuple[SeenLine, ...]"]
#: What a value belongs to: a layer, or the whole scheme (None); and its name.
What = tuple[LayerMark | None, str]


class DraftLike(Protocol):
    """The drawing on show as this history needs it; a frozen record with at least these."""

    @property
    def text(self) -> str:
        """The whole text of the house file, as drawn."""
        ...

    @property
    def file(self) -> str:
        """The house file."""
        ...

    @property
    def digest(self) -> str:
        """Of the bytes the file had when it was read."""
        ...


@dataclass(frozen=True, slots=True)
class ValueStep:
    """One value of the scheme, in force before and after; `asked` where the file had another."""

    what: What
    before: Value
    after: Value
    asked_before: bool = False
    asked_after: bool = False


@dataclass(frozen=True, slots=True)
class TextPiece:
    """A stretch of a text that gave way to another, and where it stands in either text."""

    old_at: int
    new_at: int
    old: bytes
    new: bytes


@dataclass(frozen=True, slots=True)
class TextStep:
    """One text became another; the checks tell which text is which."""

    pieces: tuple[TextPiece, ...]
    check_before: int
    check_after: int


@dataclass(frozen=True, slots=True)
class DraftStep:
    """The drawing became another: `ends` are both, while the step is young or one is None.

    Later `text` is their difference, with the `digests` of either.
    """

    ends: tuple[DraftLike | None, DraftLike | None]
    text: TextStep | None = None
    digests: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class FileStep:
    """A file was written; `values` say what of the scheme it held before and from then on."""

    file: str
    text: TextStep
    digests: tuple[str, str]
    values: tuple[ValueStep, ...] = ()
    #: Every layer that the scheme file held before: what it was, and what it is known by now.
    listed: tuple[tuple[LayerMark, LayerMark], ...] = ()
    order: tuple[LayerMark, ...] = ()  # and the layers that were written


@dataclass(frozen=True, slots=True)
class HistoryStep:
    """Everything that one step changed. `scheme` is the scheme file its values belong to."""

    label: str
    joins: str = ""
    scheme: str = ""
    values: tuple[ValueStep, ...] = ()
    aside: tuple[tuple[LayerValue, ...], tuple[LayerValue, ...]] | None = None
    proposal: tuple[Proposed | None, Proposed | None] | None = None
    draft: DraftStep | None = None
    wrote: FileStep | None = None
    #: The layers one over the other, before and after.
    order: tuple[tuple[LayerMark, ...], tuple[LayerMark, ...]] | None = None
    #: What is broken for a trial and what was seen, before and after; no file has it.
    trial: tuple[Trial, Trial] | None = None
    #: The kind of pixel on the whole house, before and after; None: as its file says.
    kind: tuple[str | None, str | None] | None = None


def _nothing() -> Mapping[What, Value]:
    return MappingProxyType({})


@dataclass(frozen=True)
class History:
    """Steps done, the last one last; steps taken back, the next to be done again last."""

    done: tuple[HistoryStep, ...] = ()
    undone: tuple[HistoryStep, ...] = ()
    open_s: float = 0.0  # for so long a step of the same kind still joins the last
    #: What the scheme file will hold once it is read again, after a writing was taken back.
    returning: Mapping[What, Value] = field(default_factory=_nothing)
    #: And its layers: what each will be there, and what it is known by now.
    listed: tuple[tuple[LayerMark, LayerMark], ...] = ()
