"""The key table. The help on F1 is drawn from it, so what is listed is what works."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from sim.app.state.actions import (
    AcceptFeeds,
    Action,
    Activate,
    Answer,
    AskSharing,
    Back,
    Expose,
    Focus,
    FullScreen,
    Jump,
    Nudge,
    NudgeDivider,
    OpenFolder,
    PlayPause,
    ProposeFeeds,
    Quit,
    Redo,
    Revert,
    RevertOne,
    Screenshot,
    ShareNow,
    ShowAllLayers,
    Step,
    StepPixel,
    StepRun,
    StepSeconds,
    StopProposing,
    TellAgain,
    ToggleCompare,
    ToggleDrawer,
    ToggleHelp,
    ToggleOverlay,
    Undo,
    UndoFeeds,
    WriteFeeds,
    WriteValues,
    Zoom,
)
from sim.app.state.choosing_actions import OpenPage, StepParts
from sim.app.state.drawing_actions import OpenBoard
from sim.app.state.mending_record import MendAll, MoveOnSheet, OpenSheet
from sim.app.state.number_actions import UsualValue
from sim.app.state.record import State
from sim.app.state.ribbon_actions import (
    ClearLoop,
    LoopFrom,
    LoopUntil,
    PanTime,
    StepMark,
    WholeTime,
    ZoomTime,
)
from sim.app.state.touch_record import LookCloser, MoreOfCard, StepTouch


class Press(NamedTuple):
    """A key as SDL names it, in lower case, with the modifiers that count."""

    key: str
    shift: bool = False
    ctrl: bool = False
    alt: bool = False

    def __str__(self) -> str:
        names = {"return": "Enter", "escape": "Esc", "page up": "Page up", "page down": "Page down",
                 ".": "Full stop", ",": "Comma"}  # fmt: skip
        key = names.get(self.key, self.key.capitalize() if len(self.key) > 1 else self.key.upper())
        held = ((self.ctrl, "Ctrl "), (self.alt, "Alt "), (self.shift, "Shift "))
        return "".join(name for on, name in held if on) + key


@dataclass(frozen=True)
class Binding:
    """One line of the table: any of the presses does `action`."""

    presses: tuple[Press, ...]
    action: Action
    label: str
    group: str
    focused: bool | None = None  # True: only while a control has the keys; False: only while none


def _key(text: str) -> tuple[Press, ...]:
    """`"shift+left, home"` → the presses it names."""
    presses = []
    for one in text.split(", "):
        *modifiers, key = one.split("+")
        presses.append(Press(key, *(one in modifiers for one in ("shift", "ctrl", "alt"))))
    return tuple(presses)


def bind(group: str, keys: str, action: Action, label: str, focused: bool | None = None) -> Binding:
    """One line of a table; `keys` are presses such as `"shift+left, home"`."""
    return Binding(_key(keys), action, label, group, focused)


#: The arrows and Space belong to the control that has the keys, and to time while none has.
BINDINGS: tuple[Binding, ...] = (
    bind("Time", "space", PlayPause(), "play or pause", False),
    bind("Time", "right", Step(1), "one frame on", False),
    bind("Time", "left", Step(-1), "one frame back", False),
    bind("Time", "shift+right", StepSeconds(1.0), "one second on"),
    bind("Time", "shift+left", StepSeconds(-1.0), "one second back"),
    bind("Time", "home", Jump("start"), "first frame"),
    bind("Time", "end", Jump("end"), "last frame"),
    bind("Ribbon", "m", StepMark(1), "next mark: peak or warning"),
    bind("Ribbon", "shift+m", StepMark(-1), "previous mark"),
    bind("Ribbon", "=", ZoomTime(1.5), "time closer (Ctrl wheel)"),
    bind("Ribbon", "-", ZoomTime(1 / 1.5), "time from farther away"),
    bind("Ribbon", "ctrl+right", PanTime(0.25), "later part of the time"),
    bind("Ribbon", "ctrl+left", PanTime(-0.25), "earlier part"),
    bind("Ribbon", "0", WholeTime(), "all of the time (double click)"),
    bind("Ribbon", "r", LoopFrom(), "repeat from here (Shift drag)"),
    bind("Ribbon", "shift+r", LoopUntil(), "repeat until here"),
    bind("Ribbon", "alt+r", ClearLoop(), "repeat nothing (Esc)"),
    bind("Light", "up", Nudge(1, "brightness"), "brightness up 1 %", False),
    bind("Light", "down", Nudge(-1, "brightness"), "brightness down 1 %", False),
    bind("Light", "shift+up", Nudge(10, "brightness"), "brightness up 10 %"),
    bind("Light", "shift+down", Nudge(-10, "brightness"), "brightness down 10 %"),
    bind("Light", "e", Expose(-0.25), "lighter picture, a quarter of an EV"),
    bind("Light", "shift+e", Expose(0.25), "darker picture"),
    bind("Light", "h", Nudge(1, "hour"), "next hour of the night"),
    bind("Light", "f", Nudge(1, "calm"), "reduce flashing"),
    bind("Light", "ctrl+h", Nudge(1, "contrast"), "high contrast"),
    bind("Compare", "page down", Nudge(1, "scheme"), "next scheme"),
    bind("Compare", "page up", Nudge(-1, "scheme"), "previous scheme"),
    bind("Compare", "k", Nudge(1, "kind"), "next kind of pixel"),
    bind("Compare", "c", ToggleCompare(), "compare with another kind of pixel"),
    bind("Compare", "shift+k", Nudge(1, "other"), "next kind to compare with"),
    bind("Compare", "[", NudgeDivider(-0.02), "divider to the left"),
    bind("Compare", "]", NudgeDivider(0.02), "divider to the right"),
    bind("Choose", "s", OpenPage("schemes"), "schemes of this house"),
    bind("Choose", "l", OpenPage("layers"), "layers: effect, palette, zones, order, times"),
    bind("Look closer", "v", ToggleOverlay("volts"), "volts along the runs"),
    bind("Look closer", "n", ToggleOverlay("runs"), "runs and pixel numbers"),
    bind("Look closer", "w", ToggleOverlay("wires"), "wires and supplies"),
    bind("Look closer", "z", ToggleOverlay("zones"), "zones"),
    bind("Look closer", "shift+v", ToggleOverlay("bands"), "how sure the currents are"),
    bind("Look closer", "t", StepTouch(1), "next run, supply or wire"),
    bind("Look closer", "shift+t", StepTouch(-1), "previous one"),
    bind("Look closer", "return", LookCloser(), "open its card; then its pixel", False),
    bind("Look closer", "shift+return", MoreOfCard(), "next part of a card in large type"),
    bind("Look closer", ".", StepPixel(1), "inspect the next pixel"),
    bind("Look closer", ",", StepPixel(-1), "inspect the previous pixel"),
    bind("Look closer", "shift+.", StepRun(1), "inspect the next run"),
    bind("Look closer", "shift+,", StepRun(-1), "inspect the previous run"),
    bind("Break and mend", "b", OpenSheet("break"), "what can break here, for a trial"),
    bind("Break and mend", "shift+b", OpenSheet("broken"), "what is broken now, and comes of it"),
    bind("Break and mend", "x", MendAll(), "mend all"),
    bind("Break and mend", "o", OpenSheet("seen"), "what do you see: find what is broken"),
    bind("Feeds", "p", ProposeFeeds(), "propose feeds for runs without a supply"),
    bind("Feeds", "shift+p", StopProposing(), "stop proposing"),
    bind("Feeds", "a", AcceptFeeds(), "accept the proposed feeds"),
    bind("Feeds", "shift+a", WriteFeeds(), "write the accepted feeds to the house file"),
    bind("Feeds", "u", UndoFeeds(), "undo the proposed feeds"),
    bind("Drawer", "d", ToggleDrawer(), "open or shut the drawer"),
    bind("Drawer", "tab", Focus(1), "next control"),
    bind("Drawer", "shift+tab", Focus(-1), "previous control"),
    bind("Drawer", "right, up", Nudge(1), "more, or next", True),
    bind("Drawer", "left, down", Nudge(-1), "less, or previous", True),
    bind("Drawer", "return, space", Activate(), "press", True),
    bind("Drawer", "backspace", RevertOne(), "this value back to the file's", True),
    bind("Drawer", "delete", UsualValue(), "its usual value (double click)", True),
    bind("Drawer", "ctrl+s", WriteValues(), "write the values to the scheme file"),
    bind("Drawer", "ctrl+r", Revert(), "back to what the file says"),
    bind("Drawer", "ctrl+z", Undo(), "undo the last step"),
    bind("Drawer", "ctrl+y, ctrl+shift+z", Redo(), "do again what was undone"),
    bind("Window", "1", Answer(1), "first answer to a question"),
    bind("Window", "2", Answer(2), "second answer"),
    bind("Window", "3", Answer(3), "third answer"),
    bind("Window", "shift+d", OpenBoard(), "drawing tools"),
    bind("Window", "f1", ToggleHelp(), "this list"),
    bind("Window", "escape", Back(), "leave what is in front"),
    bind("Window", "f11", FullScreen(), "full screen"),
    bind("Window", "f2", TellAgain(), "show again what was put aside"),
    bind("Window", "f4", ShowAllLayers(), "show every layer again"),
    bind("Window", "f9", AskSharing(), "share what is on show"),
    bind("Window", "shift+f12", ShareNow("picture"), "save a picture of the house"),
    bind("Window", "ctrl+f12", ShareNow("film"), "save a film of ten seconds"),
    bind("Window", "f12", Screenshot(), "save the window as a picture"),
    bind("Window", "ctrl+o", OpenFolder(), "open the folder of what was saved"),
    bind("Window", "ctrl+=", Zoom(1), "larger type"),
    bind("Window", "ctrl+-", Zoom(-1), "smaller type"),
    bind("Window", "ctrl+q", Quit(), "close"),
)


def action_for(state: State, press: Press) -> Action | None:
    """What a key does now; None where it does nothing."""
    focused = state.focus is not None
    for binding in BINDINGS:
        if press in binding.presses and binding.focused in (None, focused):
            return binding.action
    return None


def typing_action(
    press: Press, letters: str, take: Action, leave: Action, typed: Callable[[str], Action]
) -> Action | None:
    """What a key does while a value is typed; `typed` "" takes the last letter away."""
    if press.key in ("return", "enter", "keypad enter", "tab"):
        return take
    if press.key == "escape":
        return leave
    if press.key == "backspace":
        return typed("")
    return typed(letters) if letters and letters.isprintable() and not press.ctrl else None


#: A key held down goes on after this, then again and again [s].
REPEAT_AFTER_S, REPEAT_EVERY_S = 0.35, 0.05
_REPEATING = (MoveOnSheet, StepParts, Step, StepSeconds, NudgeDivider, StepPixel, StepRun,
              StepTouch, Focus, Undo, Redo, ZoomTime, PanTime)  # fmt: skip


def repeats(action: Action) -> bool:
    """Whether a key held down does its action again: moving does, switching does not."""
    if isinstance(action, Nudge):
        return action.control in (None, "brightness")
    return isinstance(action, _REPEATING)
