"""Kinds side by side in cold or heat and after years: light and amperes as ranges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from effects import bind
from sim.colour import spectra
from sim.colour.emitters import emission
from sim.frame import frame
from sim.report.blocks import Block, Column, Table, note, row, section
from sim.report.compare import Comparison, KindReport, lumens_of
from sim.report.text import amps, number
from sim.upkeep.ageing import aged_rig
from sim.upkeep.rates import Rates
from sim.upkeep.weather import End, rig_at

_ENDS: tuple[End, End] = ("least", "most")


@dataclass(frozen=True)
class KindThen:
    """A kind at its brightest instant: lumens at the pixels and amperes, then and today."""

    kind: str
    lumens: float
    lumens_then: tuple[float, float]
    amps: float
    amps_then: float


def at_temperature(comparison: Comparison, celsius: float, rates: Rates) -> tuple[KindThen, ...]:
    """Every kind with all its parts at a temperature [°C], sent the codes of 25 °C."""
    made = []
    for each in comparison.kinds:
        show = bind(each.rig.house, comparison.scheme)
        today = frame(each.rig, show, each.brightest_s)
        rigs = [rig_at(each.rig, celsius, rates, end) for end in _ENDS]
        frames = [frame(rig, show, each.brightest_s) for rig in rigs]
        low, high = (
            float(lumens_of(rig.house, then.light[None])[0])
            for rig, then in zip(rigs, frames, strict=True)
        )
        made.append(_then(each, today.amps.sum(), frames[0].amps.sum(), low, high))
    return tuple(made)


def after_years(comparison: Comparison, years: float, rates: Rates) -> tuple[KindThen, ...]:
    """Every kind after some years, through coat and cover; its current is that of today."""
    made = []
    for each in comparison.kinds:
        show = bind(each.rig.house, comparison.scheme)
        today = frame(each.rig, show, each.brightest_s)
        lumens = []
        for end in _ENDS:
            _, then = aged_rig(each.rig, years, rates, end)
            per_run = np.array(
                [
                    spectra.xyz(emission(run.kind, then.house.channels) * then.through[run.kind])[
                        :, 1
                    ]
                    for run in then.house.runs
                ]
            )
            lumens.append(float((today.light * per_run[then.house.pixels.run]).sum()))
        drawn_a = today.amps.sum()
        made.append(_then(each, drawn_a, drawn_a, *lumens))
    return tuple(made)


def _then(each: KindReport, now_a: float, then_a: float, low: float, high: float) -> KindThen:
    return KindThen(each.kind.name, each.lumens_peak, (low, high), float(now_a), float(then_a))


def then_blocks(title: str, kinds: tuple[KindThen, ...]) -> Iterator[Block]:
    """One column for each kind."""
    heads = (Column("", look="quiet"), *(Column(each.kind) for each in kinds))
    rows = (
        row("light, most, today", *(f"{number(each.lumens)} lm" for each in kinds)),
        row("light, most, then", *(_span(each.lumens_then) for each in kinds)),
        row("amperes at that instant", *(amps(each.amps) for each in kinds)),
        row("amperes then", *(amps(each.amps_then) for each in kinds)),
    )
    said = "ranges over what is known of the parts, 'evenfall power' says more of each"
    yield section(title, Table(heads, rows, head="strong"), note(said))


def _span(pair: tuple[float, float]) -> str:
    low, high = (number(each) for each in pair)
    return f"{low} lm" if low == high else f"{low} to {high} lm"


def then_json(kinds: tuple[KindThen, ...]) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [
        {
            "kind": each.kind,
            "lumens_peak": each.lumens,
            "lumens_peak_band": each.lumens_then,
            "amps": each.amps,
            "amps_then": each.amps_then,
        }
        for each in kinds
    ]
