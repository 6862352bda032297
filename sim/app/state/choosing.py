"""Choosing by looking: schemes, palettes, effects, zones and the list of layers. Pure.

One page stands open at a time. What is pointed at there, by pointer or by keys, is tried on the
house; taking it is a step of the history like any other; leaving takes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from sim.app.state.choosing_actions import OpenPage
from sim.app.state.choosing_record import Choosing, Page
from sim.app.state.controls import Control
from sim.app.state.record import State
from sim.app.state.settings import set_control

#: What a page tries on the house.
TRIES = {"palettes": "palette", "effects": "effect"}


def tried(state: State) -> State:
    """The state as the house is to show it: with what is only tried."""
    page = state.choosing
    if page is None or page.tried is None or state.facts is None or page.page not in TRIES:
        return state
    if page.layer >= len(state.facts.layers):
        return state
    return set_control(state, f"{page.layer}.{TRIES[page.page]}", page.tried)


def opened(state: State, action: OpenPage) -> State:
    """The state with a page open."""
    before = state.choosing
    if before is not None and before.page == action.page and action.layer in (None, before.layer):
        return gone(state)
    layers = len(state.facts.layers) if state.facts else 0
    layer = action.layer if action.layer is not None else before.layer if before else 0
    if action.page != "schemes" and not layers:
        return state
    within = before is not None and (before.page == "layers" or before.within)
    alone = before.alone if before else not state.drawer
    within = within and action.page not in ("schemes", "layers")
    layer = min(max(layer, 0), max(layers - 1, 0))
    page = Choosing(action.page, layer, within=within, alone=alone)
    drawer = state.drawer or action.page != "schemes"
    return replace(state, choosing=page, drawer=drawer, help=False, focus=None, selection=None,
                   number=None)  # fmt: skip


def page_of(control: Control) -> OpenPage:
    """The page on which a control of a layer is chosen."""
    return OpenPage(cast(Page, control.opens), int(control.id.partition(".")[0]))


def closed(state: State) -> State:
    """The state with the page before, or none."""
    page = state.choosing
    if page is None:
        return state
    if page.within:
        at = {"palettes": "palette", "effects": "effect", "zones": "zones"}.get(page.page)
        return replace(state, choosing=Choosing("layers", page.layer, at=at, alone=page.alone),
                       number=None)  # fmt: skip
    return gone(state)


def gone(state: State) -> State:
    """The state without a page, and the drawer as it was before."""
    shut = state.choosing is not None and state.choosing.alone
    return replace(state, choosing=None, drawer=state.drawer and not shut, number=None)
