"""Keys of the stage that straightens a photograph. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from sim.app.state import straightening as st
from sim.app.state.straightening import Straightening
from sim.app.state.straightening_fit import check, fit_of, length_of

Wish = Literal["accept", "leave"]
LEAVE = "Leave without a house file? Enter leaves, Esc stays."
#: What the panel lists: keys and what they do.
LISTED = (
    ("Arrows", "move by 1 px; Shift 10, Ctrl 0.1"),
    ("Space", "put a mark at the cross"),
    ("Tab", "next mark; Delete removes"),
    ("+  −", "zoom at the cross, as the wheel does"),
    ("G  V", "grid on the wall; the viewer's distance"),
    ("Ctrl Z  Y", "undo, redo"),
)
_ARROWS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, -1.0), "down": (0.0, 1.0)}


def pressed_key(
    state: Straightening, key: str, shift: bool = False, ctrl: bool = False, text: str = ""
) -> tuple[Straightening, Wish | None]:
    """The state after a key, as SDL names it, and what it asks of the loop. `text` is typed."""
    if state.leaving:
        if key in ("return", "enter"):
            return state, "leave"
        return replace(state, leaving=False, told=""), None
    if key in _ARROWS and not state.held:
        step = 10.0 if shift else 0.1 if ctrl else 1.0
        du, dv = _ARROWS[key]
        return st.nudged(state, du * step, dv * step), None
    if ctrl:
        if key == "z":
            return (st.redone(state) if shift else st.undone(state)), None
        return (st.redone(state) if key == "y" else state), None
    if state.viewer_typed is not None:
        return _typing_viewer(state, key, text), None
    if state.typed is not None:
        return _typing(state, key, shift, text), None
    if key == "tab":
        return st.next_mark(state, -1 if shift else 1), None
    if key in ("delete", "backspace"):
        return (st.removed(state) if state.chosen else st.undone(state)), None
    if key == "escape":
        return _back(state)
    if key in ("return", "enter"):
        return _enter(state)
    return _letter(state, key, text), None


def accept(state: Straightening) -> tuple[Straightening, Wish | None]:
    """All is marked, if that fixes the wall; else why not."""
    if state.typed is not None:
        state = typed_in(state)
        if state.typed is not None:
            return state, None
    if state.viewer_typed is not None:
        state = viewer_typed_in(state)
        if state.viewer_typed is not None:
            return state, None
    fit = fit_of(state.shapes, state.units, state.photo_px)
    if fit.plane is None:
        return replace(state, told="Not yet. " + ". ".join(fit.missing)), None
    return state, "accept"


def leave(state: Straightening) -> tuple[Straightening, Wish | None]:
    """Leave at once where nothing is marked; else ask."""
    if not state.shapes and not state.begun:
        return state, "leave"
    return replace(state, leaving=True, told=LEAVE), None


def typed_in(state: Straightening) -> Straightening:
    """The field is left: what stands in it holds, unless it is wrong."""
    if state.typed is None or state.chosen is None:
        return replace(state, typed=None)
    shape = state.shapes[state.chosen.shape]
    wrong = check(shape, state.typed, state.units)
    if wrong and state.typed.strip():
        return replace(state, told=wrong[:1].upper() + wrong[1:])
    if not state.typed.strip() and shape.text:  # left empty: as it was
        return replace(state, typed=None)
    return st.written(state, state.typed)


def viewer_typed_in(state: Straightening) -> Straightening:
    """The field of the viewer's distance is left: it holds, unless it is wrong."""
    text = (state.viewer_typed or "").strip()
    try:
        wrong = "" if not text or length_of(text, state.units) > 0 else "it must be above 0"
    except ValueError as error:
        wrong = str(error)
    if wrong:
        return replace(state, told=f"Viewer: {wrong}")
    return replace(state, viewer=text, viewer_typed=None, told="")


def _typing_viewer(state: Straightening, key: str, text: str) -> Straightening:
    typed = state.viewer_typed or ""
    if key == "escape":
        return replace(state, viewer_typed=None, told="")
    if key in ("return", "enter", "tab"):
        return viewer_typed_in(state)
    if key == "backspace":
        return replace(state, viewer_typed=typed[:-1], told="")
    if text and text.isprintable() and len(typed) < 30:
        return replace(state, viewer_typed=typed + text, told="")
    return state


def _typing(state: Straightening, key: str, shift: bool, text: str) -> Straightening:
    typed = state.typed or ""
    if key == "escape":
        return replace(state, typed=None, told="")
    if key in ("return", "enter"):
        return typed_in(state)
    if key == "tab":
        state = typed_in(state)
        return state if state.typed is not None else st.next_mark(state, -1 if shift else 1)
    if key == "backspace":
        return replace(state, typed=typed[:-1], told="")
    if text and text.isprintable() and len(typed) < 60:
        return replace(state, typed=typed + text, told="")
    return state


def _enter(state: Straightening) -> tuple[Straightening, Wish | None]:
    if state.begun:
        if state.tool == "eave":
            return st.ended(state), None
        return replace(state, told="The shape is not complete; Esc drops it"), None
    chosen = state.shapes[state.chosen.shape] if state.chosen else None
    if chosen is not None and chosen.kind != "eave" and check(chosen, chosen.text, state.units):
        return replace(state, typed=chosen.text, told=""), None
    return accept(state)


def _back(state: Straightening) -> tuple[Straightening, Wish | None]:
    if state.begun:
        return replace(state, begun=(), told=""), None
    if state.chosen is not None:
        return replace(state, chosen=None, told=""), None
    return leave(state)


def _letter(state: Straightening, key: str, text: str) -> Straightening:
    chosen = state.shapes[state.chosen.shape] if state.chosen else None
    if chosen is not None and chosen.kind != "eave" and text and text in "0123456789.-":
        return replace(state, typed=text, told="")
    if key == "space":
        return st.placed(replace(state, chosen=None))
    if key == "g":
        return replace(state, grid=not state.grid)
    if key == "v":
        return replace(state, viewer_typed=state.viewer, told="")
    if text in ("+", "=") or key in ("+", "page up", "[+]"):
        return st.zoomed(state, 1.5, *st.on_screen(state, state.cursor))
    if text == "-" or key in ("-", "page down", "[-]"):
        return st.zoomed(state, 1 / 1.5, *st.on_screen(state, state.cursor))
    tool = next((kind for kind, (_, letter, _) in st.TOOLS.items() if letter == key), None)
    return st.with_tool(state, tool) if tool else state
