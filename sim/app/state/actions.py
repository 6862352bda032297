"""Everything that can happen to the window; the loop does what reaches outside the state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layouts import Problem
from sim.app.state.access import MoreTools
from sim.app.state.choosing_actions import ChoosingAction
from sim.app.state.drawing_actions import DRAWING_COMMANDS, DrawingAction
from sim.app.state.feed_actions import (
    AcceptFeeds,
    FeedsLost,
    FeedsProposed,
    FeedsSought,
    FeedsWritten,
    NoFeeds,
    ProposeFeeds,
    StopProposing,
    UndoFeeds,
    WriteFeeds,
)
from sim.app.state.feedback_actions import (
    AskSharing,
    HushSaved,
    NotShared,
    OpenFolder,
    PutAside,
    RevertOne,
    ScrollHelp,
    Shared,
    SharedSoFar,
    ShareNow,
    ShowAllLayers,
    StopSharing,
    TellAgain,
)
from sim.app.state.layer_actions import LayerEdit
from sim.app.state.layers import Value
from sim.app.state.mending_record import MendingAction, SaveFaults
from sim.app.state.number_actions import NumberAction
from sim.app.state.record import Facts
from sim.app.state.ribbon_actions import RibbonAction
from sim.app.state.sighted_record import SaveSeen, SightedAction
from sim.app.state.step_actions import FoundDrawing, Redo, TakeUpDrawing, Undo
from sim.app.state.touch_record import TouchAction
from sim.app.state.unsaved import Unsaved


@dataclass(frozen=True)
class Tick:
    """Time has passed."""

    seconds: float


@dataclass(frozen=True)
class Loaded:
    """The files were read."""

    facts: Facts


@dataclass(frozen=True)
class Refused:
    """A file could not be read; the last good picture stays."""

    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Failed:
    """Something failed inside; the window goes on with what it has."""

    text: str


@dataclass(frozen=True)
class FoundUnsaved:
    """An earlier window left values that are not in the file."""

    left: Unsaved


@dataclass(frozen=True)
class Answer:
    """Answer the question: one of its answers by name, or by number from 1."""

    answer: str | int


@dataclass(frozen=True)
class Open:
    """Show another scheme file."""

    path: str


@dataclass(frozen=True)
class ValuesWritten:
    """The values stand in the scheme file, whose content has this digest now."""

    digest: str


@dataclass(frozen=True)
class CeilingMeasured:
    """The ceiling of the scheme as it stands is known (None: being computed), and what holds it."""

    ceiling: float | None
    limit: str = ""


@dataclass(frozen=True)
class Say:
    """A short line for the person."""

    text: str


@dataclass(frozen=True)
class PlayPause:
    """Start or stop the clock of the scheme."""


@dataclass(frozen=True)
class Seek:
    """Show another time [s]."""

    time_s: float


@dataclass(frozen=True)
class Step:
    """Move by frames of the scheme, and stop there."""

    frames: int


@dataclass(frozen=True)
class StepSeconds:
    """Move by seconds."""

    seconds: float


@dataclass(frozen=True)
class Jump:
    """To the first or the last frame."""

    to: Literal["start", "end"]


@dataclass(frozen=True)
class Set:
    """Give a control a value; `control` is an id of `controls.controls`."""

    control: str
    value: Value


@dataclass(frozen=True)
class Nudge:
    """Move the control that has the keys, or another one, by steps."""

    steps: int
    control: str | None = None


@dataclass(frozen=True)
class Activate:
    """Press the control that has the keys."""


@dataclass(frozen=True)
class Focus:
    """Give the keys to the next or previous control, opening the drawer if it is shut."""

    steps: int


@dataclass(frozen=True)
class Back:
    """Leave whatever is in front: help, the focus, the selection, the banner."""


@dataclass(frozen=True)
class ToggleOverlay:
    """Show or hide one overlay."""

    name: str


@dataclass(frozen=True)
class ToggleDrawer:
    """Open or shut the drawer."""


@dataclass(frozen=True)
class ToggleHelp:
    """Show or hide the list of keys."""


@dataclass(frozen=True)
class ToggleCompare:
    """Two kinds side by side, or one."""


@dataclass(frozen=True)
class MoveDivider:
    """To a share of the picture's width."""

    to: float


@dataclass(frozen=True)
class NudgeDivider:
    """By a share of the picture's width."""

    by: float


@dataclass(frozen=True)
class Drag:
    """Start dragging the ribbon, the divider, the scroll bar or the slider of an id; None ends it.

    `grip_px` is how far right of a knob's middle it was taken.
    """

    what: str | None
    grip_px: float = 0.0


@dataclass(frozen=True)
class Select:
    """Look closely at one pixel of the house; None ends it."""

    pixel: int | None


@dataclass(frozen=True)
class StepPixel:
    """To the next or previous pixel of the house."""

    by: int


@dataclass(frozen=True)
class StepRun:
    """To the first pixel of the next or previous run."""

    by: int


@dataclass(frozen=True)
class Expose:
    """Brighter (negative) or darker pictures, in EV."""

    by_ev: float


@dataclass(frozen=True)
class Resize:
    """The window has another size [px]."""

    size_px: tuple[int, int]


@dataclass(frozen=True)
class Zoom:
    """Larger or smaller type, by steps."""

    steps: int


@dataclass(frozen=True)
class Scroll:
    """Move the drawer's content [px at 100 %]; `limit` is how far it can go."""

    by: float
    limit: float


@dataclass(frozen=True)
class Revert:
    """Back to what the scheme file says."""


# --- what only the loop can do ---


@dataclass(frozen=True)
class WriteValues:
    """Write the changed values to the scheme file."""


@dataclass(frozen=True)
class Screenshot:
    """Save the whole window as a PNG."""


@dataclass(frozen=True)
class FullScreen:
    """Fill the screen, or go back."""


@dataclass(frozen=True)
class Quit:
    """Close the window."""


Command = WriteValues | WriteFeeds | Screenshot | FullScreen | OpenFolder | Quit
COMMANDS = (
    WriteValues, WriteFeeds, Screenshot, FullScreen, OpenFolder, Quit, SaveFaults, SaveSeen,
    *DRAWING_COMMANDS,
)  # fmt: skip
Action = (
    Tick | Loaded | Refused | Failed | FoundUnsaved | Answer | Open | ValuesWritten
    | CeilingMeasured | Say | PlayPause | Seek | Step | StepSeconds | Jump | Set | Nudge | Activate
    | Focus | Back | ToggleOverlay | ToggleDrawer | ToggleHelp | ToggleCompare | MoveDivider
    | NudgeDivider | Drag | Select | StepPixel | StepRun | Expose | Resize | Zoom | Scroll | Revert
    | Undo | Redo | FoundDrawing | TakeUpDrawing | ProposeFeeds | StopProposing | AcceptFeeds
    | UndoFeeds | FeedsSought | FeedsProposed | NoFeeds | FeedsLost | FeedsWritten | Command
    | DrawingAction | RibbonAction | TouchAction | PutAside | TellAgain | RevertOne | ShowAllLayers
    | AskSharing | ShareNow | StopSharing | SharedSoFar | Shared | NotShared | HushSaved
    | ScrollHelp | ChoosingAction | LayerEdit | NumberAction | MoreTools | MendingAction
    | SightedAction
)  # fmt: skip
#: What the drawer's buttons do, by their ids.
BUTTONS: dict[str, Action] = {
    "write": WriteValues(), "revert": Revert(), "propose": ProposeFeeds(),
    "stop-proposing": StopProposing(), "accept": AcceptFeeds(), "undo": UndoFeeds(),
    "write-feeds": WriteFeeds(),
}  # fmt: skip
