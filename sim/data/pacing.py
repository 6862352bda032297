"""Sending frames in time: each at its moment, with how late it was.

A frame that could not be sent in time is left out and the next one keeps to the clock.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from effects.course import frame_count

from .sending import DISCOVERY_S, LAST_PACKETS, Sending, due, last_packets, next_due_s, offer
from .sockets import SendingLine

#: Between the rounds that end the universes [s].
_LAST_GAP_S = 0.02


@dataclass
class Pace:
    """What came of a show sent; grows while it runs."""

    late_s: list[float] = field(default_factory=list)  # of each frame's first packet
    left_out: int = 0  # frames for whose moment the one before was not ready
    sending: Sending | None = None
    seconds: float = 0.0
    ended: bool = False  # the last packets were sent

    def jitter_ms(self) -> tuple[float, float, float]:
        """Mean, 95th percentile and most by which frames were late [ms]."""
        late = np.array(self.late_s or [0.0]) * 1000
        return float(late.mean()), float(np.percentile(late, 95)), float(late.max())


Levels = Callable[[int], dict[int, bytes]]


def send_show(
    line: SendingLine,
    state: Sending,
    levels_at: Levels,
    *,
    fps: float,
    seconds: float | None,
    pace: Pace,
) -> None:
    """Send frame k, as `levels_at(k)` gives it, at k / fps until `seconds` or an exception.

    However it ends, every universe that was sent ends with three terminated packets; `pace` tells
    what was done. Raises OSError where the network refuses.
    """
    ready = levels_at(0)
    offers = offer(state.cid, state.name, tuple(line.targets)) if line.discovery else []
    frames = math.inf if seconds is None else frame_count(seconds, fps)
    begun, offered_s, frame = time.monotonic(), float("-inf"), 0
    try:
        while frame < frames:
            now_s = _wait(begun, frame / fps)
            pace.late_s.append(now_s - frame / fps)
            state = pace.sending = _send(line, state, ready, now_s)
            if offers and now_s - offered_s >= DISCOVERY_S:
                offered_s = now_s
                for each in offers:
                    line.socket.sendto(each, line.discovery)  # type: ignore[arg-type]
            frame += 1
            behind = min(int((time.monotonic() - begun) * fps), frames) - frame
            if behind > 0:  # of the show: after its last frame there is none to leave out
                pace.left_out += int(behind)
                frame += int(behind)
            following, shown = levels_at(frame), ready
            while next_due_s(state) < frame / fps:  # slower than the keep-alive
                now_s = _wait(begun, next_due_s(state))
                state = pace.sending = _send(line, state, shown, now_s)
            ready = following
        _wait(begun, frame / fps)
    finally:
        pace.seconds = time.monotonic() - begun
        for round_ in range(LAST_PACKETS):
            if round_:
                time.sleep(_LAST_GAP_S)
            state, out = last_packets(state)
            for universe, datagram in out:
                line.socket.sendto(datagram, line.targets[universe])
        pace.sending = state
        pace.ended = True


def _send(line: SendingLine, state: Sending, levels: dict[int, bytes], now_s: float) -> Sending:
    state, out = due(state, levels, now_s)
    for universe, datagram in out:
        line.socket.sendto(datagram, line.targets[universe])
    return state


def _wait(begun: float, until_s: float) -> float:
    """Sleep until `until_s` after the beginning; returns the time it is then [s]."""
    while (now_s := time.monotonic() - begun) < until_s:
        time.sleep(until_s - now_s)
    return now_s
