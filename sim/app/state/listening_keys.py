"""What can be done in a window that listens, and its key table."""

from __future__ import annotations

from sim.app.state import actions as act
from sim.app.state.keys import BINDINGS, Binding, bind

#: What a scheme, its time and its files need is not here: there is none.
TAKEN = (
    act.Tick, act.Loaded, act.Refused, act.Failed, act.Say, act.PlayPause, act.Back,
    act.ToggleOverlay, act.ToggleDrawer, act.ToggleHelp, act.Select, act.StepPixel, act.StepRun,
    act.Expose, act.Resize, act.Zoom, act.Scroll, act.Screenshot, act.FullScreen, act.Quit,
    act.PutAside, act.TellAgain, act.Shared, act.HushSaved, act.OpenFolder, act.MoreTools,
)  # fmt: skip
_CONTROLS = ("hour", "calm", "contrast")
_LABELS = {
    act.PlayPause: "the instant with the most amperes, or what arrives",
    act.ToggleDrawer: "open or shut the panel",
}


def is_taken(action: act.Action) -> bool:
    """Whether a window that listens does an action."""
    if isinstance(action, act.Nudge):
        return action.control in _CONTROLS
    return isinstance(action, TAKEN)


def _binding(one: Binding) -> Binding:
    label = _LABELS.get(type(one.action), one.label)
    keys = ", ".join(
        "+".join([m for m in ("shift", "ctrl", "alt") if getattr(p, m)] + [p.key])
        for p in one.presses
    )
    group = "Panel" if one.group == "Drawer" else one.group
    return bind(group, keys, one.action, label)


LISTENING_BINDINGS: tuple[Binding, ...] = tuple(
    _binding(one) for one in BINDINGS if is_taken(one.action) and one.focused is not True
)
