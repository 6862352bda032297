"""Options as a person reads them: one column a kind, figures line by line."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from textwrap import fill

from layouts import length_text
from layouts.records import Kind
from layouts.units import METRES
from sim.report.blocks import (
    Block,
    Cautions,
    Column,
    Findings,
    Gap,
    Listed,
    Table,
    Title,
    note,
    row,
    section,
    spans,
)
from sim.report.cautions import WIRING
from sim.report.compare_text import NAME_CELLS, kelvin
from sim.report.mending import mending_blocks
from sim.report.plan_options import Built, Option, PlannedLoad
from sim.report.text import amps, brightness_percent, count, number, percent

#: A dark pixel that draws so many times as much as another option's is told.
_MUCH = 2.0
#: Kinds beside each other; more come in a table below.
MOST_ABREAST = 4

OptionRow = tuple[str, Callable[[Option], str | tuple[str, str]]]


def options_blocks(house: str, load: PlannedLoad, options: Sequence[Option]) -> Iterator[Block]:
    """The whole comparison of `house` planned for each option."""
    yield Title(
        spans(
            ("Options", "strong"),
            f" for {house}\n",
            (f"each planned anew for {load_in_words(load)}", "quiet"),
        )
    )
    for first in range(0, len(options), MOST_ABREAST):
        if first:
            yield Gap()
        yield _table(options[first : first + MOST_ABREAST])
    yield from _remarks(options)
    yield from _idle(options)
    why = [spans((f"{each.kind.name}: ", "strong"), each.why) for each in options if each.why]
    if why:
        yield section("Cannot be built", Listed(tuple(why)))
    yield from _unpriced(options)
    yield from mending_blocks(options)
    notes = _by_text(options)
    if notes:
        told = [spans((f"{', '.join(names)}: ", "strong"), said) for said, names in notes.items()]
        yield section("Changed or left for an option", Listed(tuple(told)))
    for each in options:
        if each.built and each.built.measured.findings:
            heading = f"Findings with {each.kind.name}"
            yield section(heading, Findings(each.built.measured.findings))
    yield section("Cautions", Cautions(WIRING))


def load_in_words(load: PlannedLoad) -> str:
    """`every channel full`, or the schemes and their brightness."""
    if load.full:
        dimmed = f" at {brightness_percent(load.level)}" if load.level < 1 else ""
        return f"every channel full{dimmed}"
    names = ", ".join(f"{each.name} ({brightness_percent(each.brightness)})" for each in load.shown)
    return names or "nothing"


def price_in_words(option: Option) -> str:
    """The bill's total; what has a price and how much has none where it has gaps."""
    if option.built is None:
        return "–"
    bill = option.built.bill
    if bill.total is not None:
        return f"{bill.total:.2f} {bill.parts.currency}".strip()
    if not bill.priced_total:
        return "no prices"
    return f"{bill.priced_total:.2f} + {count(len(bill.unpriced))} without a price"


def ra_in_words(built: Built) -> str:
    """Ra as one figure, or as a range where the wavelength bins move it."""
    low, high = built.measured.white.ra_range
    if high - low < 2.0:
        return f"{built.measured.white.rendition.ra:.0f}"
    return f"{low:.0f} to {high:.0f}"


def _table(options: Sequence[Option]) -> Table:
    kinds = (Column(fill(each.kind.name, NAME_CELLS)) for each in options)
    return Table(
        (Column("", whole=True, look="quiet"), *kinds),
        tuple(row(name, *(tell(each) for each in options)) for name, tell in _rows()),
        head="strong",
    )


def _rows() -> list[OptionRow]:
    return [
        ("price of all of it", price_in_words),
        ("wiring alone", _built(_wiring)),
        ("at the least", _built(lambda b: f"{b.plan.lower_bound:.2f}")),
        ("status", _status),
        ("pixels", _built(lambda b: count(b.plan.house.present))),
        ("supplies", _built(lambda b: count(len(b.plan.house.supplies)))),
        ("feeds, cuts", _built(lambda b: f"{count(b.feeds)}, {count(b.cuts)}")),
        ("wire", _built(_wires)),
        ("fuses", _built(_fuses)),
        ("peak, house", _built(lambda b: amps(b.measured.peak_a))),
        ("power, mean", _built(lambda b: f"{number(b.measured.watts)} W")),
        ("from the wall", _built(lambda b: f"{number(b.measured.wall_w)} W")),
        ("dark, switched on", _built(lambda b: f"{number(b.measured.idle_wall_w)} W")),
        ("energy", _built(lambda b: f"{number(b.measured.kwh_year)} kWh a year")),
        ("light, mean", _built(lambda b: f"{number(b.measured.lumens)} lm")),
        ("light, most", _built(lambda b: f"{number(b.measured.lumens_peak)} lm")),
        ("white", _built(lambda b: kelvin(b.measured.white.rendition.cct_k))),
        ("Ra over the bins", _built(ra_in_words)),
        ("frames a second", _built(lambda b: f"at most {number(b.measured.refresh_hz)}")),
        ("one repair", lambda each: each.repair.said),
        ("data backup", lambda each: "yes" if each.kind.backup_data else "no"),
    ]


def _built(tell: Callable[[Built], str]) -> Callable[[Option], str]:
    return lambda each: "–" if each.built is None else tell(each.built)


def _wiring(built: Built) -> str:
    said = f"{built.plan.price:.2f}"
    return said if built.plan.priced else f"{said}, stand-ins"


def _wires(built: Built) -> str:
    """How far wire goes in all, to the foot or 0.1 m, and its sizes, the thickest first."""
    sizes = built.wire_m
    if not sizes:
        return "none"
    house = built.plan.house
    step_m = METRES["ft"] if house.units in ("ft", "in") else 0.1
    far = length_text(round(sum(sizes.values()) / step_m) * step_m, house.units)
    if all(name.endswith(" AWG") for name in sizes):
        return f"{far}: {', '.join(name.removesuffix(' AWG') for name in sizes)} AWG"
    return f"{far}: {', '.join(sizes)}"


def _fuses(built: Built) -> str:
    """How many fuses of which rating, the largest first."""
    told = [f"{many}×{rating_a:g} A" for rating_a, many in built.fuses_a.items()]
    return ", ".join(told) or "none"


def _status(option: Option) -> tuple[str, str]:
    """How far the wiring's price can be from the least."""
    if option.built is None:
        return "cannot be built", "bad"
    if option.status == "optimal":
        return "the least", "good"
    plan = option.built.plan
    over = plan.price / plan.lower_bound - 1 if plan.lower_bound > 0 else 0.0
    return f"at most {percent(over)} over the least", ""


def _remarks(options: Sequence[Option]) -> Iterator[Block]:
    built = [each.built for each in options if each.built is not None]
    if not built:
        return
    said = (
        "Price: the bill of everything, pixels, channel, supplies, wire, fuses and work, each once."
        " Wiring alone is what the planner made least: supplies, feeds, cuts, wires, fuses, work."
        " Wire is a pair, + and −."
    )
    if any(not each.plan.priced for each in built):
        said += " Stand-ins took the place of prices that are missing: only ratios mean something."
    hours = built[0].measured.evening_h
    lit = f"lit {hours:g} hours every evening and never switched off"
    said += f" Energy: {lit if hours is not None else 'as the season lights it'}."
    if any(each.kind.mount == "string" for each in options):
        said += " A node is swapped at its leads; no parts file gives its minutes."
    yield Gap()
    yield note(said)


def _idle(options: Sequence[Option]) -> Iterator[Block]:
    """The kinds whose dark pixels draw much more than another's, and who says so."""
    kinds = {each.kind.name: each.kind for each in options if each.built is not None}
    watts = {name: idle_w(kind) for name, kind in kinds.items()}
    least = min(watts.values(), default=0.0)
    much = [kind for name, kind in kinds.items() if watts[name] > _MUCH * least]
    if much:
        told = [spans((f"{kind.name}: ", "strong"), idle_in_words(kind)) for kind in much]
        yield section(
            "Dark but switched on",
            note(
                "a pixel draws for its logic as long as its supply is on; of these kinds more than"
                " twice what another's does"
            ),
            Listed(tuple(told)),
        )


def idle_w(kind: Kind) -> float:
    """[W] of one dark pixel at its own voltage."""
    return kind.idle_ma / 1000 * kind.supply_v


def idle_in_words(kind: Kind) -> str:
    """What one dark pixel draws, and where the figure comes from."""
    source = (kind.sources or {}).get("idle_ma", "")
    said = (
        f"{kind.idle_ma:g} mA at {kind.supply_v:g} V, {number(1000 * idle_w(kind), 2)} mW a pixel"
    )
    return f"{said} ({source})" if source else f"{said}, as the house file has it"


def _unpriced(options: Sequence[Option]) -> Iterator[Block]:
    built = [each.built for each in options if each.built is not None]
    if built and not any(each.bill.parts.file or each.bill.priced_total for each in built):
        yield Gap()
        yield note(
            "Without a price: all of it, as there is no parts file; write parts.yaml beside the"
            " house, or give --parts FILE"
        )
        return
    missing = {
        each.kind.name: each.built.bill.unpriced
        for each in options
        if each.built is not None and each.built.bill.unpriced
    }
    if missing:
        told = [
            spans(
                (f"{name}: ", "strong"),
                ", ".join(dict.fromkeys(f"{one.item} {one.part}".strip() for one in lines)),
            )
            for name, lines in missing.items()
        ]
        yield section("Without a price", Listed(tuple(told)))


def _by_text(options: Sequence[Option]) -> dict[str, list[str]]:
    """Every note once, with the kinds it is of."""
    found: dict[str, list[str]] = {}
    for each in options:
        for said in dict.fromkeys(each.notes):
            found.setdefault(said, []).append(each.kind.name)
    if len(options) > 1:
        found = {
            said: ["every option"] if len(names) == len(options) else names
            for said, names in found.items()
        }
    return found
