"""When what a receiver shows is one frame of the house, and the frame.

Universes arrive one after another. A frame is complete when the next packet, synchronisation or
loss would set the levels of a universe a second time since the frame before: so a house whose
universes are all renewed shows each of its frames whole, and no level that a universe had is left
out, whatever order or rate the packets come in. A frame's time is that of its first packet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .packets import Malformed, Packet
from .receiver import Receiver, received


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


def taken(
    taking: Taking, packet: Packet | Malformed, address: str, now_s: float
) -> tuple[Taking, TakenFrame | None]:
    """The state after a datagram, and the frame that it completes."""
    after = received(taking.receiver, packet, address, now_s)
    return _with(taking, after, now_s)


def _with(taking: Taking, after: Receiver, now_s: float) -> tuple[Taking, TakenFrame | None]:
    if not after.renewed:
        return Taking(after, taking.renewed, taking.begun_s), None
    if taking.renewed.isdisjoint(after.renewed):
        begun_s = taking.begun_s if taking.renewed else now_s
        return Taking(after, taking.renewed.union(after.renewed), begun_s), None
    return Taking(after, frozenset(after.renewed), now_s), _frame(taking)


def rest(taking: Taking) -> tuple[Taking, TakenFrame | None]:
    """The frame begun and not yet taken, where there is one."""
    if not taking.renewed:
        return taking, None
    return replace(taking, renewed=frozenset()), _frame(taking)


def _frame(taking: Taking) -> TakenFrame:
    universes = taking.receiver.universes
    return TakenFrame(taking.begun_s, {n: u.levels for n, u in universes.items()})
