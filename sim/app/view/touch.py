"""What is touched, drawn over the house; keeps where everything was, for the next press."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
import pygame

from sim.app.state.actions import Action
from sim.app.state.inspect import report
from sim.app.state.question import question_places
from sim.app.state.record import State
from sim.app.state.same import same
from sim.app.state.shown import Shown
from sim.app.state.touch import things_of
from sim.app.state.touch_buttons import buttons_of
from sim.app.state.touch_card import CardFacts, TouchCard, brief, card_of, fitting, pixel_card
from sim.app.state.touch_places import TouchPlaces, touch_places
from sim.app.state.touch_pointer import CardPlaces, Touchable, wires_shown
from sim.app.state.touch_record import MoreOfCard, Thing, ThingsThere
from sim.app.state.window_layout import Layout, Rect
from sim.app.view.brush import Brush
from sim.app.view.touch_card import (
    MARGIN,
    MORE,
    CardShape,
    card_place,
    draw_card,
    draw_leader,
    in_parts,
    shaped,
)
from sim.app.view.touch_light import (
    RUN_AWAY,
    WIRE_AWAY,
    Around,
    draw_around,
    draw_box_around,
    draw_name,
    draw_ring,
    lines_around,
)
from sim.light import to_px
from sim.report.label_places import leader
from sim.report.watched import Watched

#: Heights of a card that are tried, of the room there is, and how much of what it is about one may
#: hide before the next is tried.
ROOMS, MOST_HIDDEN = (1.0, 0.8, 0.64, 0.5), 0.02
#: What is said of a thing while its picture is being made.
AWAITED = "lit with the new picture"


class TouchScreen:
    """Keeps what is costly to find between two draws."""

    def __init__(self) -> None:
        self.touchable = Touchable()
        #: What is known of the whole scheme, by side; the window hands over its own.
        self.watched: Mapping[str, Watched] = {}
        self.spoken = ""
        #: Tags of wires as they stand, which a card had better not hide.
        self.tags: Sequence[Rect] = ()
        self._of: tuple[object, ...] = ()
        self._place_of: tuple[object, ...] = ()
        self._place = Rect(0, 0, 0, 0)
        self._house: object = None
        self._room_of: tuple[object, tuple[int, int]] = (None, (0, 0))
        self._parts_of: tuple[object, tuple[TouchCard, ...]] = (None, ())
        self._around: dict[tuple[TouchPlaces, Thing, float], Around] = {}
        self._card_of: tuple[tuple[object, ...], TouchCard | None] = ((), None)
        self._shapes: dict[tuple[object, ...], CardShape] = {}
        self._points_of: tuple[TouchPlaces, dict[Thing, tuple[float, float] | None]] | None = None

    @property
    def card_place(self) -> Rect | None:
        """Where a card stands, as it was drawn last; None where there is none."""
        return self._place if self.touchable.card is not None else None

    def news(self, shown: Shown | None) -> ThingsThere | None:
        """The things of the house on show, once for every house."""
        house = shown.stage.left.rig.house if shown is not None else None
        if house is None or house is self._house:
            return None
        self._house = house
        return things_of(house)

    def places(self, shown: Shown, scale: float) -> TouchPlaces:
        """Where everything is on the picture of the left side."""
        side = shown.stage.left
        key = (side.scene, side.rig.house, side.hung, scale)
        if self._of != key or self.touchable.places is None:
            self._of = key
            self.touchable = Touchable(touch_places(side, scale, pixels_at(shown)))
        assert self.touchable.places is not None
        return self.touchable.places

    def forget(self) -> None:
        """Nothing can be touched: there is no picture, or it does not fit."""
        self.touchable, self._of, self.spoken = Touchable(), (), ""

    def draw_light(self, brush: Brush, state: State, shown: Shown) -> None:
        """A line around what is lit and what is open, under all tags."""
        places = self.places(shown, brush.scale)
        for thing in {state.touch.lit, state.touch.card}:
            if thing is not None:
                self._light(brush, places, thing)

    def draw(
        self, brush: Brush, state: State, parts: Layout, shown: Shown, split: int, told: Shown
    ) -> None:
        """Name and card of what is touched; `split` is where the right side begins. Their figures
        are those of `told`, the frame on show or one a moment before."""
        places = self.places(shown, brush.scale)
        touch, known = state.touch, self._known(state, told, "left")
        pointer = pygame.mouse.get_pos()
        self.spoken = ""
        card, thing, anchor = self._card(state, told, places, split)
        made = None
        if card is not None:
            self.spoken = f"{card.form} {card.title}" if state.playing else card.spoken
            made = self._draw_card(brush, state, parts, places, card, thing, anchor, pointer)
        if made != self.touchable.card:
            self.touchable = replace(self.touchable, card=made)
        lit = touch.lit
        if lit is not None and lit != touch.card:
            self.spoken = self.spoken or lit.spoken
            at = self._middle(parts, places, lit) if touch.by_keys else pointer
            draw_name(brush, parts, lit.name, brief(lit, known), at)

    def _known(self, state: State, shown: Shown, name: str) -> CardFacts | None:
        side = shown.stage.left if name == "left" else shown.stage.right
        frame = shown.left if name == "left" else shown.right
        if side is None or frame is None:
            return None
        watched = fitting(self.watched.get(name), side, shown.show, state.shown_brightness)
        return CardFacts(
            side, shown.show, frame, watched, side.hung.supposed if side.hung else frozenset()
        )

    def _light(self, brush: Brush, places: TouchPlaces, thing: Thing) -> None:
        if thing in places.boxes:
            draw_box_around(brush, places.boxes[thing])
        elif thing in places.lines and len(places.lines[thing]):
            away = RUN_AWAY if thing.form == "run" else WIRE_AWAY
            key = (places, thing, brush.scale)
            if key not in self._around:
                self._around = {old: it for old, it in self._around.items() if old[0] is places}
                self._around[key] = lines_around(places.lines[thing], away, brush.scale)
            draw_around(brush, self._around[key])

    def _card(
        self, state: State, shown: Shown, places: TouchPlaces, split: int
    ) -> tuple[TouchCard | None, Thing | None, tuple[float, float] | None]:
        """The card to be shown, what it is of, and where that is."""
        pixel, thing = state.selection, state.touch.card
        if pixel is not None and pixel < len(places.at_px):
            x, y = places.at_px[pixel].tolist()
            far = shown.right is not None and x >= split
            known = self._known(state, shown, "right" if far else "left")
            if known is None:
                return None, None, None
            raw = known.side.rig.mixer.colour == "raw"
            return pixel_card(report(known.house, known.frame, pixel, raw)), thing, (x, y)
        known = self._known(state, shown, "left")
        if thing is None or known is None:
            return None, thing, self._anchor(state, places, thing)
        of = (thing, known.side, known.show, known.frame, known.watched)
        if not same(of, self._card_of[0]):
            self._card_of = (of, card_of(thing, known))
        return self._card_of[1], thing, self._anchor(state, places, thing)

    def _anchor(
        self, state: State, places: TouchPlaces, thing: Thing | None
    ) -> tuple[float, float] | None:
        if thing is None:
            return None
        pixel = state.touch.pixel
        if thing.form == "run" and pixel is not None and pixel < len(places.at_px):
            x, y = places.at_px[pixel].tolist()
            return (x, y)
        return self._halfway(places, thing)

    def _halfway(self, places: TouchPlaces, thing: Thing) -> tuple[float, float] | None:
        if self._points_of is None or self._points_of[0] is not places:
            self._points_of = (places, {})
        found = self._points_of[1]
        if thing not in found:
            found[thing] = _halfway(places, thing)
        return found[thing]

    def _middle(self, parts: Layout, places: TouchPlaces, thing: Thing) -> tuple[float, float]:
        x, y = self._halfway(places, thing) or (parts.picture.w / 2, parts.picture.h / 2)
        return (parts.picture.x + x, parts.picture.y + y)

    def _draw_card(
        self, brush: Brush, state: State, parts: Layout, places: TouchPlaces, card: TouchCard,
        thing: Thing | None, anchor: tuple[float, float] | None, pointer: tuple[int, int],
    ) -> CardPlaces:  # fmt: skip
        buttons = buttons_of(state, card.form, thing)
        area = _area(state, parts)

        def stands(size: tuple[int, int]) -> Rect:
            about, middle, hidden = self._beside(parts, state, places, card, thing, anchor, area)
            gap = parts.px(22)
            return card_place(size, area, about, middle, places.at_px, gap, hidden)

        where = (thing, card.form, area, self._of, state.overlays)
        if where != self._room_of[0]:
            labels = [label for label, _ in buttons]
            about = self._beside(parts, state, places, card, thing, anchor, area)[0]
            self._room_of = (where, _room(brush, card, labels, area, about, stands))
        room = self._room_of[1]
        card, buttons = self._part(brush, state, card, buttons, room)
        shape = self._shaped(brush, card, tuple(label for label, _ in buttons), room)
        pixel = state.selection if card.form == "pixel" else state.touch.pixel
        key = (thing, pixel, card.form, shape.size, area, self._of, state.overlays)
        if key != self._place_of:
            self._place_of = key
            self._place = stands(shape.size)
        if anchor is not None and pixel is not None:
            draw_ring(brush, anchor)
        if anchor is not None and wires_shown(state) and _crosses(self.tags, anchor, self._place):
            anchor = None  # no line through words: what the card is about is lit
        hand, place = brush.scaled(shape.brush.scale), self._place
        if anchor is not None:
            draw_leader(hand, place, anchor)
        x, y = pointer[0] - place.x, pointer[1] - place.y
        at = (x, y) if place.holds(*pointer) else (-1, -1)
        of = (card, buttons, shape.brush.scale, brush.kit, at)
        made = hand.plate("card", of, place, lambda on: draw_card(on, shape, card, buttons, at))
        return made.moved(place.x, place.y)

    def _shaped(
        self, brush: Brush, card: TouchCard, labels: tuple[str, ...], room: tuple[int, int]
    ) -> CardShape:
        key = (card, labels, brush.scale, brush.kit, room)
        if key not in self._shapes:
            if len(self._shapes) > 8:
                self._shapes.clear()
            self._shapes[key] = shaped(brush, card, labels, room)
        return self._shapes[key]

    def _beside(
        self, parts: Layout, state: State, places: TouchPlaces, card: TouchCard,
        thing: Thing | None, anchor: tuple[float, float] | None, area: Rect,
    ) -> tuple[np.ndarray, tuple[float, float], list[tuple[Rect, float]]]:  # fmt: skip
        """What a card must not hide, where it belongs, and what it had better not hide."""
        about = places.points(thing) if thing is not None else np.zeros((0, 2))
        middle = anchor or (area.x + area.w / 2, area.y + area.h / 2)
        if card.form == "pixel":
            about = np.array([middle])
        hidden = [(legend, 2e3) for legend in _legends(parts, state)]
        hidden += [(tag, 20.0) for tag in (self.tags if wires_shown(state) else ())]
        return about, middle, hidden

    def _part(
        self, brush: Brush, state: State, card: TouchCard,
        buttons: tuple[tuple[str, Action], ...], room: tuple[int, int],
    ) -> tuple[TouchCard, tuple[tuple[str, Action], ...]]:  # fmt: skip
        """What of a card is on show, with a button for the rest where it has no room for all."""
        key = (card, buttons, brush.scale, brush.kit.high, room)
        if key != self._parts_of[0]:
            labels = [label for label, _ in buttons]
            self._parts_of = (key, in_parts(brush, card, labels, room))
        made = self._parts_of[1]
        if len(made) == 1:
            return card, buttons
        return made[state.touch.part % len(made)], (*buttons, (MORE, MoreOfCard()))

    def wait(self, brush: Brush, state: State, parts: Layout) -> None:
        """While the picture on show is none of this size: nothing can be pointed at, but what keys
        came to is named, and lit as soon as its picture is there."""
        self.forget()
        thing = state.touch.card or state.touch.lit
        if thing is not None and (state.touch.by_keys or state.touch.card is not None):
            self.spoken = thing.spoken
            middle = (parts.picture.x + parts.picture.w / 2, parts.picture.y + parts.picture.h / 2)
            draw_name(brush, parts, thing.name, AWAITED, middle)


def _room(
    brush: Brush, card: TouchCard, labels: Sequence[str], area: Rect, about: np.ndarray,
    stands: Callable[[tuple[int, int]], Rect],
) -> tuple[int, int]:  # fmt: skip
    """How large a card may be [px]: as `area` is, or lower and in parts where the whole of it would
    hide what it is about, points (J, 2)."""
    tried = []
    for share in ROOMS:
        room = (area.w, round(area.h * share))
        made = in_parts(brush, card, labels, room)
        said = labels if len(made) == 1 else [*labels, MORE]
        place = stands(shaped(brush, made[0], said, room).size)
        hides = float(np.mean([place.holds(x, y) for x, y in about])) if len(about) else 0.0
        if hides <= MOST_HIDDEN:
            return room
        tried.append((hides, -share, room))
    return min(tried)[2]


def pixels_at(shown: Shown) -> np.ndarray:
    """(N, 2) [px of the picture] of every pixel."""
    return np.asarray(to_px(shown.stage.left.scene, shown.stage.house.pixels.xy_m))


def _crosses(tags: Sequence[Rect], anchor: tuple[float, float], place: Rect) -> bool:
    """Whether the line from a card to what it is about runs over a tag; one that the card covers,
    in part too, is not drawn."""
    end, card = leader(anchor, (place.x, place.y), (place.w, place.h)), pygame.Rect(place)
    drawn = (tag for tag in map(pygame.Rect, tags) if not tag.colliderect(card))
    return any(tag.clipline(anchor, end) for tag in drawn)


def _halfway(places: TouchPlaces, thing: Thing) -> tuple[float, float] | None:
    """The middle of a box, or half the way along a line."""
    if thing in places.boxes:
        return places.boxes[thing]
    points = places.points(thing)
    if not len(points):
        return None
    x, y = points[len(points) // 2].tolist()
    return (x, y)


def _area(state: State, parts: Layout) -> Rect:
    """Where cards may stand: the picture within its rim, below a question."""
    margin = parts.px(MARGIN)
    margin = min(margin, parts.picture.h // 20)
    top = 0
    if state.question:
        asked = question_places(state.question, parts).card
        top = asked.bottom if asked.bottom < parts.picture.h // 2 else 0
    return parts.picture.inset(margin, max(margin, top), margin, margin)


def _legends(parts: Layout, state: State) -> list[Rect]:
    """Where legends of overlays stand."""
    if "volts" not in state.overlays:
        return []
    return [Rect(parts.picture.x, parts.picture.y, parts.px(312), parts.px(120))]
