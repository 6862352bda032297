"""Letters from the inbox played into the receiver: pure, but for the letters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from .inbox import Letter
from .packets import packet_of
from .receiver import Receiver, aged
from .taking import PAUSE_S, TakenFrame, Taking, rest, taken


@dataclass(frozen=True)
class Listening:
    """What is known after all letters so far; times count from `begin_ns`."""

    taking: Taking
    begin_ns: int
    now_s: float = 0.0


def listening(universes: Iterable[int], begin_ns: int) -> Listening:
    """Nothing heard yet; only `universes` matter."""
    return Listening(Taking(Receiver(wanted=frozenset(universes))), begin_ns)


def played(state: Listening, letters: list[Letter]) -> tuple[Listening, list[TakenFrame]]:
    """The state after the letters, and the frames that they complete."""
    taking, now_s, frames = state.taking, state.now_s, []
    for letter in letters:
        # sockets are read one after another: a clock that goes back stands still
        now_s = max(now_s, (letter.time_ns - state.begin_ns) / 1e9)
        taking, frame = taken(taking, packet_of(letter.payload), letter.source[0], now_s)
        if frame is not None:
            frames.append(frame)
    return Listening(taking, state.begin_ns, now_s), frames


def settled(state: Listening, now_ns: int) -> tuple[Listening, list[TakenFrame]]:
    """The state at a moment without letters: sources that are lost leave, what has begun is shown.

    Whoever tells what is shown now asks so, since the last frame waits for the next to begin.
    """
    now_s = max(state.now_s, (now_ns - state.begin_ns) / 1e9)
    before = state.taking
    receiver = aged(before.receiver, now_s)
    if receiver.renewed:
        renewed = before.renewed.union(receiver.renewed)
        taking = Taking(receiver, renewed, before.begun_s if before.renewed else now_s, now_s)
    else:
        taking = replace(before, receiver=receiver)
        if now_s - before.last_s < PAUSE_S:  # more of it may be on the way
            return Listening(taking, state.begin_ns, now_s), []
    taking, frame = rest(taking)
    return Listening(taking, state.begin_ns, now_s), [] if frame is None else [frame]
