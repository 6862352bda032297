"""When what a receiver shows is one frame of the house, and the frame.

Universes arrive one after another. A frame is complete when the next packet, synchronisation or
loss would set the levels of a universe a second time since the frame before, or sets any after a
pause of 5 ms. So a source that sends its universes in one go shows each of its frames whole,
wherever listening began, and no level that a universe had is left out, whatever order or rate the
packets come in. A frame's time is that of its first packet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .packets import Malformed, Packet
from .receiver import Receiver, received

#: A pause after which a new frame begins [s]: longer than between packets that follow each other,
#: shorter than between frames (common practice, no source).
PAUSE_S = 0.005


@dataclass(frozen=True, slots=True)
class TakenFrame:
    """The levels of every universe at one time."""

    time_s: float
    levels: dict[int, bytes]


@dataclass(frozen=True, slots=True)
class Taking:
    """A receiver, and which universes it has set since the last frame was taken."""

    receiver: Receiver
    renewed: frozenset[int] = frozenset()
    begun_s: float = 0.0
    last_s: float = 0.0  # when levels were last set


def taken(
    taking: Taking, packet: Packet | Malformed, address: str, now_s: float
) -> tuple[Taking, TakenFrame | None]:
    """The state after a datagram, and the frame that it completes."""
    after = received(taking.receiver, packet, address, now_s)
    if not after.renewed:
        return Taking(after, taking.renewed, taking.begun_s, taking.last_s), None
    if not taking.renewed:
        return Taking(after, frozenset(after.renewed), now_s, now_s), None
    if now_s - taking.last_s < PAUSE_S and taking.renewed.isdisjoint(after.renewed):
        return Taking(after, taking.renewed.union(after.renewed), taking.begun_s, now_s), None
    return Taking(after, frozenset(after.renewed), now_s, now_s), _frame(taking)


def rest(taking: Taking) -> tuple[Taking, TakenFrame | None]:
    """The frame begun and not yet taken, where there is one."""
    if not taking.renewed:
        return taking, None
    return replace(taking, renewed=frozenset()), _frame(taking)


def _frame(taking: Taking) -> TakenFrame:
    universes = taking.receiver.universes
    return TakenFrame(taking.begun_s, {n: u.levels for n, u in universes.items()})
