"""Strip or string, as a table beside the prices of options."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sim.report.blocks import Block, Column, Table, note, row, section
from sim.report.plan_options import Option
from sim.report.text import number
from sim.upkeep.mending import SAID, Mending, dark_with_one, mending

_NAMES = {
    "work": "one dead pixel",
    "up_there": "on the ladder",
    "ip_new": "rated, new",
    "ip_mended": "rated, mended",
    "frost": "frost and thaw",
}


def mending_blocks(options: Sequence[Option]) -> Iterator[Block]:
    """Both ways of making a line of pixels side by side; nothing where all options are of one."""
    built = {each.kind.mount: each for each in options if each.built is not None}
    if len(built) < 2:
        return
    pair = [(mount, built[mount]) for mount in ("strip", "string")]
    found = [(each, _mending(each)) for _, each in pair]
    heads = (
        Column("", look="quiet"),
        *(Column(f"{mount}: {each.kind.name}") for mount, each in pair),
    )
    rows = [row(_NAMES[name], *(made.said[name] for _, made in found)) for name in SAID]
    rows.insert(2, row("minutes", *(_minutes(made) for _, made in found)))
    rows.insert(3, row("dark meanwhile", *(_dark(each) for each, _ in found)))
    yield section(
        "Strip or string",
        Table(heads, tuple(rows), head="strong"),
        note(
            "what is said of work and weather is common practice without a source; how many pixels"
            " are dark is reckoned along the data line, a mean over which pixel dies"
        ),
    )


def _mending(option: Option) -> Mending:
    assert option.built is not None
    return mending(option.kind, option.built.plan.parts)


def _minutes(made: Mending) -> str:
    low, high = made.minutes
    said = f"{low:g} to {high:g}" if low < high else f"{low:g}"
    if made.price is None:
        return said
    return f"{said}, {made.price[0]:.0f} to {made.price[1]:.0f} for the work"


def _dark(option: Option) -> str:
    assert option.built is not None
    return f"{number(dark_with_one(option.built.plan.house))} pixels"


def mending_json(option: Option) -> dict[str, Any] | None:
    """What mending one pixel of an option takes; None where it cannot be built."""
    if option.built is None:
        return None
    made = _mending(option)
    return {
        "mount": made.mount,
        "minutes_band": made.minutes,
        "price_band": made.price,
        "pixels_dark": dark_with_one(option.built.plan.house),
        **made.said,
        "sources": dict(made.sources),
    }
