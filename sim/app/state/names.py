"""The table of everything that can be pressed, set or read: name, role, value, place. Pure.

What a bridge to a screen reader needs, and what tests hold the window to. Roles are those of
WAI-ARIA 1.2 (w3.org/TR/wai-aria-1.2, 5.4), places pixels of the screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol

from sim.app.state import actions as act
from sim.app.state.access import MoreTools
from sim.app.state.choosing_pages import Part, on_screen_of, sheet
from sim.app.state.controls import Control, spoken_of
from sim.app.state.drawer import DrawerRow, mark_place
from sim.app.state.drawing_layout import PanelPart
from sim.app.state.keys import BINDINGS
from sim.app.state.mending_record import CloseSheet
from sim.app.state.pointer import on_screen
from sim.app.state.question import question_places
from sim.app.state.record import State
from sim.app.state.ribbon_places import mark_places
from sim.app.state.scales import time_text
from sim.app.state.touch_pointer import Touchable
from sim.app.state.touch_record import OpenThing
from sim.app.state.window_layout import Rect, layout

Role = Literal["button", "switch", "slider", "combobox", "textbox", "option", "link", "separator",
               "img", "dialog"]  # fmt: skip


@dataclass(frozen=True)
class Named:
    """One line of the table. `keys` do the same; `place` is None where it is out of sight."""

    id: str
    name: str
    role: Role
    value: str = ""
    place: Rect | None = None
    help: str = ""
    keys: str = ""
    focused: bool = False
    off: bool = False  # there is nothing that it could do now


class Pressable(Protocol):
    """A place that can be pressed, and what that means."""

    @property
    def place(self) -> Rect: ...

    @property
    def action(self) -> act.Action: ...


class SpotLike(Pressable, Protocol):
    """A place over the picture or on a sheet; `text` stands there, "" where a sign alone does."""

    @property
    def text(self) -> str: ...


class ToolLike(Pressable, Protocol):
    """A button of the row at the foot."""

    @property
    def label(self) -> str: ...

    @property
    def on(self) -> bool: ...

    @property
    def off(self) -> bool: ...

    @property
    def hint(self) -> str: ...


@dataclass(frozen=True)
class Seen:
    """What the last drawing left on the screen."""

    rows: tuple[DrawerRow, ...] = ()
    tools: Sequence[ToolLike] = ()
    spots: Sequence[SpotLike] = ()
    panel: tuple[PanelPart, ...] = ()
    touch: Touchable = field(default_factory=Touchable)


def named(state: State, seen: Seen) -> tuple[Named, ...]:
    """Every line of the table for what is on show, from what is in front to the row at the foot."""
    found = [*_question(state), *_spots(seen), *_card(seen)]
    if state.board is not None:
        found += _board(state, seen.panel)
    elif state.choosing is not None:
        found += _page(state)
    elif state.drawer:
        found += _drawer(state, seen.rows)
    return tuple([*found, *_picture(state), *_ribbon(state), *_tools(state, seen.tools)])


def what_it_does(action: act.Action) -> tuple[str, str]:
    """(name, keys) of an action, as the list of keys has them; ("", "") where it is in none."""
    for one in BINDINGS:
        if one.action == action:
            return one.label.partition(" (")[0], ", ".join(map(str, one.presses))
    return "", ""


def _question(state: State) -> Iterator[Named]:
    asked = state.question
    if asked is None:
        return
    places = question_places(asked, layout(state))
    yield Named("question", asked.title, "dialog", " ".join(asked.lines), places.card)
    numbered = zip(asked.answers, places.buttons, strict=True)
    for number, ((key, label), place) in enumerate(numbered, 1):
        yield Named(f"answer {key}", label, "button", "", place, keys=str(number))


#: What a cross puts aside, by the name of its banner.
_ASIDE = {"question": "answer later", "fault": "hide what failed", "no_plan": "hide why no feeds",
          "problems": "hide what is wrong in the files"}  # fmt: skip


#: What a sign means that has no words, and whose key is in no list.
_SIGNED = {act.HushSaved: "hide where it was saved", act.StopSharing: "stop what is being made",
           CloseSheet: "shut the sheet"}  # fmt: skip


def _spots(seen: Seen) -> Iterator[Named]:
    for index, spot in enumerate(seen.spots):
        action = spot.action
        if isinstance(action, act.PutAside):
            yield Named(f"aside {action.name}", _ASIDE[action.name], "button", "", spot.place,
                        keys="Esc")  # fmt: skip
            continue
        name, keys = what_it_does(action)
        signed = _SIGNED.get(type(action))
        yield Named(f"chip {index}", spot.text or signed or name, "button", "", spot.place,
                    keys="Esc" if signed else keys)  # fmt: skip


_ON_CARD = {act.Select: "look at this pixel", act.Back: "the whole run",
            OpenThing: "the whole run"}  # fmt: skip


def _card(seen: Seen) -> Iterator[Named]:
    card = seen.touch.card
    if card is None:
        return
    yield Named("card shut", "shut the card", "button", "", card.shut, keys="Esc")
    for place, action in card.buttons:
        told, keys = what_it_does(action)
        name = _ON_CARD.get(type(action), told)
        yield Named(f"card {name}", name, "button", "", place, keys=keys or "Enter")


_ROLES: dict[str, Role] = {"slider": "slider", "choice": "combobox", "switch": "switch",
                           "button": "button", "head": "button", "field": "textbox"}  # fmt: skip


def _drawer(state: State, rows: tuple[DrawerRow, ...]) -> Iterator[Named]:
    parts = layout(state)
    for row in rows:
        control = row.control
        if control is None:
            continue
        place = row.target
        moved = (place._replace(x=place.x + parts.drawer.x, y=place.y + parts.drawer.y)
                 if row.pinned else on_screen(place, parts, state))  # fmt: skip
        yield of_control(control, moved, focused=state.focus == control.id)
        mark = mark_place(row, parts)
        if mark is not None:
            name = f"{control.spoken or control.label}: back to the file's value"
            yield Named(f"{control.id} back", name, "button", "", on_screen(mark, parts, state),
                        keys="Backspace")  # fmt: skip


def of_control(control: Control, place: Rect | None = None, *, focused: bool = False) -> Named:
    """The line of a control of the drawer."""
    role: Role = "button" if control.opens else _ROLES[control.form]
    value = spoken_of(control).removeprefix(control.spoken or control.label).lstrip(": ")
    return Named(control.id, control.spoken or control.label, role, value, place, control.help,
                 "Tab, arrows, Enter", focused)  # fmt: skip


_SIGNS = {
    "hide": "hide or show layer",
    "later": "further up, layer",
    "earlier": "further down, layer",
}


def of_part(part: Part, place: Rect | None = None, *, focused: bool = False) -> Named:
    """The line of a part of a page of choosing."""
    name, value, role = part.text, part.value, "option"
    if part.form == "sign":
        name, value, role = f"{_SIGNS[part.text]} {part.key.split()[-1]}", "", "button"
    elif part.form == "layer":
        name = f"layer {part.number + 1}: {part.text}"
    elif part.form == "row":
        role = "button" if part.less is None else "slider"
    elif part.form == "button":
        role = "button"
    value = f"{value}, chosen" if part.on and role == "option" else value
    value = f"{value}, not written" if part.changed else value
    off = part.press is None and part.less is None
    return Named(part.key, name, role, value.lstrip(", "), place, "",  # type: ignore[arg-type]
                 "arrows, Enter", focused, off)  # fmt: skip


def _page(state: State) -> Iterator[Named]:
    page = state.choosing
    assert page is not None
    found = sheet(state, layout(state))
    for part in found.parts:
        if part.form != "note":
            place = on_screen_of(found, state, part)
            yield of_part(part, place, focused=part.key == page.at)


_PARTS: dict[str, Role] = {"tool": "button", "field": "textbox", "option": "option",
                           "button": "button", "chip": "switch"}  # fmt: skip


def of_panel(part: PanelPart, place: Rect | None = None) -> Named:
    """The line of a part of the drawing panel."""
    role = _PARTS[part.form]
    name, value, keys = part.text, "", part.key
    if part.field is not None and part.form == "field":
        name, value = part.field.label, part.text
        role = "combobox" if part.field.options else "textbox"
        keys = "Page down, Page up"
    elif part.form == "chip":
        value = "on" if part.on else "off"
    elif part.form == "tool":
        value = "in hand" if part.on else ""
    name = name if part.form != "option" else f"{part.field.label if part.field else ''}: {name}"
    return Named(f"{part.form} {part.text}", name, role, value, place, keys=keys,
                 focused=part.form == "field" and part.on)  # fmt: skip


def _board(state: State, panel: tuple[PanelPart, ...]) -> Iterator[Named]:
    parts = layout(state)
    for part in panel:
        if part.action is not None:
            yield of_panel(part, on_screen(part.place, parts, state))


def _picture(state: State) -> Iterator[Named]:
    parts = layout(state)
    facts = state.facts
    if facts is None:
        return
    value = f"{facts.scheme}, at {time_text(state.frame_s, facts.span_s, 2)}"
    lit = state.touch.card or state.touch.lit
    if lit is not None:
        value = lit.spoken
    yield Named("house", f"the house {facts.house}", "img", value, parts.picture, keys="T, Enter")
    if state.compare and state.board is None:
        x = parts.picture.x + round(parts.picture.w * state.divider)
        reach = parts.divider_reach
        yield Named("divider", "divider of the comparison", "separator",
                    f"{100 * state.divider:.0f} %",
                    Rect(x - reach, parts.picture.y, 2 * reach, parts.picture.h),
                    keys="[, ]")  # fmt: skip


def _ribbon(state: State) -> Iterator[Named]:
    facts, parts = state.facts, layout(state)
    if facts is None or not parts.ribbon.h:
        return
    yield Named("time", "time of the scheme", "slider", time_text(state.frame_s, facts.span_s, 2),
                parts.curve, keys="Left, Right, Home, End")  # fmt: skip
    for index, one in enumerate(mark_places(state, parts)):
        also = f", and {one.also} near it" if one.also else ""
        at = time_text(one.mark.time_s, facts.span_s, 2)
        yield Named(f"mark {index}", f"{one.mark.text}{also}", "link", f"at {at}", one.place,
                    keys="M, Shift M")  # fmt: skip


def _tools(state: State, row: Sequence[ToolLike]) -> Iterator[Named]:
    for tool in row:
        name, keys = what_it_does(tool.action)
        if isinstance(tool.action, MoreTools):
            name = "more buttons of this row"
        elif isinstance(tool.action, act.PlayPause) and tool.label not in ("Play", "Pause"):
            name = tool.label  # a window that listens has no scheme to play
        two = isinstance(tool.action, act.ToggleOverlay | act.ToggleCompare | act.ToggleDrawer)
        value = ("on" if tool.on else "off") if two else ""
        role: Role = "switch" if two else "button"
        yield Named(f"tool {tool.label}", name or tool.label, role, value, tool.place, tool.hint,
                    keys, off=tool.off)  # fmt: skip
