"""Actions of the history, and of drawings that an earlier window left."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.history_record import DraftLike
from sim.app.state.unsaved import UnsavedDrawing


@dataclass(frozen=True)
class Undo:
    """Take the last step back."""


@dataclass(frozen=True)
class Redo:
    """Do the step last taken back again."""


@dataclass(frozen=True)
class FoundDrawing:
    """An earlier window left a drawing of this house that is not in its file."""

    left: UnsavedDrawing


@dataclass(frozen=True)
class TakeUpDrawing:
    """The drawing that was left is on show again."""

    draft: DraftLike
