"""How sure a plan keeps its limits, told: what it was sized for, and what that adds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim.plan.plan import Plan
from sim.plan.sure import Kept, Sized

from .blocks import Block, note, words
from .text import count, percent

#: Limits named that the plan without it exceeds, the most frequent first.
_NAMED = 3


def sure_blocks(plan: Plan) -> Iterator[Block]:
    """The probability, the plan without it, and why more was needed."""
    sized = plan.sized
    if sized is None:
        return
    yield words(
        (f"sized to keep every limit in {percent(sized.share)} of all cases", "strong"),
        f": kept in {_chance(sized.kept)} of {count(sized.kept.draws)} draws of reels, wires and"
        f" supplies that took no part in planning ({_between(sized.kept)})",
    )
    unit = f" {plan.parts.currency}" if plan.priced else ""
    if plan.price == sized.plain_price and sized.load == 1:
        yield words("The plan without it keeps them as well: nothing had to be added.")
        return
    more = plan.price - sized.plain_price
    yield words(
        f"Without --sure the plan costs {sized.plain_price:.2f}{unit}, {abs(more):.2f} "
        f"{'less' if more >= 0 else 'more'}, and keeps them in {_chance(sized.plain)} of the"
        f" draws{_worst(sized)}."
    )
    yield words(
        f"So supplies, fuses and wires have room for {sized.load:.3g} times the current of the"
        " sheets, and feeds are set closer or thicker where volts ran short."
    )
    yield note(
        "the same draws judged every candidate. Whether a far short opens its fuse is as the sheets"
        " have it; `power --spread 1000` on the wired house says which unknowns matter"
    )


def _worst(sized: Sized) -> str:
    named = sized.plain.often[:_NAMED]
    if not named:
        return ""
    return "; first exceeded: " + ", ".join(f"{name} ({percent(share)})" for name, share in named)


def _chance(kept: Kept) -> str:
    return f"{100 * kept.chance:.1f} %"


def _between(kept: Kept) -> str:
    return f"so between {100 * kept.low:.1f} and {100 * kept.high:.1f} %"


def sure_json(plan: Plan) -> dict[str, Any] | None:
    """The same as plain data; None where no probability was asked for."""
    sized = plan.sized
    if sized is None:
        return None
    return {
        "asked": sized.share,
        "load_factor": sized.load,
        **_kept(sized.kept),
        "without": {"price": sized.plain_price, **_kept(sized.plain)},
    }


def _kept(kept: Kept) -> dict[str, Any]:
    return {
        "draws": kept.draws,
        "probability": kept.chance,
        "probability_band": [kept.low, kept.high],
        "exceeded": [{"limit": name, "probability": share} for name, share in kept.often],
    }
