"""What stands where on a page of choosing: parts with their places and what pressing them does.

Pure. y counts from the top of what scrolls; parts that are `fixed` do not scroll.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any, Literal, cast

from effects import effects, palettes
from effects.place import REVERSED
from sim.app.state.actions import Action, Open, Set, WriteValues
from sim.app.state.choosing_actions import OpenPage
from sim.app.state.choosing_record import Choosing, Page
from sim.app.state.controls import Control, any_control
from sim.app.state.layer_actions import AddLayer, CopyLayer, MoveLayer, RemoveLayer
from sim.app.state.layer_order import is_made
from sim.app.state.layers import OWN_COLOURS, bare_zones, zones_of, zones_value
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect

Form = Literal["scheme", "swatch", "effect", "zone", "layer", "row", "button", "sign", "note"]
HEAD, SEARCH, PAD, FOOT = 48, 42, 20, 54
TITLES = {"schemes": "Schemes of this house", "layers": "Layers", "palettes": "Palette",
          "effects": "Effect", "zones": "Where it lies"}  # fmt: skip


@dataclass(frozen=True)
class Part:
    """One thing on a page: what it shows, what a press does, what is tried while pointed at."""

    form: Form
    key: str
    place: Rect
    text: str = ""
    value: str = ""
    press: Action | None = None
    tries: str | None = None
    less: Action | None = None
    more: Action | None = None
    on: bool = False  # what is so now
    changed: bool = False  # not written
    number: int = 0
    fixed: bool = False  # at the foot of the page: y counts from where what scrolls ends


@dataclass(frozen=True)
class PageSheet:
    """A page: where it stands on the screen, its parts, how far its content reaches [px]."""

    place: Rect
    body: Rect  # what scrolls is seen here
    parts: tuple[Part, ...]
    height: int
    foot: int = 0  # how tall what does not scroll is, below the body


def sheet(state: State, parts: Layout) -> PageSheet:
    """The page that stands open, laid out."""
    page = state.choosing
    assert page is not None
    px = parts.px
    if page.page == "schemes":
        place = Rect(0, 0, parts.tools.w, parts.picture.h)
        head = px(HEAD + 28)
    else:
        place = parts.drawer
        head = px(HEAD) + (px(SEARCH) if page.page in TYPED else 0)
    foot = px(FOOT) if page.page == "layers" and state.facts else 0
    body = Rect(place.x, place.y + head, place.w, max(place.h - head - foot, 1))
    made = tuple(_MAKERS[page.page](state, page, body, px)) if state.facts else ()
    height = max((part.place.bottom for part in made if not part.fixed), default=0) + px(PAD)
    return PageSheet(place, body, made, height, foot)


TYPED = ("palettes", "effects")


def part_of(found: PageSheet, key: str | None) -> Part | None:
    """The part of a key."""
    return next((one for one in found.parts if one.key == key), None)


def on_screen_of(found: PageSheet, state: State, part: Part) -> Rect:
    """Where a part stands on the screen [px]."""
    down = round(state.choosing.scroll * state.scale) if state.choosing is not None else 0
    place = part.place
    down = -found.body.h if part.fixed else down
    return place._replace(x=place.x + found.body.x, y=place.y + found.body.y - down)


def on_page(found: PageSheet, state: State, scale: float, x: float, y: float) -> Part | None:
    """The part at a place of the screen [px]: the last of those that hold it, as drawn."""
    if state.choosing is None:
        return None
    if not found.body.holds(x, y):
        pinned = (one for one in found.parts if one.fixed)
        return next((one for one in pinned if on_screen_of(found, state, one).holds(x, y)), None)
    at_x, at_y = x - found.body.x, y - found.body.y + round(state.choosing.scroll * scale)
    hit = [one for one in found.parts
           if one.place.holds(at_x, at_y) and one.form != "note" and not one.fixed]  # fmt: skip
    return hit[-1] if hit else None


def _schemes(state: State, page: Choosing, body: Rect, px: Any) -> Iterator[Part]:
    assert state.facts is not None
    listed = state.facts.schemes
    if not listed:
        yield Part("note", "none", Rect(px(48), px(24), body.w - px(96), px(24)),
                   "There is no scheme beside this house yet.")  # fmt: skip
        return
    columns, w = columns_for(len(listed), body, px)
    gap, name_h = px(24), px(34)
    h = w * 9 // 16
    left = (body.w - columns * w - (columns - 1) * gap) // 2
    for index, (path, name) in enumerate(listed):
        row, column = divmod(index, columns)
        place = Rect(left + column * (w + gap), px(6) + row * (h + name_h + px(14)), w, h + name_h)
        yield Part("scheme", path, place, name, press=Open(path),
                   on=path == state.facts.scheme_file)  # fmt: skip


def columns_for(count: int, body: Rect, px: Any) -> tuple[int, int]:
    """How many pictures stand side by side, and how wide each is [px]: as large as all fit."""
    gap, pad, name_h = px(24), px(48), px(48)
    best = 1, 1
    for columns in range(1, 7):
        w = (body.w - 2 * pad - (columns - 1) * gap) // columns
        w = min(w, px(620))
        rows = -(-count // columns)
        fits = rows * (w * 9 // 16 + name_h) <= body.h - px(12)
        if not fits:  # narrower, as long as it is worth looking at
            w = min(w, ((body.h - px(12)) // rows - name_h) * 16 // 9)
        if w > best[1]:
            best = columns, w
    if best[1] >= px(200):
        return best
    whole = max((body.h - px(12) - name_h) * 16 // 9, px(80))  # a row is seen with its names
    columns = max(min(4, (body.w - 2 * pad + gap) // (min(px(240), whole) + gap)), 1)
    w = max((body.w - 2 * pad - (columns - 1) * gap) // columns, px(80))
    return columns, min(w, whole)


def _matches(typed: str, *texts: str) -> bool:
    """Whether every word that is typed is in one of the texts."""
    held = " ".join(texts).casefold().replace("-", " ")
    return all(word in held for word in typed.casefold().replace("-", " ").split())


def _nothing(body: Rect, px: Any, typed: str) -> Part:
    return Part("note", "none", Rect(px(PAD), px(8), body.w - 2 * px(PAD), px(24)),
                f"Nothing is called “{typed}”.")  # fmt: skip


def _palettes(state: State, page: Choosing, body: Rect, px: Any) -> Iterator[Part]:
    assert state.facts is not None
    now = state.value(page.layer, "palette")
    layer = state.facts.layers[page.layer]
    names = [(OWN_COLOURS, "as the scheme lists them")] if layer.colours else []
    names += [(one.name, one.occasion) for one in palettes().values()]
    y, h = px(4), px(54)
    found = [(name, occasion) for name, occasion in names if _matches(page.typed, name, occasion)]
    for name, occasion in found:
        place = Rect(px(PAD) - px(8), y, body.w - 2 * px(PAD) + px(16), h)
        yield Part("swatch", name, place, name, occasion, Set(f"{page.layer}.palette", name), name,
                   on=name == now)  # fmt: skip
        y += h + px(4)
    if not found:
        yield _nothing(body, px, page.typed)


def _effects(state: State, page: Choosing, body: Rect, px: Any) -> Iterator[Part]:
    assert state.facts is not None
    now = state.facts.layers[page.layer].effect
    gap, name_h = px(12), px(24)
    w = (body.w - 2 * px(PAD) - gap) // 2
    h = w * 9 // 16
    found = [one for one in effects().values() if _matches(page.typed, one.name, one.help)]
    for index, effect in enumerate(found):
        row, column = divmod(index, 2)
        place = Rect(px(PAD) + column * (w + gap), px(4) + row * (h + name_h + px(8)), w,
                     h + name_h)  # fmt: skip
        yield Part("effect", effect.name, place, effect.name, effect.help,
                   Set(f"{page.layer}.effect", effect.name), effect.name,
                   on=effect.name == now)  # fmt: skip
    if not found:
        yield _nothing(body, px, page.typed)


def _zones(state: State, page: Choosing, body: Rect, px: Any) -> Iterator[Part]:
    assert state.facts is not None
    control = f"{page.layer}.zones"
    value = state.value(page.layer, "zones")
    now, bare = list(zones_of(value)), list(bare_zones(value))
    y, h = px(4), px(38)
    runs = {run.name for run in state.facts.runs}
    for name in sorted(state.facts.zones, key=lambda one: (one in runs, one != "all")):
        place = Rect(px(PAD) - px(8), y, body.w - 2 * px(PAD) + px(16), h)
        on = name in bare
        at = bare.index(name) if on else -1
        without = [one for index, one in enumerate(now) if index != at] if on else [*now, name]
        press = Set(control, zones_value(without)) if without else None
        kind = "every pixel" if name == "all" else "run" if name in runs else "zone"
        yield Part("zone", name, place, name, kind, press, on=on, number=at + 1)
        if on:
            turned = list(now)
            back = turned[at].endswith(REVERSED)
            turned[at] = name if back else name + REVERSED
            w = px(92)
            yield Part("button", f"{name} turned",
                       Rect(place.right - w - px(6), y + px(6), w, h - px(12)),
                       "backward" if back else "forward", press=Set(control, zones_value(turned)),
                       on=back)  # fmt: skip
        y += h + px(4)


#: What the list tells of the layer that is unfolded, in this order.
_ROWS = ("effect", "palette", "zones", "opacity", "blend", "direction", "from", "until", "ease")


def _layers(state: State, page: Choosing, body: Rect, px: Any) -> Iterator[Part]:
    assert state.facts is not None
    facts = state.facts
    left, w, y = px(PAD) - px(8), body.w - 2 * px(PAD) + px(16), px(4)
    for index, (layer, mark) in enumerate(zip(facts.layers, facts.marks, strict=True)):
        unfolded = index == page.layer
        place = Rect(left, y, w, px(54))
        new = is_made(facts, mark) or any(one == mark for one, _ in state.edits)
        yield Part("layer", f"layer {index}", place, layer.effect, ", ".join(layer.zones),
                   OpenPage("layers", index), on=unfolded, number=index,
                   changed=new)  # fmt: skip
        side, hidden = px(28), mark in state.hidden
        last = index + 1 == len(facts.layers)
        signs: tuple[tuple[str, Action | None, bool], ...] = (
            ("hide", Set(f"{index}.hide", not hidden), hidden),
            ("later", None if last else MoveLayer(index, 1), False),
            ("earlier", MoveLayer(index, -1) if index else None, False),
        )
        for slot, (sign, action, on) in enumerate(signs):
            at = Rect(place.right - px(6) - (slot + 1) * side, y + px(13), side - px(2), px(28))
            yield Part("sign", f"{sign} {index}", at, sign, press=action, on=on)
        y += place.h + px(2)
        if not unfolded:
            continue
        for name in _ROWS:
            control = any_control(state, f"{index}.{name}")
            if control is None:
                continue
            row = Rect(left + px(14), y, w - px(20), px(34))
            yield _row(control, row, index, layer.effect if name == "effect" else control.text)
            y += row.h
        y += px(6)
        third = (w - px(20) - 2 * px(8)) // 3
        alone = state.only == mark
        buttons: tuple[tuple[str, str, Action | None, bool], ...] = (
            ("only", "Only this", Set(f"{index}.only", not alone), alone),
            ("copy", "Copy", CopyLayer(index), False),
            ("remove", "Remove", RemoveLayer(index) if len(facts.layers) > 1 else None, False),
        )
        for slot, (key, text, action, on) in enumerate(buttons):
            at = Rect(left + px(14) + slot * (third + px(8)), y, third, px(30))
            yield Part("button", key, at, text, press=action, on=on)
        y += px(30) + px(14)
    wide = Rect(left + px(8), y + px(8), w - px(16), px(34))
    yield Part("button", "add", wide, "Add a layer", press=AddLayer())
    name = PurePath(facts.scheme_file).name
    yield Part("button", "write", wide._replace(y=px(10)), f"Write to {name}",
               press=WriteValues() if state.changed else None, changed=state.changed,
               fixed=True)  # fmt: skip


def _row(control: Control, place: Rect, index: int, value: str) -> Part:
    """One value of the unfolded layer: it opens a page, or goes up and down."""
    name, label = control.id.partition(".")[2], control.label
    if control.opens:
        press = OpenPage(cast(Page, control.opens), index)
        return Part("row", name, place, label, value, press, changed=control.changed, number=index)
    by = 5 if control.form == "slider" else 1
    return Part("row", name, place, label, value,
                less=Set(control.id, control.stepped(-by)),
                more=Set(control.id, control.stepped(by)),
                changed=control.changed, number=index)  # fmt: skip


_MAKERS = {"schemes": _schemes, "layers": _layers, "palettes": _palettes, "effects": _effects,
           "zones": _zones}  # fmt: skip
