"""What the window knows, as one frozen record. Nothing here draws, loads or waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from layouts import Problem
from sim.app.state.access import Access
from sim.app.state.choosing_record import Choosing
from sim.app.state.drawing import Board
from sim.app.state.feedback import Feedback
from sim.app.state.history_record import DraftLike, History
from sim.app.state.layers import REST, LayerMark, LayerValue, Value, numbered, rest_text
from sim.app.state.mending_record import MendingTrial
from sim.app.state.number_actions import NumberField
from sim.app.state.ribbon_view import RibbonView
from sim.app.state.sighted_record import Sighted
from sim.app.state.touch_record import Touch
from sim.app.state.unsaved import Unsaved, UnsavedDrawing

#: What can be laid over the house, in the order of the tool row.
OVERLAYS = ("volts", "runs", "wires", "zones")
HOURS = ("dusk", "evening", "late")
#: What lies on the ground: as the house file says, or tried out.
ON_THE_GROUND = ("as drawn", "grass", "wet", "snow")
COLOURS = ("matched", "raw")
WHITES = ("off", "most", "economy", "common")
#: Sizes of type and widgets a person can choose, as factors.
SCALES = (1.0, 1.25, 1.5, 1.75, 2.0)
#: How far the exposure may be moved from the scene's own [EV].
EXPOSURE_REACH_EV = 6.0

#: (the layer, name of the parameter); `palette` and `opacity` are names too.
EditKey = tuple[LayerMark, str]


@dataclass(frozen=True)
class ParameterFacts:
    """One thing of a layer that can be set: from the parameter table of its effect."""

    name: str
    value: Value  # as the scheme file has it
    unit: str = ""
    low: float = 0.0
    high: float = 1.0
    choices: tuple[str, ...] = ()
    help: str = ""
    whole: bool = False
    usual: float = 0.0  # what the effect takes where the file says nothing


@dataclass(frozen=True)
class LayerFacts:
    """One layer of the scheme in the file."""

    effect: str
    zones: tuple[str, ...]
    parameters: tuple[ParameterFacts, ...]
    colours: tuple[str, ...] = ()  # where the file lists them itself instead of a palette
    #: What it is known by where it stands among layers moved, added or changed in the window.
    own: LayerMark | None = None

    @property
    def mark(self) -> LayerMark:
        """What the layer is in its file, apart from where it stands."""
        held = {parameter.name: parameter.value for parameter in self.parameters}
        palette = self.colours or str(held.get("palette", ""))
        rest = tuple((name, rest_text(held[name])) for name in REST if name in held)
        settings = tuple((name, value) for name, value in held.items() if name not in _APART)
        return LayerMark(self.effect, self.zones, palette, settings, rest)

    def parameter(self, name: str) -> ParameterFacts | None:
        """The parameter of a name, or None where the layer has none such."""
        return next((one for one in self.parameters if one.name == name), None)


#: What a mark holds in fields of their own.
_APART = frozenset({"effect", "zones", "palette", *REST})


@dataclass(frozen=True)
class RunFacts:
    """One run: its name and which pixels of the house it holds."""

    name: str
    first: int
    count: int


@dataclass(frozen=True)
class Facts:
    """What the files say, in the words the window needs; made by `sim.app.work.stage`."""

    house: str
    scheme: str
    scheme_file: str
    schemes: tuple[tuple[str, str], ...]  # (path, name) of every scheme beside the house
    kinds: tuple[str, ...]
    own_kinds: tuple[str, ...]  # the kinds the house file itself names
    runs: tuple[RunFacts, ...]
    layers: tuple[LayerFacts, ...]
    brightness: float
    colour: str
    white: str | float
    fps: float
    span_s: float  # what the ribbon shows: one period, or the seconds scanned
    frames: int  # in that span
    scheme_digest: str = ""  # of the file's bytes as they were read
    unfed: tuple[str, ...] = ()  # runs that no supply of the file reaches in full
    zones: tuple[str, ...] = ()  # of the house: of all pixels, of each run, and its own
    #: The layers as the file has them, where `layers` are those that the window made of them.
    filed: tuple[LayerFacts, ...] | None = None

    @cached_property
    def marks(self) -> tuple[LayerMark, ...]:
        """What each layer is known by, in the order in which they are laid."""
        if self.filed is not None:
            return tuple(layer.own or layer.mark for layer in self.layers)
        return numbered(layer.mark for layer in self.layers)

    @cached_property
    def file_marks(self) -> tuple[LayerMark, ...]:
        """What each layer of the file is, in the file's order."""
        return self.marks if self.filed is None else numbered(one.mark for one in self.filed)

    def parameter(self, mark: LayerMark, name: str) -> ParameterFacts | None:
        """What the layer of a mark has by a name; None where it has none such, or there is none."""
        if mark not in self.marks:
            return None
        return self.layers[self.marks.index(mark)].parameter(name)

    @property
    def pixels(self) -> int:
        """How many pixels the house has."""
        return sum(run.count for run in self.runs)


@dataclass(frozen=True)
class Message:
    """A short line that goes away by itself."""

    text: str
    left_s: float


@dataclass(frozen=True)
class Question:
    """Nothing is lost until it is answered. `answers` are (what `Answer` says, label)."""

    title: str
    lines: tuple[str, ...]
    answers: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Asking:
    """Feeds are asked for: every channel full at a brightness 0..1, with a kind of pixel."""

    number: int
    kind: str | None
    brightness: float


@dataclass(frozen=True)
class Proposed:
    """What is said of feeds that were proposed; `number` is that of the asking."""

    number: int
    kind: str | None
    title: str
    lines: tuple[str, ...]
    accepted: bool = False
    laid: bool = False  # wires were laid over the house for it
    file: str = ""  # the name of the house file they can be written to; "" where they cannot


def _no_edits() -> Mapping[EditKey, Value]:
    return MappingProxyType({})


@dataclass(frozen=True)
class State:
    """Everything a click or a key can change. `update` makes the next one."""

    house_path: str
    scheme_path: str | None = None
    facts: Facts | None = None
    problems: tuple[Problem, ...] = ()

    time_s: float = 0.0
    playing: bool = True
    hour: str = "late"
    ground: str = "as drawn"
    exposure_offset_ev: float = 0.0
    calm: bool = False  # limit how fast the picture may change

    brightness: float | None = None  # None: as the scheme file says
    colour: str | None = None
    white: str | float | None = None
    edits: Mapping[EditKey, Value] = field(default_factory=_no_edits)
    #: The layers one over the other, where that differs from the file; None: as the file has it.
    order: tuple[LayerMark, ...] | None = None
    hidden: frozenset[LayerMark] = frozenset()
    only: LayerMark | None = None
    aside: tuple[LayerValue, ...] = ()  # unsaved values whose layer is not certainly in the file
    collided: frozenset[str] = frozenset()  # controls set here and, since then, in the file
    recovered: Unsaved | None = None  # left by an earlier window, waiting for an answer
    question: Question | None = None
    fault: str = ""  # what failed inside
    asked: int = 0  # how often feeds were asked for
    asking: Asking | None = None
    planned_share: float = 0.0  # how much of the search is done
    proposal: Proposed | None = None
    no_plan: str = ""  # why no feeds could be proposed
    draft: DraftLike | None = None  # the drawing on show; None: as the house file has it
    left_drawing: UnsavedDrawing | None = None  # by an earlier window, waiting for an answer
    #: The text of the house file, once something is drawn on it, and the digest of its bytes: as
    #: it was read, or as this window last wrote it.
    filed: str = ""
    filed_digest: str = ""
    history: History = field(default_factory=History)
    choosing: Choosing | None = None  # what is chosen by looking, while its page is open
    number: NumberField | None = None  # a value that is being typed
    board: Board | None = None  # the drawing tools, while they are open
    feedback: Feedback = field(default_factory=Feedback)  # folded, put aside, saved
    ceiling: float | None = None  # the highest brightness within every limit, once known
    ceiling_limit: str = ""  # what is at its limit there

    kind: str | None = None  # None: the kinds of the house file
    compare: bool = False
    other: str | None = None  # the kind right of the divider
    divider: float = 0.5  # of the picture's width
    ribbon: RibbonView = field(default_factory=RibbonView)

    overlays: frozenset[str] = frozenset()
    bands: bool = True  # how sure the currents are: a soft area behind curve and supply bars
    drawer: bool = False
    drawer_open: float = 0.0  # 0 shut .. 1 open; follows `drawer`
    scroll: float = 0.0  # of the drawer [px at 100 %]
    help: bool = False
    touch: Touch = field(default_factory=Touch)
    access: Access = field(default_factory=Access)
    mending: MendingTrial = field(
        default_factory=MendingTrial
    )  # what is broken for a trial, the sheet
    sighted: Sighted = field(default_factory=Sighted)  # what was seen, and what follows
    selection: int | None = None  # pixel of the house
    focus: str | None = None  # control that the keys move
    drag: str | None = None  # "ribbon", "divider", "scroll", or the id of a slider
    grip_px: float = 0.0  # how far right of a knob's middle it was taken

    size_px: tuple[int, int] = (1280, 720)
    scale: float = 1.0
    message: Message | None = None

    @property
    def frame(self) -> int:
        """The frame of the scheme that is on show: the controller sends nothing in between."""
        return int(self.time_s * self.facts.fps + 1e-6) if self.facts else 0

    @property
    def frame_s(self) -> float:
        """When the frame on show was sent [s]."""
        return self.frame / self.facts.fps if self.facts else 0.0

    @property
    def shown_brightness(self) -> float:
        """The master brightness in force, 0..1."""
        if self.brightness is not None:
            return self.brightness
        return self.facts.brightness if self.facts else 1.0

    @property
    def changed(self) -> bool:
        """Whether something differs from the scheme file that could be written to it."""
        asked = (self.brightness, self.colour, self.white)
        listed = self.aside or self.order is not None or any(map(self.in_force, self.edits))
        return bool(listed) or any(value is not None for value in asked)

    def in_force(self, key: EditKey) -> bool:
        """Whether an edit is of a layer on show, whose effect knows it; others are at rest."""
        return self.facts is not None and self.facts.parameter(*key) is not None

    def value(self, layer: int, name: str) -> Value:
        """What a parameter of a layer stands at: the edit, or what the file says."""
        assert self.facts is not None
        if self.edits:
            edit = self.edits.get((self.facts.marks[layer], name))
            if edit is not None:
                return edit
        parameter = self.facts.layers[layer].parameter(name)
        if parameter is None:
            raise KeyError(name)
        return parameter.value
