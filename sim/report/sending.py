"""What `send` tells before it sends and after: where to, how much, how well in time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from effects import Show
from layouts.errors import shown
from layouts.records import House
from sim.circuit import Ceiling
from sim.data.pacing import Pace
from sim.data.packets import HEAD
from sim.data.patch import HousePatch, refreshes
from sim.data.pcap import ETHERNET_EXTRA
from sim.data.sending import DMX_HZ

from .blocks import Block, Cautions, Title, Words, note, section, spans, words
from .cautions import FLASHING, WIRING
from .limits_told import against_ceiling, first_limit, limit_told
from .patch import refresh_json, refresh_table
from .text import count, number

#: Of Ethernet, IPv4 and UDP round a datagram, with preamble and gap [octets].
_AROUND = 14 + 20 + 8 + ETHERNET_EXTRA


@dataclass(frozen=True, eq=False)
class SendPlan:
    """What is about to be sent."""

    patch: HousePatch
    show: Show
    ceiling: Ceiling | None
    to: str  # where, in words
    watched_s: float  # of the scheme, for the ceiling

    @property
    def house(self) -> House:
        """The house whose pixels it is for."""
        return self.patch.house

    @property
    def above(self) -> bool:
        """Whether the scheme is brighter than the ceiling."""
        return self.ceiling is not None and self.show.scheme.brightness > self.ceiling.brightness

    @property
    def packets_hz(self) -> float:
        """Packets a second at most."""
        return len(self.patch.universes) * self.show.fps

    @property
    def bits_hz(self) -> float:
        """Bits a second on an Ethernet cable at most."""
        octets = sum(HEAD + slots + _AROUND for slots in self.patch.counts)
        return octets * 8 * self.show.fps


def refusal(plan: SendPlan) -> str:
    """Why nothing is sent, in one line."""
    assert plan.ceiling is not None
    scheme = plan.show.scheme
    level, most = against_ceiling(scheme.brightness, plan.ceiling)
    return (
        f"{scheme.file}: brightness {level} is above the ceiling of "
        f"{most}, where {first_limit(plan.ceiling)}; lower the "
        "brightness, mend the wiring (see 'evenfall power'), or send it all the same with --over"
    )


def send_blocks(plan: SendPlan) -> Iterator[Block]:
    """Where it goes, how much it is, and the cautions."""
    show, house = plan.show, plan.house
    name, numbers = shown(show.scheme.name), plan.patch.universes
    yield Title(spans((name, "strong"), f" of {shown(house.name)} to {shown(plan.to)}"))
    yield section("What is sent", *_what(plan, numbers))
    yield section("Refresh", refresh_table(house, show.fps))
    yield section("Cautions", Cautions((*WIRING, *FLASHING)))


def _what(plan: SendPlan, numbers: tuple[int, ...]) -> Iterator[Words]:
    show = plan.show
    yield words(
        f"{count(len(numbers))} universes, {numbers[0]} to {numbers[-1]}, {show.fps:g} frames a "
        f"second: at most {number(plan.packets_hz)} packets and {number(plan.bits_hz / 1e6)} Mbit "
        "a second. What does not change is sent three times, then every 0.85 s."
    )
    if show.fps > DMX_HZ:
        yield words(
            f"{show.fps:g} frames a second are more than the {DMX_HZ:.1f} that a full universe "
            "has on a DMX512-A line; receivers that pass it on to one may leave frames out."
        )
    yield _limit(plan)
    if plan.watched_s and show.period_s is None:
        yield note(f"The scheme never repeats; {plan.watched_s:g} s of it were looked at.")
    yield note(
        "Each universe ends with three packets that say so, also on Ctrl-C. Receivers may hold the "
        "last colours after that."
    )


def _limit(plan: SendPlan) -> Words:
    ceiling = plan.ceiling
    if ceiling is None:
        return words("The house file names no supply: whether yours carries it is not known.")
    level, most = against_ceiling(plan.show.scheme.brightness, ceiling)
    if plan.above:
        return words(
            (f"Above the ceiling of {most}", "bad"),
            f" with brightness {level}: {limit_told(ceiling)} is exceeded. Sent because of --over.",
        )
    return words(f"Brightness {level}, ceiling {most}.")


def sent_blocks(plan: SendPlan, pace: Pace) -> Iterator[Block]:
    """What came of it."""
    yield section("Sent", *_sent(pace))


def _sent(pace: Pace) -> Iterator[Words]:
    state = pace.sending
    mean, most_often, most = pace.jitter_ms()
    yield words(
        f"{count(len(pace.late_s))} frames in {pace.seconds:.1f} s, "
        f"{count(state.packets if state else 0)} packets with those that end it; "
        f"{count(pace.left_out)} frames left out."
    )
    yield words(
        f"Frames were {mean:.2f} ms late on average, 95 of 100 at most {most_often:.2f} ms, the "
        f"worst {most:.2f} ms."
    )


def as_json(plan: SendPlan, pace: Pace) -> dict[str, Any]:
    """Everything as plain data. Fields are stable; later versions only add."""
    mean, most_often, most = pace.jitter_ms()
    state = pace.sending
    return {
        "house": plan.house.name,
        "scheme": plan.show.scheme.name,
        "to": plan.to,
        "universes": plan.patch.universes,
        "fps": plan.show.fps,
        "brightness": plan.show.scheme.brightness,
        "brightness_ceiling": plan.ceiling and plan.ceiling.brightness,
        "seconds": pace.seconds,
        "frames": len(pace.late_s),
        "left_out": pace.left_out,
        "packets": state.packets if state else 0,
        "octets": state.octets if state else 0,
        "late_ms": {"mean": mean, "p95": most_often, "most": most},
        "ended": pace.ended,
        "outputs": [refresh_json(each) for each in refreshes(plan.house)],
    }
