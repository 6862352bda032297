"""Straightening a photograph by marks on it: what is marked, typed, chosen, and looked at. Pure.

A shape is one thing that is known: a point with its place, a rectangle with its size, a line with
its length, or a line that is straight in truth. Pixels are (u, v) of the photograph as one sees it,
v downwards. Everything here takes a state and gives the next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from sim.app.state.window_layout import Rect

Kind = Literal["rectangle", "point", "length", "eave"]
#: The tools in the order of the panel: name, key, what to click.
TOOLS: dict[Kind, tuple[str, str, str]] = {
    "rectangle": ("Rectangle", "r", "Click the four corners of a door or window."),
    "point": ("Point", "p", "Click a point whose place on the wall you know; four or more."),
    "length": ("Length", "l", "Click both ends of a level or an upright edge; two of each."),
    "eave": ("Straight edge", "e", "Click three points or more along an eave; then Enter."),
}
CLICKS: dict[Kind, int] = {"rectangle": 4, "point": 1, "length": 2, "eave": 10_000}
PANEL, REACH, MOST_ZOOM = 348, 14, 40.0


class Pixel(NamedTuple):
    """A place of the photograph."""

    u: float
    v: float


@dataclass(frozen=True)
class MarkedShape:
    """One thing that is known of the photograph."""

    kind: Kind
    pixel: tuple[Pixel, ...]
    text: str = ""  # as typed


class Handle(NamedTuple):
    """One mark: the shape and which of its pixels."""

    shape: int
    mark: int


Shapes = tuple[MarkedShape, ...]
CORNER = Pixel(0.0, 0.0)


@dataclass(frozen=True)
class Straightening:
    """All that the stage knows. `begun` are the clicks of a shape that is not complete."""

    photo_px: tuple[int, int]
    units: str = "m"
    name: str = ""
    shapes: Shapes = ()
    viewer: str = ""  # how far away the camera stood, as typed
    viewer_typed: str | None = None  # what stands in its field; None: it has not the keys
    tool: Kind = "rectangle"
    begun: tuple[Pixel, ...] = ()
    chosen: Handle | None = None
    held: bool = False
    typed: str | None = None  # what stands in the field of the chosen shape; None: not typing
    cursor: Pixel = CORNER
    zoom: float = 1.0  # 1: all of it is in sight
    middle: Pixel = CORNER
    grid: bool = True
    size_px: tuple[int, int] = (1280, 720)
    scale: float = 1.0
    told: str = ""  # what just happened, or why not
    leaving: bool = False  # asked whether to leave
    past: tuple[Shapes, ...] = ()
    future: tuple[Shapes, ...] = ()


def begun(photo_px: tuple[int, int], units: str = "m", name: str = "") -> Straightening:
    """The stage with nothing marked."""
    middle = Pixel(photo_px[0] / 2, photo_px[1] / 2)
    return Straightening(photo_px, units, name, cursor=middle, middle=middle)


def example(kind: Kind, units: str) -> str:
    """What is typed of a shape, in words, with an example in the units of the house."""
    feet = units in ("ft", "in")
    if kind == "rectangle":
        return f"Width x height: {'36 in x 80 in' if feet else '0.9 m x 2 m'}; Enter."
    if kind == "point":
        place = "10 ft 6 in, 0" if feet else "3.2 m, 0"
        return f"x, y from the house's lower left: {place}; Enter."
    return f"Its length: {'8 ft' if feet else '2.4 m'}; or nothing; Enter."


# --- where things stand on the screen ---


def px(state: Straightening, size: float) -> int:
    """A size at 100 % in pixels of the screen."""
    return max(1, round(size * state.scale))


def picture(state: Straightening) -> Rect:
    """Where the photograph is; the panel is right of it."""
    w, h = state.size_px
    return Rect(0, 0, max(w - min(px(state, PANEL), w * 2 // 3), 1), h)


def screen_per_pixel(state: Straightening) -> float:
    """How many pixels of the screen one of the photograph takes."""
    place = picture(state)
    fitted = min(place.w / state.photo_px[0], place.h / state.photo_px[1])
    return 0.97 * fitted * state.zoom


def on_screen(state: Straightening, at: Pixel | tuple[float, float]) -> tuple[float, float]:
    """A pixel of the photograph → where it is on the screen."""
    place, per = picture(state), screen_per_pixel(state)
    return (place.x + place.w / 2 + (at[0] - state.middle.u) * per,
            place.y + place.h / 2 + (at[1] - state.middle.v) * per)  # fmt: skip


def on_photo(state: Straightening, x: float, y: float) -> Pixel:
    """A place of the screen → the pixel of the photograph, kept inside it."""
    place, per = picture(state), screen_per_pixel(state)
    u = (x - place.x - place.w / 2) / per + state.middle.u
    v = (y - place.y - place.h / 2) / per + state.middle.v
    return _inside(state, Pixel(float(u), float(v)))


def _inside(state: Straightening, at: Pixel) -> Pixel:
    wide, tall = state.photo_px
    return Pixel(min(max(at.u, 0.0), float(wide)), min(max(at.v, 0.0), float(tall)))


def handles(state: Straightening) -> tuple[Handle, ...]:
    """Every mark, in order."""
    return tuple(
        Handle(index, mark)
        for index, shape in enumerate(state.shapes)
        for mark in range(len(shape.pixel))
    )


def pixel_of(state: Straightening, handle: Handle) -> Pixel:
    """Where a mark is."""
    return state.shapes[handle.shape].pixel[handle.mark]


def near(state: Straightening, x: float, y: float) -> Handle | None:
    """The mark that a press there takes."""
    apart = {one: math.dist(on_screen(state, pixel_of(state, one)), (x, y))
             for one in handles(state)}  # fmt: skip
    best = min(apart, key=lambda one: apart[one], default=None)
    return best if best is not None and apart[best] <= px(state, REACH) else None


# --- the view ---


def zoomed(state: Straightening, factor: float, x: float, y: float) -> Straightening:
    """Enlarged by a factor; what is under (x, y) stays there."""
    kept = on_photo(state, x, y)
    state = replace(state, zoom=min(max(state.zoom * factor, 1.0), MOST_ZOOM))
    if state.zoom == 1.0:
        return replace(state, middle=Pixel(state.photo_px[0] / 2, state.photo_px[1] / 2))
    now = on_screen(state, kept)
    per = screen_per_pixel(state)
    moved = Pixel(state.middle.u + (now[0] - x) / per, state.middle.v + (now[1] - y) / per)
    return replace(state, middle=_inside(state, moved))


def panned(state: Straightening, dx: float, dy: float) -> Straightening:
    """The photograph moved by so much of the screen."""
    per = screen_per_pixel(state)
    return replace(
        state, middle=_inside(state, Pixel(state.middle.u - dx / per, state.middle.v - dy / per))
    )


def in_sight(state: Straightening) -> Straightening:
    """The view moved so that the cursor is on it."""
    x, y = on_screen(state, state.cursor)
    margin = px(state, 40)
    if picture(state).inset(margin, margin, margin, margin).holds(x, y) or state.zoom == 1.0:
        return state
    return replace(state, middle=state.cursor)


# --- marking ---


def pressed(state: Straightening, x: float, y: float) -> Straightening:
    """A press on the photograph: takes the mark that is there, or puts one."""
    found = None if state.begun else near(state, x, y)
    if found is None:
        return placed(replace(state, cursor=on_photo(state, x, y)))
    state = taken(state, found)
    return _remembered(replace(state, held=True, cursor=pixel_of(state, found)))


def pointed(state: Straightening, x: float, y: float) -> Straightening:
    """The pointer moved; what is held goes with it."""
    at = on_photo(state, x, y)
    if state.held and state.chosen is not None:
        return _moved(replace(state, cursor=at), at)
    return replace(state, cursor=at)


def let_go(state: Straightening) -> Straightening:
    """The press has ended. What was not moved is no step."""
    if not state.held:
        return state
    same = bool(state.past) and state.past[-1] == state.shapes
    return replace(state, held=False, past=state.past[:-1] if same else state.past)


def placed(state: Straightening) -> Straightening:
    """A mark where the cursor is, as the tool does it."""
    marks = (*state.begun, state.cursor)
    if len(marks) < CLICKS[state.tool]:
        left = CLICKS[state.tool] - len(marks)
        told = "" if state.tool == "eave" else f"{left} more"
        return replace(state, begun=marks, chosen=None, typed=None, told=told)
    return _added(replace(state, begun=()), marks)


def ended(state: Straightening) -> Straightening:
    """A straight edge is complete."""
    if state.tool != "eave" or not state.begun:
        return state
    if len(state.begun) < 3:
        return replace(state, told="A straight edge needs three points at least")
    return _added(replace(state, begun=()), state.begun)


def _added(state: Straightening, marks: tuple[Pixel, ...]) -> Straightening:
    state = _remembered(state)
    ordered = _around(marks) if state.tool == "rectangle" else marks
    shapes = (*state.shapes, MarkedShape(state.tool, ordered))
    typed = None if state.tool == "eave" else ""
    return replace(state, shapes=shapes, chosen=Handle(len(shapes) - 1, 0), typed=typed, told="")


def _around(marks: tuple[Pixel, ...]) -> tuple[Pixel, ...]:
    """Four corners from the lower left around against the clock, as one sees them."""
    middle = Pixel(sum(one.u for one in marks) / 4, sum(one.v for one in marks) / 4)
    turned = sorted(marks, key=lambda one: math.atan2(middle.v - one.v, one.u - middle.u))
    first = max(range(4), key=lambda index: turned[index].v - turned[index].u)
    return (*turned[first:], *turned[:first])


def _moved(state: Straightening, to: Pixel) -> Straightening:
    """The chosen mark somewhere else."""
    assert state.chosen is not None
    index, mark = state.chosen
    shape = state.shapes[index]
    marks = (*shape.pixel[:mark], _inside(state, to), *shape.pixel[mark + 1 :])
    shapes = (*state.shapes[:index], replace(shape, pixel=marks), *state.shapes[index + 1 :])
    return replace(state, shapes=shapes)


def nudged(state: Straightening, du: float, dv: float) -> Straightening:
    """The chosen mark, or else the cursor, moved by pixels of the photograph."""
    at = pixel_of(state, state.chosen) if state.chosen else state.cursor
    to = _inside(state, Pixel(at.u + du, at.v + dv))
    if state.chosen is not None:
        state = _moved(_remembered(state), to)
    return in_sight(replace(state, cursor=to, told=""))


def taken(state: Straightening, handle: Handle | None) -> Straightening:
    """Another mark is chosen, or none."""
    state = replace(state, chosen=handle, typed=None, told="")
    return replace(state, cursor=pixel_of(state, handle)) if handle else state


def next_mark(state: Straightening, steps: int) -> Straightening:
    """The next or previous mark."""
    every = handles(state)
    if not every:
        return replace(state, told="Nothing is marked yet")
    at = every.index(state.chosen) + steps if state.chosen in every else min(steps, 0)
    return in_sight(taken(replace(state, begun=()), every[at % len(every)]))


def removed(state: Straightening) -> Straightening:
    """Without the chosen shape."""
    if state.chosen is None:
        return state
    index = state.chosen.shape
    shapes = (*state.shapes[:index], *state.shapes[index + 1 :])
    return replace(_remembered(state), shapes=shapes, chosen=None, typed=None, told="Removed")


def with_tool(state: Straightening, tool: Kind) -> Straightening:
    """Another tool; what was begun is dropped."""
    return replace(state, tool=tool, begun=(), chosen=None, typed=None, told="")


def written(state: Straightening, text: str) -> Straightening:
    """What was typed for the chosen shape holds."""
    if state.chosen is None:
        return replace(state, typed=None)
    index = state.chosen.shape
    shape = replace(state.shapes[index], text=text.strip())
    if shape == state.shapes[index]:
        return replace(state, typed=None, told="")
    shapes = (*state.shapes[:index], shape, *state.shapes[index + 1 :])
    return replace(_remembered(state), shapes=shapes, typed=None, told="")


# --- back and on ---


def _remembered(state: Straightening) -> Straightening:
    return replace(state, past=(*state.past, state.shapes), future=())


def undone(state: Straightening) -> Straightening:
    """One step back; first the last click of what is begun."""
    if state.begun:
        return replace(state, begun=state.begun[:-1], told="Undone: a click")
    if not state.past:
        return replace(state, told="Nothing to undo")
    return _restored(
        state, state.past[-1], state.past[:-1], (*state.future, state.shapes), "Undone"
    )


def redone(state: Straightening) -> Straightening:
    """One step on."""
    if not state.future:
        return replace(state, told="Nothing to redo")
    return _restored(
        state, state.future[-1], (*state.past, state.shapes), state.future[:-1], "Redone"
    )


def _restored(
    state: Straightening, shapes: Shapes, past: tuple[Shapes, ...], future: tuple[Shapes, ...],
    told: str,
) -> Straightening:  # fmt: skip
    state = replace(state, shapes=shapes, past=past, future=future, typed=None, held=False)
    chosen = state.chosen if state.chosen in handles(state) else None
    return replace(state, chosen=chosen, told=told)
