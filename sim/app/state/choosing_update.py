"""What happens on a page of choosing: pointed at, tried, taken, left. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from sim.app.state.actions import COMMANDS, Action, Open
from sim.app.state.choosing import TRIES, closed, gone, opened, page_of
from sim.app.state.choosing_actions import (
    ChoosingAction,
    ClosePage,
    OpenPage,
    PointAtPart,
    PressPart,
    StepParts,
    TypeOnPage,
)
from sim.app.state.choosing_pages import TYPED, PageSheet, Part, part_of, sheet
from sim.app.state.controls import control
from sim.app.state.drawer import scroll_to
from sim.app.state.history import settled
from sim.app.state.layer_actions import (
    AddLayer,
    CopyLayer,
    LayerEdit,
    MoveLayer,
    RemoveLayer,
)
from sim.app.state.layer_edits import layers_edited
from sim.app.state.number_actions import BeginNumber, NumberAction
from sim.app.state.numbers import numbered_by_hand, typed_on
from sim.app.state.record import State
from sim.app.state.window_layout import layout

Update = Callable[[State, Action], State]

#: No name that is looked for is longer than this.
LONGEST = 40

#: What is done on pages, to the list of layers, and in number fields.
ByLooking = ChoosingAction | LayerEdit | NumberAction


def by_looking(state: State, action: ByLooking, update: Update) -> State:
    """The state after any of them."""
    if isinstance(action, LayerEdit):
        return layers_edited(settled(state), action)
    if isinstance(action, NumberAction):
        return numbered_by_hand(state, action, update)
    return chosen(state, action, update)


def opens(state: State) -> Action | None:
    """What Enter opens for the control that has the keys: a page, or a field to type in."""
    found = control(state, state.focus or "")
    if found is None:
        return None
    if found.opens:
        return page_of(found)
    return BeginNumber(found.id) if found.form == "slider" else None


def chosen(state: State, action: ChoosingAction, update: Update) -> State:
    """The state after an action of a page; `update` does what a pressed part asks for."""
    if isinstance(action, OpenPage):
        return opened(state, action)
    if state.choosing is None:
        return state
    if isinstance(action, ClosePage):
        return closed(state)
    found = sheet(state, layout(state))
    if isinstance(action, PointAtPart):
        return _pointed(state, part_of(found, action.part))
    if isinstance(action, PressPart):
        return _pressed(state, part_of(found, action.part or state.choosing.at), update)
    if isinstance(action, StepParts):
        return _stepped(state, found, action, update)
    if isinstance(action, TypeOnPage):
        return _typed(state, action.text)
    return _scrolled(state, found, state.choosing.scroll + action.by)


def action_of_part(state: State, key: str | None) -> Action:
    """What pressing a part asks for: what reaches the disk is the loop's own."""
    found = sheet(state, layout(state))
    part = part_of(found, key)
    if part is not None and isinstance(part.press, COMMANDS):
        return part.press
    return PressPart(key)


def kept_open(state: State) -> State:
    """The page fits the layers there are now; none about layers where there are none."""
    if state.number is not None and not state.drawer:
        state = replace(state, number=None)
    page = state.choosing
    if page is None or state.facts is None or page.page == "schemes":
        return state
    layers = len(state.facts.layers)
    if not layers or not state.drawer or state.board is not None:
        return replace(state, choosing=None)
    if page.layer >= layers:
        return replace(state, choosing=replace(page, layer=layers - 1, tried=None))
    return state


def _pointed(state: State, part: Part | None) -> State:
    page = state.choosing
    assert page is not None
    at, tries = (part.key, part.tries) if part is not None else (None, None)
    if page.at == at and page.tried == tries:
        return state
    return replace(state, choosing=replace(page, at=at, tried=tries))


def _pressed(state: State, part: Part | None, update: Update) -> State:
    """What a part does. A palette, effect or scheme that is taken closes its page."""
    page = state.choosing
    assert page is not None
    if part is None or part.press is None:
        return state
    press = part.press
    if isinstance(press, OpenPage) and press.page == page.page:  # another layer unfolded
        return replace(state, choosing=replace(page, layer=press.layer or 0, at=part.key))
    plain = replace(state, choosing=replace(page, tried=None))
    after = update(plain, press)
    if isinstance(press, Open):
        return replace(gone(after), time_s=0.0)
    if page.page in TRIES:
        return closed(after)
    return _following(after, press)


def _following(state: State, press: Action) -> State:
    """The layer that was pressed stays the one unfolded, wherever it stands now."""
    page = state.choosing
    if page is None or state.facts is None:
        return state
    layer = page.layer
    if isinstance(press, MoveLayer):
        to = press.layer + press.by
        layer = to if layer == press.layer else press.layer if layer == to else layer
    elif isinstance(press, CopyLayer):
        layer = press.layer + 1
    elif isinstance(press, AddLayer):
        layer = len(state.facts.layers) - 1
    elif isinstance(press, RemoveLayer):
        layer = layer - 1 if press.layer < layer else layer
    layer = min(max(layer, 0), len(state.facts.layers) - 1)
    return replace(state, choosing=replace(page, layer=layer))


def _stepped(state: State, found: PageSheet, action: StepParts, update: Update) -> State:
    """To the nearest part in a direction; a value goes up or down sideways."""
    page = state.choosing
    assert page is not None
    reached = [_in_order(found, one) for one in found.parts if one.form != "note"]
    here = next((one for one in reached if one.key == page.at), None)
    if here is not None and action.across and (here.less or here.more):
        change = here.more if action.across > 0 else here.less
        return update(state, change) if change is not None else state
    if here is None:
        current = next((one for one in reached if one.on), reached[0] if reached else None)
        there = current
    else:
        there = _neighbour(reached, here, action)
    state = _pointed(state, there)
    return _seen(state, found, there)


def _neighbour(reached: list[Part], here: Part, action: StepParts) -> Part:
    x, y = here.place.x + here.place.w / 2, here.place.y + here.place.h / 2

    def away(one: Part) -> tuple[float, float]:
        across = one.place.x + one.place.w / 2 - x
        down = one.place.y + one.place.h / 2 - y
        ahead = across * action.across if action.across else down * action.down
        aside = abs(down) if action.across else abs(across)
        if ahead <= 1 or (action.across and aside > here.place.h / 2 + 2):
            return float("inf"), 0.0
        return ahead if action.down else ahead + 4 * aside, aside

    best = min(reached, key=away)
    return best if away(best)[0] < float("inf") else here


def _in_order(found: PageSheet, part: Part) -> Part:
    """Keys come to what stands at the foot after all that scrolls."""
    place = part.place
    return replace(part, place=place._replace(y=place.y + found.height)) if part.fixed else part


def _seen(state: State, found: PageSheet, part: Part | None) -> State:
    """Scrolled no more than needed for a part to be in sight."""
    page = state.choosing
    if part is None or page is None or part.fixed:
        return state
    scale, margin = state.scale, 8 * state.scale
    to = scroll_to(part.place.y - margin, part.place.bottom + margin, page.scroll * scale,
                   found.body.h)  # fmt: skip
    return _scrolled(state, found, to / scale)


def _scrolled(state: State, found: PageSheet, to: float) -> State:
    page = state.choosing
    assert page is not None
    limit = max(found.height - found.body.h, 0) / state.scale
    scroll = min(max(to, 0.0), limit)
    return state if scroll == page.scroll else replace(state, choosing=replace(page, scroll=scroll))


def _typed(state: State, text: str) -> State:
    page = state.choosing
    assert page is not None
    if page.page not in TYPED:
        return state
    typed = typed_on(page.typed, text, LONGEST).lstrip()
    state = replace(state, choosing=replace(page, typed=typed, scroll=0.0, at=None, tried=None))
    if not typed:
        return state
    first = next((one for one in sheet(state, layout(state)).parts if one.form != "note"), None)
    return _pointed(state, first)
