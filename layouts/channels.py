"""The channels a kind can have, and how many a house has room for.

The fifth is the second white of a kind that has two: `w` is then the warm one, `c` the cool one.
The trade marks the wires and bytes of such strips so, R, G, B, W and C, with WW and CW in lists
[common practice, no source]. A kind of one white calls it `w`, whatever its colour temperature.

Arrays over channels are as wide as the house needs: a house whose kinds have one white or none
has four columns, as if there were no fifth.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from layouts.records import Kind

#: The order of the last axis of every drive, dimming and emission array.
CHANNELS = ("r", "g", "b", "w", "c")
#: How many of them every array has, whether a kind has them or not.
LEAST = 4


@dataclass(frozen=True)
class Channel:
    """One colour of a pixel. Exactly one of `dominant_nm` and `cct_k` is given."""

    name: str  # one of CHANNELS
    current_ma: float  # at full duty and full headroom
    vf_v: float  # forward voltage of the channel as wired (sum of the dies in series)
    flux_lm: float  # of one pixel at full duty
    dominant_nm: float | None = None
    fwhm_nm: float | None = None
    cct_k: float | None = None
    resistor_ohm: float | None = None  # in series with its dies, where the kind says otherwise


def channels_of(kinds: Iterable[Kind]) -> tuple[str, ...]:
    """The channels of arrays that have room for all `kinds`: r, g, b, w, and c where one has it."""
    five = any(channel.name == CHANNELS[-1] for kind in kinds for channel in kind.channels)
    return CHANNELS if five else CHANNELS[:LEAST]
