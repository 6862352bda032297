"""The figures of the view that stand in the row at the foot, and the amperes of now."""

from __future__ import annotations

from sim.app.state.record import State
from sim.app.state.scales import time_text
from sim.app.state.shown import Shown


def now_a(shown: Shown | None) -> float:
    """What the supplies give now [A]; not a number before the first frame."""
    if shown is None or shown.left is None:
        return float("nan")  # not known yet
    frame = shown.left
    return float(frame.supply_a.sum() if len(frame.supply_a) else frame.amps.sum())


def figures(state: State, shown: Shown | None, fps: float) -> tuple[str, ...]:
    """The figures of the view, least important first."""
    if shown is None or state.facts is None:
        return ()
    exposure_ev = shown.stage.exposure_ev + state.exposure_offset_ev
    found = [f"{fps:.0f} fps"] if fps >= 1 else []  # not known in the first moments
    found.append(f"exposure {exposure_ev:.1f} EV")
    span_s = state.facts.span_s
    if state.facts.frames > 1:
        found.append(f"{time_text(state.frame_s, span_s, 2)} of {time_text(span_s, span_s)}")
    if state.calm:
        found.append("flashing reduced")
    return tuple(found)
