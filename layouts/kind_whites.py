"""What must hold of the two whites of a kind that has two.

Of five channels three numbers can be asked, so two whites of one colour leave open which of them
shines: such a kind is refused instead of mixed by a guess.
"""

from __future__ import annotations

from layouts.errors import KindError
from layouts.records import Channel

#: Colour temperatures nearer than this, as a share of the warmer, are one colour: bins of white
#: LEDs are about as wide [common practice, no source].
LEAST_APART = 0.02


def check_whites(name: str, law: str | None, channels: tuple[Channel, ...]) -> None:
    """KindError where `c` stands alone, is no white, is not the cooler, or shares one current."""
    by_name = {channel.name: channel for channel in channels}
    cool = by_name.get("c")
    if cool is None:
        return
    warm, path = by_name.get("w"), ("channels", "c")
    if warm is None:
        what = f"kind '{name}' has a cool white c and no warm white w"
        raise KindError(path, what, "call a single white w")
    for channel in (cool, warm):
        if channel.cct_k is None:
            what = f"channel {channel.name} of kind '{name}' is no white"
            raise KindError(("channels", channel.name), what, "give the 'cct' of both w and c")
    warm_k, cool_k = float(warm.cct_k or 0), float(cool.cct_k or 0)
    if abs(cool_k - warm_k) < LEAST_APART * warm_k:
        what = f"w and c of kind '{name}' are both {warm_k:g} K: one white twice"
        raise KindError((*path, "cct"), what, "give each its own 'cct', or leave c out")
    if cool_k < warm_k:
        what = f"c of kind '{name}' has {cool_k:g} K and is warmer than w with {warm_k:g} K"
        raise KindError((*path, "cct"), what, "w is the warm white and c the cool one: exchange")
    if law in ("series", "staggered"):
        what = f"five channels of kind '{name}' share one current under law '{law}'"
        raise KindError(("law",), what, "write 'law: parallel', or leave c out")
