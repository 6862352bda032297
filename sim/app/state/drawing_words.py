"""What is asked of the person about a drawing, and what is said of it. Pure."""

from __future__ import annotations

from sim.app.state.record import Question

#: What `Answer` says; the loop does the first, because it reaches the disk.
KEEP_BOTH, NOT_NOW = "keep-both-drawings", "drawing-not-now"


def changed_meanwhile(name: str) -> Question:
    """The house file is another one than was drawn on."""
    lines = ("Somebody saved it since it was read; it is not overwritten.",
             "Yours can be put beside it, under a name of its own.")  # fmt: skip
    answers = ((KEEP_BOTH, "Keep both: put mine beside it"), (NOT_NOW, "Not now"))
    return Question(f"{name} was changed meanwhile", lines, answers)
