"""The likeliest causes once more, each in the true model of a broken house.

`predicted` leaves out what costs a solve a frame: levels misread for a shift of −, what garbage
draws. Here every cause is a frame of `sim.upkeep.broken`, a few milliseconds each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from layouts.faults import Fault
from sim.circuit.loading import wall_w
from sim.circuit.loads import loads_of
from sim.frame import Rig, light_of
from sim.upkeep.broken import BrokenFrame, BrokenRig, broken, frame_of_broken, lines_of
from sim.upkeep.settled import codes_shown
from sim.upkeep.signal import GARBAGE, chains

from .predicted import DARK, DIMMER, FLICKERS, LIT, NOTICED, PLAIN, UNLIT, WRONG, Predicted
from .shown import Sent

#: [share of full light] beyond what was asked, from which a pixel is plainly too bright.
_EXTRA = 0.1


@dataclass(frozen=True, eq=False)
class Exactly:
    """One cause while one thing is shown, as the columns of `Predicted`."""

    looks: np.ndarray  # (N,) int8
    node_v: np.ndarray  # (X,) float32 [V]
    wall_w: float  # [W]
    arrives: np.ndarray  # (P,)
    opened: np.ndarray  # (W,) bool


def exactly(
    rig: Rig, faults: Sequence[Fault], sent: Sent, usual: np.ndarray, columns: int
) -> Exactly | None:
    """The house with these faults while that is sent.

    usual : (N, C) light of the house in order, of what is asked for
    columns : of `Predicted.node_v`

    None where the circuit is another one: an ideal supply with something the matter inside.
    """
    frame, asked = frame_shown(broken(rig, faults), sent)
    first = frame.solution.network
    if first.nodes != rig.network.nodes:
        return None
    volts, watts = np.zeros(columns, dtype=np.float32), 0.0
    for state in frame.states:
        # A meter shows nothing only between conductors that nothing holds together: a short does.
        held = state.solution.network.reach.held
        node_v = state.solution.node_v[0]
        node_v = np.where(held, node_v, 0.0) if len(held) == len(node_v) else node_v
        volts[: len(node_v)] += state.share * node_v
        loads = loads_of(state.solution, state.received)
        watts += state.share * float(wall_w(state.solution.network, loads).mean())
    opened = np.zeros(len(rig.house.wires), dtype=bool)
    opened[list(frame.opened)] = True
    return Exactly(
        looks=_looks(asked, usual),
        node_v=volts,
        wall_w=watts,
        arrives=frame.states[0].arrives[0, chains(rig.house).pixel],
        opened=opened,
    )


def frame_shown(rig: BrokenRig, sent: Sent) -> tuple[BrokenFrame, BrokenFrame]:
    """The frame that flows, and at its voltages what each pixel shows at the times it is lit."""
    frame = frame_of_broken(rig, sent.codes[None])
    if np.array_equal(sent.codes, sent.asked):
        return frame, frame
    lines, house = lines_of(rig, 1), rig.rig.house
    states = []
    for state in frame.states:
        shows = codes_shown(house, lines, sent.asked[None], state.arrives[:, rig.line.pixel])
        light = light_of(shows, state.solution.dim)
        states.append(replace(state, received=shows, light=light))
    return frame, replace(frame, states=tuple(states))


def _looks(frame: BrokenFrame, usual: np.ndarray) -> np.ndarray:
    """(N,) what every pixel is seen to do."""
    light = frame.light[0]
    lit = usual > 1e-3
    share = np.where(lit, light / np.maximum(usual, 1e-9), 1.0)
    least, most = share.min(axis=1), share.max(axis=1)
    extra = np.where(lit, 0.0, light).max(axis=1)
    out = np.full(len(light), LIT, dtype=np.int8)
    out[(least < NOTICED) | (most > 2 - NOTICED)] = DIMMER
    out[(least < PLAIN) | (most > 2 - PLAIN) | (extra > _EXTRA)] = WRONG
    out[frame.flickers[0]] = FLICKERS
    out[(light.max(axis=1) < UNLIT * usual.max(axis=1)) | (light.max(axis=1) <= 0)] = DARK
    # Garbage is another from frame to frame, and dark in some.
    first = frame.states[0]
    garbage = (first.arrives[0] == GARBAGE) & (first.solution.dim[0].max(axis=-1) > UNLIT)
    out[garbage & frame.alive] = FLICKERS
    return out


def with_exact(there: Predicted, found: Sequence[tuple[int, Exactly]]) -> Predicted:
    """What is predicted, with some causes (by number) as they are exactly."""
    if not found:
        return there
    at = np.array([f for f, _ in found])
    looks, arrives, opened = there.looks.copy(), there.arrives.copy(), there.opened.copy()
    row = there.row.copy()
    looks[at] = np.stack([each.looks for _, each in found])
    looks[:, ~there.visible] = LIT
    arrives[at] = np.stack([each.arrives for _, each in found])
    opened[at] = np.stack([each.opened for _, each in found])
    row[at] = len(there.node_v) + np.arange(len(found))
    return replace(
        there,
        looks=looks,
        row=row,
        arrives=arrives,
        opened=opened,
        node_v=np.concatenate([there.node_v, np.stack([each.node_v for _, each in found])]),
        wall_w=np.concatenate([there.wall_w, [each.wall_w for _, each in found]]),
    )
