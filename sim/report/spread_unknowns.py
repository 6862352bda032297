"""Which unknowns matter, told: five for each answer that is asked most, and what to measure."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sim.spread.figures import Head
from sim.spread.sensitivity import Budget
from sim.spread.study import Study

from .blocks import Block, Table, columns, note, row, section, words
from .wording.spread import measuring, unknown_in_words

#: Shares below this are left out: they round to nothing.
_LEAST = 0.005


def unknowns_blocks(found: Study, named: Callable[[Head], str]) -> Iterator[Block]:
    """The unknowns behind the peak, the least volts and the ceiling; `named` tells a figure."""
    told = list(_answers(found))
    if not told:
        return
    blocks: list[Block] = []
    for each in told:
        name = named(each.head)
        lines = tuple(
            row(
                unknown_in_words(one.unknown),
                f"{100 * one.share:.0f} %",
                "–" if one.left is None else _wide(each, one.left),
            )
            for one in each.contributions
            if one.share >= _LEAST
        )
        heads = columns(f"{name}: band {_wide(each, each.width)} wide", ">share", ">measured")
        blocks.append(Table(heads, lines))
        if each.best is not None and each.best.unknown is not None and each.best.left is not None:
            pair = _wide(each, each.width), _wide(each, each.best.left)
            blocks.append(words((f"{_capital(measuring(each.best.unknown, name, *pair))}.", "")))
    blocks.append(
        note(
            "share: of the square of the standard uncertainty, first order; measured: how wide the"
            " band would still be, with meters as they are sold for hand use"
        )
    )
    yield section("Which unknowns matter", *blocks)


def _answers(found: Study) -> Iterator[Budget]:
    """The peak of the supply loaded most, the least volts of the run that has least, the ceiling.

    Without supplies the peak of all pixels.
    """
    supplies, runs = found.watched.supplies, found.watched.runs
    wanted = []
    if supplies:
        most = max(range(len(supplies)), key=lambda at: supplies[at].load)
        wanted.append(("supplies", "peak_a", most))
        fed = [at for at, use in enumerate(runs) if use.reached]
        if fed:
            wanted.append(("runs", "min_v", min(fed, key=lambda at: runs[at].min_v)))
        wanted.append(("", "brightness_ceiling", -1))
    else:
        wanted.append(("", "peak_a", -1))
    for key in wanted:
        for each in found.budgets:
            if (each.head.section, each.head.key, each.head.index) == key:
                yield each


def _wide(each: Budget, width: float) -> str:
    if each.head.key == "brightness_ceiling":
        return f"{100 * width:.0f} %"
    places = 3 if each.width < 0.1 else 2 if each.width < 10 else 0
    return f"{width:.{places}f} {each.head.unit}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
