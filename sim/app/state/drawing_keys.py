"""The keys of the drawing board, and what characters do while something can be typed. Pure."""

from __future__ import annotations

from sim.app.state import drawing_actions as act
from sim.app.state.actions import Action, Screenshot, ToggleHelp, ToggleOverlay
from sim.app.state.drawing import CATCHES, TOOLS
from sim.app.state.keys import BINDINGS, Binding, Press, action_for, bind
from sim.app.state.record import State
from sim.app.state.step_actions import Redo, Undo

#: What begins a length, an angle, a pitch or a place.
BEGINS = "0123456789.+"
#: What can follow, besides letters of a unit and spaces.
FOLLOWS = "0123456789.,+-/'\"°@ ′″½¼¾⅛⅜⅝⅞"

DRAWING_BINDINGS: tuple[Binding, ...] = (
    *(bind("Tools", key, act.UseTool(tool), name.lower())
      for tool, (name, key, _) in TOOLS.items()),
    bind("Draw", "space", act.UsePoint(), "take, put a corner or drop at the cross"),
    bind("Draw", "return, enter", act.Done(), "end the line; take what is typed"),
    bind("Draw", "escape", act.GiveUp(), "give up what was begun last"),
    bind("Draw", "backspace", act.TakeBack(), "take the last corner back"),
    bind("Draw", "right", act.Arrow(1, 0), "1 cm or 1 in to the right"),
    bind("Draw", "left", act.Arrow(-1, 0), "to the left"),
    bind("Draw", "up", act.Arrow(0, 1), "up"),
    bind("Draw", "down", act.Arrow(0, -1), "down"),
    bind("Draw", "shift+right", act.Arrow(10, 0), "ten times that"),
    bind("Draw", "shift+left", act.Arrow(-10, 0), "ten to the left"),
    bind("Draw", "shift+up", act.Arrow(0, 10), "ten up"),
    bind("Draw", "shift+down", act.Arrow(0, -10), "ten down"),
    bind("Choose", "tab", act.StepThing(1), "next thing"),
    bind("Choose", "shift+tab", act.StepThing(-1), "previous thing"),
    bind("Choose", ".", act.StepCorner(1), "next corner"),
    bind("Choose", ",", act.StepCorner(-1), "previous corner"),
    bind("Choose", "page down", act.StepField(1), "next row of the panel"),
    bind("Choose", "page up", act.StepField(-1), "previous row"),
    bind("Choose", "]", act.StepValue(1), "next value of the row"),
    bind("Choose", "[", act.StepValue(-1), "previous value"),
    bind("Change", "g", act.GrabIt(), "grab; arrows move it, Space drops it"),
    bind("Change", "n", act.AddCorner(), "a corner more"),
    bind("Change", "delete", act.DeleteChosen(), "delete the corner, or the thing"),
    bind("Change", "shift+delete", act.DeleteChosen(True), "delete with all that hangs on it"),
    bind("Change", "d", act.Repeat(), "repeat beside it"),
    bind("Change", "x", act.Mirror(), "mirror about the middle"),
    bind("Change", "shift+page up", act.Raise(1), "surface nearer the front"),
    bind("Change", "shift+page down", act.Raise(-1), "surface farther back"),
    bind("Change", "ctrl+z", Undo(), "undo"),
    bind("Change", "ctrl+y, shift+ctrl+z", Redo(), "redo"),
    bind("Change", "w, ctrl+s", act.WriteDraft(), "write to the house file"),
    bind("View", "k", act.ToggleCatch(), "be caught by what is near, or by nothing"),
    *(bind("View", f"ctrl+{number}", act.ToggleCatch(name), f"caught by {words}")
      for number, (name, words) in enumerate(CATCHES.items(), 1)),
    bind("View", "h", act.ToggleBoard("grid"), "grid and rulers"),
    bind("View", "y", act.ToggleBoard("daylight"), "daylight to draw by, or night"),
    bind("View", "l", act.ToggleBoard("plain_light"), "plain warm white, or the scheme"),
    bind("View", "v", ToggleOverlay("volts"), "volts along the runs"),
    bind("View", "=, shift+=", act.Enlarge(1), "larger"),
    bind("View", "-", act.Enlarge(-1), "smaller"),
    bind("View", "home", act.Enlarge(0), "all of the house"),
    bind("View", "alt+right", act.MoveView(0.2, 0.0), "move the enlarged view; so the others"),
    bind("View", "alt+left", act.MoveView(-0.2, 0.0), "to the left"),
    bind("View", "alt+up", act.MoveView(0.0, 0.2), "up"),
    bind("View", "alt+down", act.MoveView(0.0, -0.2), "down"),
    bind("Window", "shift+d", act.OpenBoard(), "leave the drawing tools"),
    bind("Window", "f1", ToggleHelp(), "this list"),
    bind("Window", "f12", Screenshot(), "save the window as a picture"),
)  # fmt: skip


def drawing_action(state: State, press: Press, text: str) -> Action | None:
    """What a key does on the board; `text` is the character it gives. None: nothing here."""
    board = state.board
    assert board is not None
    if state.help and press.key == "escape":
        return ToggleHelp()
    if state.question is not None and press.key in ("1", "2", "3", "escape"):
        return action_for(state, press)
    if typing(state, press, text):
        return act.TypeIn(text)
    for binding in DRAWING_BINDINGS:
        if press in binding.presses:
            return binding.action
    general = next((one for one in BINDINGS if press in one.presses), None)
    return general.action if general is not None and general.group == "Window" else None


def typing(state: State, press: Press, text: str) -> bool:
    """Whether a character is typed: into a length begun by a digit, or into a row with the keys."""
    board = state.board
    assert board is not None
    if press.ctrl or press.alt or len(text) != 1 or not text.isprintable():
        return False
    if board.field is not None:
        return text not in "[]" and not (text == " " and not board.typed)
    if board.typed:
        return text in FOLLOWS or text in "mcftindeg "
    if board.line or board.grab is not None:
        return text in BEGINS or text == "-"
    return text in BEGINS


def drawing_repeats(action: Action) -> bool:
    """Whether a key held down does its action again."""
    moving = (act.Arrow, act.StepThing, act.StepCorner, act.StepField, act.StepValue,
              act.TakeBack, act.Enlarge, act.MoveView, act.TypeIn)  # fmt: skip
    return isinstance(action, moving)
