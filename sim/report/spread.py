"""How sure the figures of `power` are, told: the quick bands of every report, and of many draws."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np

from sim.circuit import Ceiling
from sim.scan import Scan
from sim.spread.bands import COVERS, Band, chance_of
from sim.spread.colours import SEEN_DE, SEEN_UV, White
from sim.spread.figures import Head
from sim.spread.quick import QuickBands
from sim.spread.study import DrawnFigure, Study

from .blocks import Block, Row, Table, Words, columns, note, row, section, words
from .coarse_codes import MOST_STEPS
from .limits_told import against_ceiling, why_wide
from .spread_unknowns import unknowns_blocks
from .text import amps, beside_ceilings, ceiling_percent, count, number

#: Runs told in the short form: those with the least volts.
_SHORT_RUNS = 3
#: What a narrow terminal has no room for.
_WIDE: dict[str, Literal["wide", "narrow"]] = {
    "middle": "wide", "shortest": "wide", "first order": "wide", "ellipse of 95 %": "wide"
}  # fmt: skip
#: Limits told: those that are exceeded most often.
_LIMITS = 8


def quick_section(watched: Scan, found: QuickBands, ceiling: Ceiling | None) -> Block:
    """The bands that every report has: peaks, least volts, ceiling."""
    rows = [
        row(f"peak of {use.supply.name}", amps(use.peak_a), _between(pair, "A", 2))
        for use, pair in zip(watched.supplies, found.supply_peak_a.tolist(), strict=True)
    ]
    if not watched.supplies:
        rows.append(
            row("peak", amps(float(_total_peak_a(watched))), _between(found.peak_a, "A", 2))
        )
    order = sorted(
        (number for number, use in enumerate(watched.runs) if use.reached),
        key=lambda number: watched.runs[number].min_v,
    )
    for number_ in order[:_SHORT_RUNS]:
        use = watched.runs[number_]
        pair = found.run_min_v[number_].tolist()
        rows.append(
            row(f"least volts of {use.run.name}", f"{use.min_v:.2f} V", _between(pair, "V", 2))
        )
    wide = ""
    if ceiling is not None and found.ceiling is not None:
        _, said = against_ceiling(watched.brightness, ceiling)
        rows.append(row("ceiling", said, _ceiling(found.ceiling)))
        wide = why_wide(ceiling, found.ceiling[1], said)
    return section(
        "How sure",
        Table(columns("", ">as the sheets say", ">95 % lie in"), tuple(rows)),
        note(
            "reels, wires and supplies differ from their sheets; this is what each does alone, put"
            " together. `--spread 1000` draws them all at once, with every other figure"
        ),
        *([note(wide)] if wide else []),
    )


def _total_peak_a(watched: Scan) -> float:
    return float(watched.loads.run_a.sum(axis=1).max())


def spread_blocks(found: Study) -> Iterator[Block]:
    """All that many draws say."""
    yield section(
        "How sure",
        _drawn(found),
        Table(
            columns("", ">sheets", ">middle", ">95 %", ">shortest", ">first order", **_WIDE),
            tuple(_figure_row(each, found.watched.brightness) for each in _told(found)),
        ),
        *_notes(found),
    )
    yield from unknowns_blocks(found, _named)
    yield section("Limits exceeded", *_limits(found))
    if found.whites:
        yield section("White, and a second reel beside it", *_whites(found.whites))


def _drawn(found: Study) -> Words:
    digits = ""
    if found.digits is not None:
        what = "hold" if found.held else "do not all hold yet"
        digits = f"; {found.digits} digits of every standard uncertainty {what}"
    return words(
        (f"{count(found.draws)} draws", "strong"),
        f" of {len(found.known.common)} unknowns that are common to a part, and of what"
        f" {count(len(found.known.house.pixels))} pixels have of their own;"
        f" seed {found.seed}{digits}.",
    )


def _told(found: Study) -> list[DrawnFigure]:
    """The figures in the order in which they are told: no means of wires, no peaks of runs."""
    leave = {("wires", "mean_a"), ("runs", "peak_a")}
    if found.watched.frames == 1:  # then a mean is a peak
        leave |= {("", "mean_a"), ("supplies", "mean_a")}
    dark = {use.run.name for use in found.watched.runs if not use.reached}
    return [
        each
        for each in found.figures
        if (each.head.section, each.head.key) not in leave
        and not (each.head.section == "runs" and each.head.whose in dark)
    ]


_WORDS = {
    ("", "peak_a"): "peak of all pixels",
    ("", "mean_a"): "mean of all pixels",
    ("supplies", "peak_a"): "peak of {}",
    ("supplies", "mean_a"): "mean of {}",
    ("wires", "peak_a"): "peak in {}",
    ("runs", "min_v"): "least volts of {}",
    ("energy", "dc_w_mean"): "mean from the supplies",
    ("energy", "wall_w_mean"): "mean from the wall",
    ("energy", "year_kwh"): "a year of evenings",
    ("light", "lumens_mean"): "mean light at the pixels",
    ("", "brightness_ceiling"): "ceiling",
}


def _named(head: Head) -> str:
    """A figure in words."""
    return _WORDS[head.section, head.key].format(head.whose)


def _figure_row(each: DrawnFigure, brightness: float) -> Row:
    head, drawn = each.head, each.band
    name = _named(head)
    if head.key == "brightness_ceiling":
        _, (sheets,) = beside_ceilings(brightness, [head.nominal])
        cells = (sheets, ceiling_percent(drawn.mean), _ceiling(drawn.pair))
        return row(name, *cells, _ceiling((drawn.short_low, drawn.short_high)), "–")
    places = _places(drawn)
    mark = " *" if each.first_does is False else ""
    return row(
        name,
        f"{head.nominal:.{places}f} {head.unit}",
        f"{drawn.mean:.{places}f}",
        _between(drawn.pair, "", places) + mark,
        _between((drawn.short_low, drawn.short_high), "", places),
        _first(each, places),
    )


def _first(each: DrawnFigure, places: int) -> str:
    """What first order says, and whether that is enough."""
    if each.first_value is None or each.first_sd is None:
        return "–"
    half = COVERS * each.first_sd
    pair = (each.first_value - half, each.first_value + half)
    return _between(pair, "", places)


def _notes(found: Study) -> Iterator[Words]:
    yield note(
        "where the band is not around what the sheets say, parts lie more to one side of them. A"
        " terminal of 100 columns also shows the mean of the draws, the shortest interval that"
        " holds 95 % (JCGM 101) and first order (JCGM 100: ± 1.96 standard uncertainties)"
    )
    if any(each.first_does is False for each in found.figures):
        yield note(
            "* first order differs here by more than half of the second digit of the uncertainty"
            " and more than chance: what dominates is no bell curve, or bends"
        )


def _limits(found: Study) -> Iterator[Block]:
    any_ = found.any_exceeded
    yield words(
        (f"{_chance(any_.chance)} of the draws", "strong"),
        f" exceed a limit at this brightness (for so many draws {_chance(any_.low)} to"
        f" {_chance(any_.high)}).",
    )
    often = sorted((each for each in found.exceeded if each.chance > 0), key=lambda e: -e.chance)
    if often:
        yield Table(
            columns("limit", ">exceeded in", ">95 % of it"),
            tuple(
                row(
                    each.limit,
                    _chance(each.chance),
                    f"{_chance(each.low)} to {_chance(each.high)}",
                )
                for each in often[:_LIMITS]
            ),
        )


def _whites(found: Sequence[White]) -> Iterator[Block]:
    rows = []
    for each in found:
        _, long, short, degrees = each.ellipse
        rows.append(
            row(
                each.reel,
                f"{each.nominal_uv[0]:.4f}, {each.nominal_uv[1]:.4f}",
                f"{long:.4f} × {short:.4f} at {degrees:.0f}°",
                f"{np.median(each.delta_e):.0f}, 95 % below {np.quantile(each.delta_e, 0.95):.0f}",
                _chance(chance_of(each.delta_e <= SEEN_DE)[0]),
            )
        )
    heads = ("reel", ">white u', v'", ">ellipse of 95 %", ">ΔE of two reels", ">match")
    yield Table(columns(*heads, **_WIDE), tuple(rows))
    steps = min(float(np.median(each.delta_uv)) for each in found) / SEEN_UV
    which = "the reel that matches best and a second one like it" if len(found) > 1 else "two reels"
    yield note(
        "match: the chance that a second reel beside the first looks the same. ΔE is the distance"
        f" of two colours, brightness included (CIELAB, ΔE*ab); {SEEN_DE:g} or less is taken for"
        " the same, about the least seen side by side (Mahy et al. 1994 [from memory])"
    )
    yield note(
        f"In colour alone, brightness left out, {which} lie {number(steps)} steps apart"
        f" (the middle one of all draws). A step is {SEEN_UV:g} in u', v', about the least that is"
        f" told apart (CIE TN 001:2014 [from memory]); lamps are sold within {MOST_STEPS} steps"
        " (ANSI C78.377 [from memory]). Buy what stands side by side from one bin"
    )


def _places(drawn: Band) -> int:
    """Decimals that show two digits of the standard uncertainty, 3 at most."""
    if not drawn.sd > 0:
        return 2
    return int(np.clip(1 - np.floor(np.log10(drawn.sd)), 0, 3))


def _between(pair: Sequence[float], unit: str, places: int) -> str:
    low, high = pair
    return f"{low:.{places}f} to {high:.{places}f}{' ' if unit else ''}{unit}"


def _ceiling(pair: tuple[float, float]) -> str:
    low, high = pair
    if round(low, 3) == round(high, 3):
        return ceiling_percent(low)
    return f"{ceiling_percent(low)} to {ceiling_percent(high)}"


def _chance(share: float) -> str:
    """A chance to a tenth of a percent."""
    return f"{100 * share:.1f} %" if share < 0.9995 else "100 %"
