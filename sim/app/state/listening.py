"""What a window knows of packets that arrive: pure, fed once a second and with every frame.

The codes on show are those that arrived last, or those of the worst instant so far while a person
looks at it. Sockets and threads are elsewhere; a frame is made of the codes as of any others, by
`sim.frame.frame_of`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sim.report.listen import LiveSecond, as_lines, source_lines

Look = Literal["", "quiet", "warn", "bad"]


@dataclass(frozen=True, eq=False)
class Listened:
    """What arrived so far at a house of N pixels."""

    second: LiveSecond | None = None  # the last that was told
    codes: np.ndarray | None = None  # (N, 4) uint8, shown last; None: nothing came
    worst_codes: np.ndarray | None = None  # (N, 4) of the instant with the most amperes
    worst_a: float = 0.0
    worst_s: float = 0.0
    at_worst: bool = False  # a person looks at the worst instant

    @property
    def shown(self) -> np.ndarray | None:
        """(N, 4) uint8 what the house shows; None: it is dark, for nothing came."""
        return self.worst_codes if self.at_worst else self.codes


@dataclass(frozen=True)
class PanelLine:
    """A line of the panel."""

    text: str
    look: Look = ""


def told(state: Listened, second: LiveSecond) -> Listened:
    """The state after a second was told; the worst instant is kept with its codes."""
    load = second.load
    if load is None:
        return replace(state, second=second)
    after = replace(state, second=second, codes=load.codes)
    if load.peak_a > state.worst_a or state.worst_codes is None:
        return replace(
            after,
            worst_codes=load.peak_codes,
            worst_a=load.peak_a,
            worst_s=second.time_s,
        )
    return after


def shown_now(state: Listened, codes: np.ndarray) -> Listened:
    """The state after a frame arrived, between two seconds: (N, 4) uint8."""
    return replace(state, codes=codes)


def looks_at_worst(state: Listened, wanted: bool) -> Listened:
    """The worst instant on show, or what arrives; there is no worst before anything came."""
    return replace(state, at_worst=wanted and state.worst_codes is not None)


def panel(state: Listened) -> tuple[PanelLine, ...]:
    """What the panel says, line by line: the same words as the command's."""
    if state.second is None:
        return (PanelLine("Listening; nothing has come yet", "quiet"),)
    first, *rest = as_lines(state.second)
    lines = [PanelLine(first.strip())]
    for text in rest:
        bad = text.strip().startswith("danger:")
        lines.append(PanelLine(text.strip(), "bad" if bad else "warn"))
    lines += [PanelLine(text.strip(), "quiet") for text in source_lines(state.second.universes)]
    return tuple(lines)
