"""One row of the table of controls."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from sim.app.state.layers import Value
from sim.app.state.record import Facts, State

Form = Literal["slider", "choice", "switch", "button", "head", "field"]


@dataclass(frozen=True)
class InFile:
    """How a setting stands in the scheme file.

    `where` is the path of its node, `held` what the file says, `mine` the unsaved value or None.
    """

    where: tuple[str | int, ...]
    held: Callable[[Facts], Value]
    mine: Callable[[State], Value | None]


def _no_options(_: State) -> tuple[str, ...]:
    return ()


def _no_mark(_: State) -> float | None:
    return None


def _always(_: State) -> bool:
    return True


def _unmoved(state: State, _: Value) -> State:
    return state


@dataclass(frozen=True)
class Setting:
    """All there is to know of one thing that can be set.

    `read` gives its value from the state and `put` the state after it was given one. `spoken` is
    its name where it is told alone, out of its place in the drawer.
    """

    key: str
    label: str
    section: str
    form: Form
    read: Callable[[State], Value]
    put: Callable[[State, Value], State] = _unmoved
    spoken: str = ""
    options: Callable[[State], tuple[str, ...]] = _no_options
    low: float = 0.0
    high: float = 1.0
    step: float = 0.01
    knee: float = 0.0  # above 0: fine below about this, coarse far above it
    unit: str = ""
    mark: Callable[[State], float | None] = _no_mark
    help: str | Callable[[State], str] = ""
    shown: Callable[[State], bool] = _always
    file: InFile | None = None  # None: a matter of the window alone
    beside: bool = False  # stands in the header of its section
    whole: bool = False  # takes whole numbers only
    opens: str = ""  # what is chosen by looking: the page it opens
    usual: float | None = None  # what a slider stands at where nobody says anything
