"""What is asked of the person about a drawing, and what is said of it. Pure."""

from __future__ import annotations

from sim.app.state.history_record import DraftLike
from sim.app.state.record import Question, State

#: What `Answer` says; the loop does the first, because it reaches the disk.
KEEP_BOTH, NOT_NOW = "keep-both-drawings", "drawing-not-now"


#: Said where feeds are asked for.
WRITE_FIRST = "Something is drawn that the house file does not have: write it first (Shift D, W)"


def drawing(state: State) -> DraftLike | None:
    """The drawing on show; on the board there is always one."""
    return state.board.draft if state.board is not None else state.draft


def unwritten(state: State) -> bool:
    """Whether something is drawn that the house file does not have."""
    draft = drawing(state)
    return draft is not None and draft.text != state.filed


def changed_meanwhile(name: str) -> Question:
    """The house file is another one than was drawn on."""
    lines = ("Somebody saved it since it was read; it is not overwritten.",
             "Yours can be put beside it, under a name of its own.")  # fmt: skip
    answers = ((KEEP_BOTH, "Keep both: put mine beside it"), (NOT_NOW, "Not now"))
    return Question(f"{name} was changed meanwhile", lines, answers)
