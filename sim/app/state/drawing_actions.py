"""Everything that can happen to the drawing board."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, get_args

from layouts import House
from sim.app.edit.commands import PointM
from sim.app.edit.draft import Draft
from sim.app.edit.photo_sight import PhotoSight
from sim.app.state.drawing import Pick, Tool


@dataclass(frozen=True)
class BoardOpened:
    """The house file is read as a draft, or what was drawn before is taken up again.

    `base` is the drawing as its file has it where nothing is drawn, `sight` its photograph.
    """

    draft: Draft
    house: House
    base: Draft | None = None
    sight: PhotoSight | None = None


@dataclass(frozen=True)
class CloseBoard:
    """Leave the drawing tools; what is drawn stays on show."""


@dataclass(frozen=True)
class UseTool:
    """Take a tool."""

    tool: Tool


@dataclass(frozen=True)
class PointTo:
    """The pointer is at a place [m]; `reach_m` is how near something must be to be meant."""

    at_m: PointM
    reach_m: float


@dataclass(frozen=True)
class PressAt:
    """A press there: choose and take hold, put a corner, put a thing, as the tool does."""

    at_m: PointM
    reach_m: float
    also: bool = False  # choose besides what is chosen already
    twice: bool = False  # the second press of a double click


@dataclass(frozen=True)
class LetGo:
    """What is held is dropped where it is."""


@dataclass(frozen=True)
class UsePoint:
    """By key: what a press at the cross would do; what is held is dropped."""


@dataclass(frozen=True)
class Done:
    """The line, the port or the zone is complete; what is typed is taken."""


@dataclass(frozen=True)
class GiveUp:
    """Leave what was begun last: typing, a line, what is held, what is chosen."""


@dataclass(frozen=True)
class TakeBack:
    """The last corner, or the last character typed, goes."""


@dataclass(frozen=True)
class TypeIn:
    """A character of a length, an angle, a pitch or a name."""

    text: str


@dataclass(frozen=True)
class StepThing:
    """Choose the next or previous thing."""

    by: int


@dataclass(frozen=True)
class StepCorner:
    """The next or previous corner: of what is chosen, else of the house, for the cross."""

    by: int


@dataclass(frozen=True)
class Arrow:
    """By steps of the house's units: what is held, what is chosen, or the cross."""

    right: int
    up: int


@dataclass(frozen=True)
class GrabIt:
    """Take hold of what is chosen, by key."""


@dataclass(frozen=True)
class AddCorner:
    """A corner more in what is chosen: at the cross, or after the chosen corner."""


@dataclass(frozen=True)
class DeleteChosen:
    """What is chosen goes; `along` what would hang in the air without it, too."""

    along: bool = False


@dataclass(frozen=True)
class Repeat:
    """Once more, beside itself; a typed length says how far."""


@dataclass(frozen=True)
class Mirror:
    """A copy the other way round, about the middle of the house or a typed x."""


@dataclass(frozen=True)
class Raise:
    """A surface painted later (nearer), or earlier."""

    places: int


@dataclass(frozen=True)
class Choose:
    """Choose a thing; None: nothing."""

    pick: Pick | None


@dataclass(frozen=True)
class StepField:
    """To the next or previous row of the panel."""

    by: int


@dataclass(frozen=True)
class StepValue:
    """The next or previous value of the row that has the keys."""

    by: int


@dataclass(frozen=True)
class OpenField:
    """A row of the panel gets the keys; pressed again, its list opens or shuts."""

    key: str


@dataclass(frozen=True)
class SetField:
    """A row of the panel has a value now."""

    key: str
    value: Any


@dataclass(frozen=True)
class ToggleCatch:
    """One way to be caught on or off; "" is all of them."""

    name: str = ""


@dataclass(frozen=True)
class ToggleBoard:
    """A switch of the board: "grid", "daylight" or "plain_light"."""

    name: str


@dataclass(frozen=True)
class Enlarge:
    """The view nearer or farther, about a place of the picture in shares; 0: all of it."""

    steps: int
    about: tuple[float, float] = (0.5, 0.5)


@dataclass(frozen=True)
class MoveView:
    """The enlarged view moved by shares of what is seen."""

    right: float
    up: float


@dataclass(frozen=True)
class DraftFiled:
    """The house file holds this text now, and its bytes have this digest."""

    text: str
    digest: str


# --- what only the loop can do ---


@dataclass(frozen=True)
class OpenBoard:
    """Read the house file and put it on the drawing board, or leave the board."""


@dataclass(frozen=True)
class WriteDraft:
    """Write what is drawn to the house file."""


DRAWING_COMMANDS = (OpenBoard, WriteDraft)
DrawingAction = (
    BoardOpened | CloseBoard | UseTool | PointTo | PressAt | LetGo | UsePoint | Done | GiveUp
    | TakeBack | TypeIn | StepThing | StepCorner | Arrow | GrabIt | AddCorner | DeleteChosen
    | Repeat | Mirror | Raise | Choose | StepField | StepValue | OpenField | SetField
    | ToggleCatch | ToggleBoard | Enlarge | MoveView | DraftFiled | OpenBoard
    | WriteDraft
)  # fmt: skip
#: What the state answers: all but the commands.
DRAWING_ACTIONS = tuple(set(get_args(DrawingAction)) - set(DRAWING_COMMANDS))
