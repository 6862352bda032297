"""A comparison as a person reads it: one column a kind."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from textwrap import fill

from layouts.channels import channels_of
from layouts.finding import Finding
from sim.colour import Shift
from sim.report.blocks import (
    Block,
    Cautions,
    Column,
    Findings,
    Listed,
    Table,
    Title,
    note,
    row,
    section,
    spans,
)
from sim.report.cautions import WIRING
from sim.report.compare import Comparison, KindReport
from sim.report.compare_spread_text import sure_blocks
from sim.report.lengths import about_text
from sim.report.limits_told import limit_told
from sim.report.text import amps, beside_ceilings, clock, count, number, percent
from sim.report.wording import sentence

#: CAM02-UCS distance below which a shift is called right; about one step that an attentive eye
#: notices side by side [common practice, no source].
NOTICED = 2.0
#: Longer names of kinds are broken at a hyphen, so that three fit 80 columns.
NAME_CELLS = 16
#: Materials shown, the most shifted first.
MOST_MATERIALS = 8

ComparedRow = tuple[str, Callable[[KindReport], str | tuple[str, str]]]


def comparison_blocks(comparison: Comparison, more: Iterable[Block] = ()) -> Iterator[Block]:
    """The whole comparison, part by part; `more` stands before its findings."""
    yield _title(comparison)
    yield section("Light and current", _columns(comparison, _current_rows(comparison)))
    if comparison.sure is not None:
        yield from sure_blocks(comparison.sure)
    yield section("White", note(_white_said(comparison)), _columns(comparison, _white_rows()))
    names = most_shifted(comparison)[:MOST_MATERIALS]
    if names:
        rows = [(name, _material(name)) for name in names]
        yield section("Materials of this house under that white", _columns(comparison, rows))
    notes = [(each.kind.name, said) for each in comparison.kinds for said in each.notes]
    if notes:
        told = tuple(spans((f"{name}: ", "strong"), said) for name, said in notes)
        yield section("Changed for the comparison", Listed(told))
    yield from more
    yield from _findings(comparison)
    yield section("Cautions", Cautions(WIRING))


def _findings(comparison: Comparison) -> Iterator[Block]:
    """What is found with every kind, once, and what only some kinds meet."""
    lists = [each.power.findings for each in comparison.kinds]
    told = [{_told(one) for one in each} for each in lists]
    shared = tuple(one for one in lists[0] if all(_told(one) in others for others in told))
    in_common = {_told(one) for one in shared}
    if shared:
        yield section("Findings with every kind", Findings(shared))
    more = "More findings" if shared else "Findings"
    for each in comparison.kinds:
        own = tuple(one for one in each.power.findings if _told(one) not in in_common)
        yield section(f"{more} with {each.kind.name}", Findings(own))


def _told(one: Finding) -> tuple[str, ...]:
    """What a reader sees of a finding: figures that differ unseen make it no other."""
    return one.level, one.code, one.where, sentence(one)


def shift_in_words(shift: Shift) -> str:
    """`11 ΔE redder`, or that it looks right."""
    return "looks right" if shift.delta_e < NOTICED else f"{shift.delta_e:.0f} ΔE {shift.word}"


def white_in_words(report: KindReport) -> str:
    """Ra as one figure, or as a range where the wavelength bins move it."""
    low, high = report.white.ra_range
    if high - low < 2.0:
        return f"{report.white.rendition.ra:.0f}"
    return f"{low:.0f} to {high:.0f}"


def kelvin(cct_k: float) -> str:
    """A colour temperature; nobody sees ten kelvin."""
    return f"{round(cct_k, -1):.0f} K"


def _title(comparison: Comparison) -> Title:
    watched = comparison.kinds[0].power.scan
    seen = (
        f"{count(watched.frames)} frames, {clock(watched.seconds)} at {watched.fps:g} fps "
        f"({'one whole period' if watched.whole_period else 'not a whole period'})"
        if watched.frames > 1
        else "it never changes: one frame"
    )
    return Title(
        spans(
            (comparison.scheme.name, "strong"),
            f" on {comparison.house.name}, {same_for_all(comparison)} of each kind\n",
            (f"{seen}, brightness {_levels(comparison)[0]}", "quiet"),
        )
    )


def same_for_all(comparison: Comparison) -> str:
    """`300 pixels`, or the length where densities differ."""
    counts = {each.pixels for each in comparison.kinds}
    if len(counts) == 1:
        return f"{count(counts.pop())} pixels"
    house = comparison.house
    return about_text(sum(run.length_m for run in house.runs), house.units)


def _columns(comparison: Comparison, rows: Sequence[ComparedRow]) -> Table:
    kinds = (Column(fill(each.kind.name, NAME_CELLS)) for each in comparison.kinds)
    return Table(
        (Column("", whole=True, look="quiet"), *kinds),
        tuple(row(name, *(tell(each) for each in comparison.kinds)) for name, tell in rows),
        head="strong",
    )


def _current_rows(comparison: Comparison) -> list[ComparedRow]:
    _, held = _levels(comparison)
    units = comparison.house.units
    rows: list[ComparedRow] = [
        ("channels", channels_in_words),
        ("pixels", lambda each: f"{count(each.pixels)}, {about_text(each.metres, units)}"),
        ("light, mean", lambda each: f"{number(each.lumens)} lm"),
        ("light, most", lambda each: f"{number(each.lumens_peak)} lm"),
        ("power, mean", lambda each: f"{number(each.watts)} W"),
        ("light for power", lambda each: f"{number(each.lumens / max(each.watts, 1e-9), 2)} lm/W"),
        ("from the wall", _wall),
    ]
    rows += [
        (f"peak, {supply.name}", partial(_peak, index))
        for index, supply in enumerate(comparison.house.supplies)
    ]
    rows += [
        ("peak, house", lambda each: amps(each.peak_a)),
        ("brightness ceiling", lambda each: held.get(each.kind.name, "not known")),
        ("supplies and feeds", lambda each: _suffice(each, held)),
        ("held at full duty", lambda each: percent(each.losses.held)),
        ("outside its colours", lambda each: percent(each.losses.reduced)),
        ("dim enough to step", lambda each: percent(each.losses.stepping)),
        ("bits a pixel", lambda each: f"{each.kind.bits}"),
        ("frames a second", _frames),
        ("E1.31 universes", lambda each: f"{each.universes or 'none named'}"),
    ]
    if comparison.prices:
        currency = comparison.prices.currency
        rows.append(
            (
                "price of the pixels",
                lambda each: "no price" if each.price is None else f"{each.price:.0f} {currency}",
            )
        )
    return rows


def channels_in_words(report: KindReport) -> str:
    """`RGBW, white 2950 K, 5 V`."""
    whites = [f"{cct_k:.0f}" for cct_k in report.kind.whites_k]
    cct = f", white {' and '.join(whites)} K" if whites else ""
    names = "".join(channel.name for channel in report.kind.channels).upper()
    return f"{names}{cct}, {report.kind.supply_v:g} V"


def _peak(index: int, report: KindReport) -> str:
    use = report.power.scan.supplies[index]
    return f"{amps(use.peak_a)}, {percent(use.load)}"


def _wall(report: KindReport) -> str:
    wall_w = report.power.scan.energy.wall_w_mean
    return "not known" if wall_w is None else f"{number(wall_w)} W"


def _levels(comparison: Comparison) -> tuple[str, dict[str, str]]:
    """The scheme's brightness and the ceiling of each kind that has one, by the kind's name."""
    found = [(each.kind.name, each.power.ceiling) for each in comparison.kinds]
    held = {name: ceiling.brightness for name, ceiling in found if ceiling is not None}
    level, said = beside_ceilings(comparison.kinds[0].power.scan.brightness, list(held.values()))
    return level, dict(zip(held, said, strict=True))


def _suffice(report: KindReport, held: dict[str, str]) -> str | tuple[str, str]:
    if report.power.ceiling is None:
        return "none in the file"
    if report.suffices:
        return "suffice", "good"
    most, limit = held[report.kind.name], limit_told(report.power.ceiling)
    return f"carry {most} brightness only: {limit}", "warn"


def _frames(report: KindReport) -> str | tuple[str, str]:
    asked_fps = report.power.scan.fps
    text = frames_text(report.refresh_hz, asked_fps)
    return text if report.refresh_hz >= asked_fps else (text, "warn")


def frames_text(most_hz: float, asked_fps: float) -> str:
    """What a data line manages; never rounded up to what it falls short of."""
    if most_hz >= asked_fps:
        return f"at most {number(most_hz, 2)}"
    return f"at most {math.floor(most_hz * 10) / 10:g} of the {asked_fps:g} asked"


def _white_said(comparison: Comparison) -> str:
    asked = comparison.asked
    if asked.share:
        share = percent(asked.share)
        return f"the white this scheme shows, {kelvin(asked.cct_k)}: {share} of its light"
    if comparison.scheme.colour == "raw":
        return f"raw codes have no white of their own; measured on {kelvin(asked.cct_k)}, matched"
    return f"this scheme shows no white; measured on {kelvin(asked.cct_k)}"


def _white_rows() -> list[ComparedRow]:
    return [
        ("sent as codes", codes_in_words),
        ("beside the white mixed", _rounded),
        ("colour temperature", lambda each: kelvin(each.white.rendition.cct_k)),
        ("Duv", lambda each: f"{round(each.white.rendition.duv, 4) or 0.0:+.4f}"),
        ("by the white die", lambda each: percent(each.white.white_die)),
        ("Ra over the bins", white_in_words),
        ("Rf", lambda each: f"{each.white.rendition.rf:.0f}"),
        ("Rg", lambda each: f"{each.white.rendition.rg:.0f}"),
        (
            "one pixel gives",
            lambda each: f"{number(each.white.rendition.lumens, 2)} lm",
        ),
    ]


def codes_in_words(report: KindReport) -> str:
    """`R 5 G 5 B 1`: the white as it goes down the wire."""
    names = [channel.name for channel in report.kind.channels]
    pairs = zip(channels_of([report.kind]), report.white.codes, strict=True)
    return " ".join(f"{name.upper()} {code}" for name, code in pairs if name in names)


def _rounded(report: KindReport) -> str | tuple[str, str]:
    """How far 8 bits take the white from what was mixed."""
    if not any(report.white.codes):
        return "too dim for any code", "warn"
    off = report.white.delta_e
    if off < NOTICED:
        return "rounds well"
    return f"{off:.0f} ΔE off, by rounding", "warn"


def most_shifted(comparison: Comparison) -> list[str]:
    """The materials of the house, those first that any of the kinds shifts most."""

    def most(name: str) -> float:
        return max(each.white.shifts[name].delta_e for each in comparison.kinds)

    return sorted(comparison.kinds[0].white.shifts, key=most, reverse=True)


def _material(name: str) -> Callable[[KindReport], str]:
    return lambda each: shift_in_words(each.white.shifts[name])
