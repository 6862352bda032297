"""A plan in a few lines: what it costs, what it consists of, what it was made for."""

from __future__ import annotations

from textwrap import wrap

from layouts.ratings import rating_text
from sim.plan.plan import Plan
from sim.report.text import brightness_percent, percent

#: [characters] that a card of the window has room for in a line.
LINE_LENGTH = 88


def price_words(plan: Plan) -> str:
    """The price, and how far from the least it can be."""
    money = f" {plan.parts.currency}" if plan.priced and plan.parts.currency else ""
    some = " in part" if plan.parts.currency else ""  # without one there is no price in the file
    cost = f"{plan.price:.2f}{money}" + ("" if plan.priced else f"{some} by stand-in prices")
    if plan.lower_bound <= 0:
        return cost
    if plan.proposal.proven_least:
        return f"{cost}, the least there is with a wire for each feed"
    over = plan.price / plan.lower_bound - 1
    most = f"at most {percent(over)}" if over >= 0.005 else "less than 1 %"
    return (
        f"{cost}, {most} above the least with a wire for each feed ({plan.lower_bound:.2f}{money})"
    )


def count_words(supplies: int, feeds: int, cuts: int) -> str:
    """What a plan consists of."""
    return ", ".join((
        counted(supplies, "supply", "supplies"), counted(feeds, "feed", "feeds"),
        counted(cuts, "cut", "cuts"),
    ))  # fmt: skip


def counted(many: int, one: str, more: str) -> str:
    """A number with its word."""
    return f"{many} {one if many == 1 else more}"


def proposal_words(plan: Plan, brightness: float, of_scheme: bool) -> tuple[str, tuple[str, ...]]:
    """Title and lines of a proposal for every channel full at `brightness` (0..1)."""
    made, house = plan.proposal, plan.house
    new = house.supplies[len(plan.before.supplies) :]
    feeds = sum(len(fed.plan.feeds) for fed in made.fed)
    cuts = sum(len(fed.plan.cuts) for fed in made.fed)
    boxes = ", ".join(f"{s.name} {s.volts:g} V {rating_text(s.volts, s.rated_a)}" for s in new)
    lines = [
        price_words(plan),
        f"for every channel full at {brightness_percent(brightness)}"
        + (" and the scheme on show" if of_scheme else "")
        + (f"; new supplies: {boxes}" if boxes else ""),
        *plan.said,
        "Mains work is a licensed electrician's; never join the + of two supplies",
    ]
    title = f"Proposed: {count_words(len(new), feeds, cuts)}"
    return title, tuple(
        part for line in lines for part in wrap(line[:1].upper() + line[1:], LINE_LENGTH)
    )
