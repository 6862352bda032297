"""The table of names of the small windows: straightening a photograph, measuring a house. Pure.

As `names` is for the window of a house: for every place that can be pressed its name, role, value
and the keys that do the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sim.app.state import forming as fm
from sim.app.state import measuring as ms
from sim.app.state.forming import FIELD
from sim.app.state.measuring import Measuring
from sim.app.state.names import Named, Role
from sim.app.state.straightening import TOOLS, Straightening
from sim.app.state.straightening_fit import names as shape_names
from sim.app.state.window_layout import Rect

#: What can be pressed: id and place, as the panels hand them over.
Pressed = Iterable[tuple[str, Rect]]

_KINDS = {"rectangle": "rectangle", "point": "point", "length": "length", "eave": "straight edge"}
_STAGE = {
    "undo": ("undo", "Ctrl Z"),
    "redo": ("redo", "Ctrl Y"),
    "grid": ("grid on the wall", "G"),
    "viewer": ("distance from camera to wall", "V"),
    "leave": ("leave without a house file", "Esc"),
    "accept": ("accept the marks and draw", "Enter"),
}


def named_marks(state: Straightening, pressed: Pressed) -> Iterator[Named]:
    """The lines of the stage that straightens a photograph."""
    shapes = shape_names(state.shapes)
    for name, place in pressed:
        word, _, which = name.partition(" ")
        if word == "tool":
            kind = next(one for one in TOOLS if one == which)
            said, key, told = TOOLS[kind]
            value = "in hand" if kind == state.tool else ""
            yield Named(name, f"mark a {said.lower()}", "button", value, place, told, key.upper())
        elif word == "shape":
            letter, shape = shapes[int(which)]
            here = state.chosen is not None and state.chosen.shape == int(which)
            yield Named(name, f"{_KINDS[shape.kind]} {letter}", "textbox", shape.text, place,
                        keys="Tab, Enter", focused=here)  # fmt: skip
        else:
            said, key = _STAGE[word]
            value = ("on" if state.grid else "off") if word == "grid" else ""
            role: Role = "switch" if word == "grid" else "button"
            if word == "viewer":
                role, value = "textbox", state.viewer or "by perspective"
            off = not (state.past or state.begun) if word == "undo" else (
                word == "redo" and not state.future)  # fmt: skip
            yield Named(name, said, role, value, place, keys=key, off=off)


_DIALOGUE = {
    "undo": ("undo", "Ctrl Z"),
    "redo": ("redo", "Ctrl Y"),
    "leave": ("leave without a house", "Esc"),
    "accept": ("write the house and draw", "Enter"),
}


def named_measures(state: Measuring, pressed: Pressed) -> Iterator[Named]:
    """The lines of the dialogue of measurements."""
    for name, place in pressed:
        word, _, rest = name.partition(" ")
        key, _, choice = rest.partition(" ")
        here = state.focus == (key if word in ("field", "step", "choose") else word)
        if word == "field":
            field = FIELD[key]
            role: Role = {"choice": "combobox", "switch": "switch"}.get(  # type: ignore[assignment]
                field.sort, "textbox"
            )
            yield Named(name, field.label, role, ms.shown_text(state, key), place,
                        keys="Tab, arrows, Enter", focused=here)  # fmt: skip
        elif word == "step":
            way = "more" if int(choice) > 0 else "less"
            way = way if FIELD[key].sort != "choice" else {"more": "next", "less": "previous"}[way]
            yield Named(name, f"{FIELD[key].label}: {way}", "button", "", place, keys="arrows")
        elif word == "choose":
            chosen = "chosen" if fm.text_of(state.forming, key) == choice else ""
            yield Named(name, f"{FIELD[key].label}: {choice.replace('-', ' ')}", "option", chosen,
                        place, keys="arrows", focused=here)  # fmt: skip
        elif word == "units":
            chosen = "chosen" if key == ms.system(state.forming.units) else ""
            said = "feet and inches" if key == "ft" else "metres"
            yield Named(name, f"Units: {said}", "option", chosen, place, keys="Tab, Space",
                        focused=here)  # fmt: skip
        elif word == "sight":
            sight = next(one for one in ms.SIGHTS if one == key)
            chosen = "chosen" if sight == state.sight else ""
            yield Named(name, f"Light: {ms.SIGHTS[sight]}", "option", chosen, place,
                        keys="Tab, Space", focused=here)  # fmt: skip
        else:
            said, keys = _DIALOGUE[word]
            off = {"undo": not state.past, "redo": not state.future,
                   "accept": not state.forming.complete}.get(word, False)  # fmt: skip
            yield Named(name, said, "button", "", place, keys=keys, focused=here, off=off)
