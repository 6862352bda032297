"""Sections of the drawer that fold: their heads are controls like all others. Pure."""

from __future__ import annotations

from dataclasses import replace

from sim.app.state.controls import Control, control, controls
from sim.app.state.record import State

#: What the ids of heads begin with; the name of the section follows.
HEAD = "fold:"
#: Sections without a head that folds: always open.
OPEN = ("Scheme", "Values")


def listed(state: State) -> tuple[Control, ...]:
    """What the drawer shows, in order of place: heads, and the controls of open sections."""
    found: list[Control] = []
    section, folded = "", False
    every = controls(state)
    for one in every:
        if one.section != section:
            section = one.section
            folded = section in state.feedback.folded and section not in OPEN
            if section not in OPEN:
                inside = [other for other in every if other.section == section]
                found.append(_head(section, folded, any(other.changed for other in inside)))
        if not folded or one.beside:
            found.append(one)
    return tuple(found)


def _head(section: str, folded: bool, changed: bool) -> Control:
    name = section.strip("0123456789 ") if section[:1].isdigit() else section
    told = f"layer {section.split()[0]}, {name}" if section[:1].isdigit() else name
    return Control(
        f"{HEAD}{section}", section, "head", not folded, section=section,
        spoken=f"{told}, {'folded' if folded else 'open'}", changed=changed and folded,
        help=f"{told[0].upper()}{told[1:]}: folds these rows away, or shows them again.",
    )  # fmt: skip


def listed_control(state: State, name: str) -> Control | None:
    """A control, or the head of a section, by its id; None where there is none such."""
    if name.startswith(HEAD):
        return next((one for one in listed(state) if one.id == name), None)
    return control(state, name)


def folded(state: State, head: str, opened: bool) -> State:
    """The state with a section open or folded; what lost its place gives up the keys."""
    section = head.removeprefix(HEAD)
    before = state.feedback.folded
    now = before - {section} if opened else before | {section}
    state = replace(state, feedback=replace(state.feedback, folded=now))
    shown = {one.id for one in listed(state)}
    return state if state.focus in shown else replace(state, focus=None)
