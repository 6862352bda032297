"""The dialogue of measurements: which field has the keys, what is being typed, back and on. Pure.

What can be measured, and what makes a house, is `forming`'s; this adds the person at the window.
Everything here takes a state and gives the next.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from layouts.units import METRES, length_m, length_text
from sim.app.state import forming as fm
from sim.app.state.forming import FIELD, FormField, Forming
from sim.app.state.window_layout import Rect

#: How the house is shown: an hour of the night, or brightened so that one sees it well.
Sight = Literal["dusk", "evening", "bright"]
SIGHTS: dict[Sight, str] = {"dusk": "Dusk", "evening": "Night", "bright": "Work light"}
#: What can be pressed besides the fields, in the order that Tab goes on to them.
BUTTONS = ("units", "sight", "undo", "redo", "leave", "accept")
PANEL, FACTS, FACTS_NARROW, NARROW = 392, 80, 132, 640
#: Units of the switch. A house in cm, mm or in stays in those until it is switched.
SYSTEMS = ("m", "ft")
LEAVE = "Leave without a house? Enter leaves, Esc stays."
_BARE = re.compile(r"\s*(?:\d+(?:\.\d*)?|\.\d+)\s*")


@dataclass(frozen=True)
class Measuring:
    """All that the dialogue knows."""

    forming: Forming
    folder: str = ""
    focus: str = "width"  # a field or one of BUTTONS
    typed: str | None = None  # what stands in the field that has the keys; None: not typing
    fresh: bool = False  # typing has just begun: the first letter takes the place of the whole
    sight: Sight = "evening"
    size_px: tuple[int, int] = (1280, 720)
    scale: float = 1.0
    scroll_px: float = 0.0
    follow: bool = True  # whether the field that has the keys is to be scrolled into sight
    told: str = ""
    leaving: bool = False  # asked whether to leave
    joins: str = ""  # field whose steps are one with the last: a key or a button held down
    past: tuple[Forming, ...] = ()
    future: tuple[Forming, ...] = ()


def begun(
    units: str = "m", folder: str = "", given: Mapping[str, str] | None = None, lit: bool = True
) -> Measuring:
    """The dialogue as it opens; `given` are measures as typed, wrong ones too."""
    forming = fm.begun(units)
    for key, text in (given or {}).items():
        if text.strip():  # nothing leaves it to the rule
            forming = fm.typed(forming, key, text)
    if not lit:
        forming = fm.typed(forming, "lit", "off")
    return Measuring(forming, folder)


# --- where things stand on the screen ---


def px(state: Measuring, size: float) -> int:
    """A size at 100 % in pixels of the screen."""
    return max(1, round(size * state.scale))


def panel(state: Measuring) -> Rect:
    """Where the fields are, at the right."""
    w, h = state.size_px
    wide = min(px(state, PANEL), w * 13 // 20)
    return Rect(w - wide, 0, wide, h)


def picture(state: Measuring) -> Rect:
    """Where the house is; the line of facts is below it."""
    w, h = panel(state).x, state.size_px[1]
    facts = FACTS_NARROW if narrow(state) else FACTS
    return Rect(0, 0, max(w, 1), max(h - min(px(state, facts), h * 2 // 5), 1))


def narrow(state: Measuring) -> bool:
    """Whether what stands below the house must stand in several lines."""
    return panel(state).x < px(state, NARROW)


# --- what stands in the fields ---


def shown_text(state: Measuring, key: str) -> str:
    """What a field shows: as typed, but a length typed in the other units is converted."""
    forming = state.forming
    text = fm.text_of(forming, key)
    if FIELD[key].sort != "length" or key in dict(forming.wrong) or _BARE.fullmatch(text):
        return text
    try:
        metres = length_m(text)
    except ValueError:
        return text
    feet = bool(re.search(r"ft|in|['\"′″’”]", text, re.IGNORECASE))
    return length_text(metres, forming.units) if feet != in_feet(forming) else text


def in_feet(forming: Forming) -> bool:
    """Whether the house is in feet or inches."""
    return forming.units in ("ft", "in")


def wrong_with(state: Measuring, key: str) -> str:
    """What is wrong with a field, as a sentence; "" where nothing is."""
    told = dict(state.forming.wrong).get(key, "")
    return told[:1].upper() + told[1:]


def wrong_elsewhere(state: Measuring) -> tuple[str, ...]:
    """What is wrong with no field in particular."""
    return tuple(told for key, told in state.forming.wrong if key not in FIELD)


def order(state: Measuring) -> tuple[str, ...]:
    """Where Tab goes: the fields on show, then the buttons."""
    return (*sum(rows(state), ()), *BUTTONS)


def rows(state: Measuring) -> tuple[tuple[str, ...], ...]:
    """The fields on show as they stand: signs, numbers and the switch, coverings, the rest."""
    shown = {field.key: field for field in fm.shown_fields(state.forming)}
    numbers = (k for k, f in shown.items() if f.sort in ("length", "pitch", "count", "switch"))
    signs, rest = ("facing", "garage", "chimney"), ("wall", "roof", "kind", "name")
    return (
        ("form",),
        tuple(key for key in signs if key in shown),
        tuple(numbers),
        tuple(key for key in rest if key in shown),
    )


def typeable(key: str) -> FormField | None:
    """The field, where one types into it."""
    field = FIELD.get(key)
    return field if field is not None and field.sort not in ("choice", "switch") else None


# --- changes ---


def _made(state: Measuring, forming: Forming, joins: str = "") -> Measuring:
    """Another house: a step to go back from, one with the last where it joins that."""
    if forming == state.forming:
        return replace(state, told="")
    joined = bool(joins) and joins == state.joins and bool(state.past)
    past = state.past if joined else (*state.past, state.forming)
    state = replace(state, forming=forming, past=past, future=(), told="", joins=joins)
    return state if state.focus in order(state) else replace(state, focus="form")


def chosen(state: Measuring, key: str, text: str) -> Measuring:
    """A field set to something: a tile, a swatch."""
    state = focused(state, key)
    return _made(state, fm.typed(state.forming, key, text))


def stepped(state: Measuring, key: str, steps: int, held: bool = False) -> Measuring:
    """A field by so many of its steps; with `held`, one with the steps just before."""
    state = focused(state, key)
    return _made(state, fm.stepped(_in_house_units(state, key), key, steps), key if held else "")


def _in_house_units(state: Measuring, key: str) -> Forming:
    """With a number that has no unit read as it stands: in the units of the house."""
    forming = state.forming
    text = dict(forming.texts).get(key, "")
    if FIELD[key].sort == "length" and _BARE.fullmatch(text):
        return fm.typed(forming, key, f"{text.strip()} {forming.units}")
    return forming


def let_go(state: Measuring) -> Measuring:
    """What was held down is no more: the next step is one of its own."""
    return replace(state, joins="")


def with_units(state: Measuring, units: str) -> Measuring:
    """In other units. What was typed keeps its length: only how it is shown changes."""
    if units == state.forming.units or units not in METRES:
        return state
    state = taken(state)
    if state.typed is not None:
        return state
    forming = state.forming
    for field in fm.FIELDS:
        forming = _in_house_units(replace(state, forming=forming), field.key)
    forming = replace(forming, units=units)
    return _made(state, fm.typed(forming, "width", dict(forming.texts)["width"]))


def system(units: str) -> str:
    """Which of SYSTEMS some units belong to."""
    return "ft" if units in ("ft", "in") else "m"


def other_units(state: Measuring) -> str:
    """What the switch of units would switch to."""
    return "m" if in_feet(state.forming) else "ft"


def with_sight(state: Measuring, sight: Sight) -> Measuring:
    """The house shown otherwise; no step of its own, for no house changes by it."""
    return replace(state, sight=sight, told="")


def focused(state: Measuring, key: str) -> Measuring:
    """The keys go to another field or button; what stood in the last one holds, right or wrong."""
    if key == state.focus:
        return state
    return replace(taken(state), focus=key, follow=True, joins="")


def next_focus(state: Measuring, steps: int) -> Measuring:
    """The field or button that Tab goes on to."""
    state = taken(state)
    every = order(state)
    at = every.index(state.focus) if state.focus in every else 0
    return focused(state, every[(at + steps) % len(every)])


# --- typing ---


def typing(state: Measuring, key: str) -> Measuring:
    """Begin to type into a field, over what stands there."""
    if typeable(key) is None:
        return focused(state, key)
    if key == state.focus and state.typed is not None:
        return replace(state, fresh=False)
    state = focused(state, key)
    return replace(state, typed=shown_text(state, key), fresh=True, told="", joins="")


def letter(state: Measuring, text: str) -> Measuring:
    """One more letter."""
    if typeable(state.focus) is None or not text.isprintable():
        return state
    before = "" if state.typed is None or state.fresh else state.typed
    return replace(state, typed=(before + text)[:60], fresh=False, told="", follow=True)


def rubbed(state: Measuring) -> Measuring:
    """The last letter taken away; all of them where typing has just begun."""
    if state.typed is None:
        return replace(typing(state, state.focus), typed="", fresh=False)
    return replace(state, typed="" if state.fresh else state.typed[:-1], fresh=False)


def taken(state: Measuring) -> Measuring:
    """What stands in the field holds; nothing leaves it to the rule again."""
    if state.typed is None:
        return state
    key, text = state.focus, state.typed
    state = replace(state, typed=None, fresh=False)
    if text == shown_text(state, key):
        return state
    if key in ("width", "name") and not text.strip():
        return state  # there is no rule for it: as it was
    return _made(state, fm.typed(state.forming, key, text))


def dropped(state: Measuring) -> Measuring:
    """The field as it was before typing."""
    return replace(state, typed=None, fresh=False)


# --- back and on ---


def undone(state: Measuring) -> Measuring:
    """One step back; first what is being typed."""
    if state.typed is not None:
        return dropped(state)
    if not state.past:
        return replace(state, told="Nothing to undo")
    return _restored(state, state.past[-1], state.past[:-1], (*state.future, state.forming))


def redone(state: Measuring) -> Measuring:
    """One step on."""
    if not state.future:
        return replace(state, told="Nothing to redo")
    return _restored(state, state.future[-1], (*state.past, state.forming), state.future[:-1])


def _restored(
    state: Measuring, forming: Forming, past: tuple[Forming, ...], future: tuple[Forming, ...]
) -> Measuring:
    changed = _changed(state.forming, forming)
    state = replace(state, forming=forming, past=past, future=future, typed=None, joins="", told="")
    focus = changed if changed in order(state) else state.focus
    return replace(state, focus=focus if focus in order(state) else "form", follow=True)


def _changed(before: Forming, after: Forming) -> str:
    """The field in which two houses differ, for the keys to go there."""
    a, b = dict(before.texts), dict(after.texts)
    return next((key for key in {**a, **b} if a.get(key) != b.get(key)), "")
