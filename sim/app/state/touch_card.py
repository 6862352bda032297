"""What the card of a run, a wire or a supply says. Pure.

Everything over the whole scheme is what the reports have (`sim.report.watched`); what is now is the
frame on show. Nothing is reckoned a second time here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects import Show
from layouts import House, Wire, length_text
from layouts.catalogue import limits
from layouts.finding import Finding, Level
from layouts.ratings import rating_text
from sim.app.state.inspect import Report
from sim.app.state.scales import time_text
from sim.app.state.shown import Side
from sim.app.state.touch_record import Thing
from sim.app.state.touch_words import address_range, few, layers_on, route_of, runs_behind
from sim.circuit.loading import each_wall_w
from sim.frame import Frame
from sim.report.text import amps, count, number, percent
from sim.report.watched import Watched
from sim.report.wording.sentences import sentence

#: Said where the scheme is still being watched.
MEASURING = "being measured …"
NOT_STATED = "place not stated in the house file"


@dataclass(frozen=True)
class CardRow:
    """One thing a person asks, and its answer in one line or more."""

    label: str
    values: tuple[str, ...]
    over: bool = False


@dataclass(frozen=True)
class TouchCard:
    """What one card says. `notes` stand below its rows, the most urgent first."""

    form: str  # "run", "wire", "supply", "pixel"
    title: str
    rows: tuple[CardRow, ...]
    notes: tuple[tuple[Level, str], ...] = ()
    caution: bool = False
    srgb: tuple[int, int, int] | None = None

    @property
    def spoken(self) -> str:
        """All of it in one line."""
        rows = "; ".join(f"{row.label} {', '.join(row.values)}" for row in self.rows)
        notes = "; ".join(text for _, text in self.notes)
        return f"{self.form} {self.title}: {rows}" + (f"; {notes}" if notes else "")


@dataclass(frozen=True, eq=False)
class CardFacts:
    """What a card is made of. `watched` is None until the whole scheme on show is measured."""

    side: Side
    show: Show | None
    frame: Frame
    watched: Watched | None
    supposed: frozenset[str] = frozenset()  # names of supplies whose place is not stated

    @property
    def house(self) -> House:
        """The house on show."""
        return self.side.rig.house


def fitting(
    watched: Watched | None, side: Side, show: Show | None, brightness: float
) -> Watched | None:
    """What was watched, where it is of the brightness and a house on show.

    It may have been watched on an earlier stage of the same house: what it holds goes by name and
    number, which are the same.
    """
    if watched is None or show is None:
        return None
    scan, house = watched.scan, side.rig.house
    parts = [(len(one.runs), len(one.wires), len(one.supplies), len(one.pixels))
             for one in (scan.rig.house, house)]  # fmt: skip
    return watched if parts[0] == parts[1] and scan.brightness == brightness else None


def card_of(thing: Thing, known: CardFacts) -> TouchCard | None:
    """The card of a thing; None where the house on show has none such."""
    made = {"run": _run, "wire": _wire, "supply": _supply}[thing.form]
    there = {"run": len(known.house.runs), "wire": len(known.house.wires),
             "supply": len(known.house.supplies)}  # fmt: skip
    return made(thing.index, known) if thing.index < there[thing.form] else None


def brief(thing: Thing, known: CardFacts | None) -> str:
    """A few words of now beside a thing's name."""
    if known is None:
        return ""
    house, frame = known.house, known.frame
    if thing.form == "run" and thing.index < len(house.runs):
        run = house.runs[thing.index]
        least = float(frame.volts[run.pixels].min()) if run.count else 0.0
        return f"{count(run.count)} pixels · least {least:.2f} V"
    if thing.form == "wire" and thing.index < len(house.wires):
        wire = house.wires[thing.index]
        fuse = "no fuse" if wire.fuse_a is None else f"fuse {wire.fuse_a:g} A"
        return f"{amps(abs(float(frame.wire_a[thing.index])))} · {wire.size.name} · {fuse}"
    if thing.form == "supply" and thing.index < len(house.supplies):
        supply = house.supplies[thing.index]
        rated = rating_text(supply.volts, supply.rated_a)
        return f"{amps(float(frame.supply_a[thing.index]))} of {rated}"
    return ""


def pixel_card(told: Report) -> TouchCard:
    """A pixel closely, as the inspector tells it."""
    rows = tuple(
        CardRow(label, (value,), told.starved and label == "volts") for label, value in told.rows
    )
    return TouchCard("pixel", told.title, rows, srgb=told.srgb)


# --- a run ---


def _run(index: int, known: CardFacts) -> TouchCard:
    house, frame, watched = known.house, known.frame, known.watched
    run = house.runs[index]
    volts = frame.volts[run.pixels]
    least = int(np.where(run.has_pixel, volts, np.inf).argmin())
    now_a = float(frame.amps[run.pixels].sum())
    use = watched.scan.runs[index] if watched else None
    rows = [
        CardRow("kind", (f"{run.kind.name} · {count(run.count)} pixels",)),
        CardRow("lit by", layers_on(known.show, run.first, run.first + run.count)),
        CardRow(
            "least now",
            (f"{volts[least]:.2f} V at [{least}]",),
            bool(volts[least] < run.kind.min_v),
        ),
    ]
    if use is None or watched is None:
        rows.append(CardRow("in the scheme", (MEASURING,)))
    else:
        when = _when(use.min_v_frame, watched)
        low = use.min_v < run.kind.min_v or use.drop > limits().drop_warning
        rows.append(
            CardRow("least in all", (f"{use.min_v:.2f} V at [{use.min_v_pixel}], at {when}",), low)
        )
        if use.reached:
            rows.append(CardRow("most lost", (f"{percent(use.drop)} of {use.feed_v:g} V",), low))
    peak = f" · peak {amps(use.peak_a)}" if use else ""
    rows.append(CardRow("draws", (f"{amps(now_a)}{peak}",)))
    wires = [wire for wire in house.wires if _ends_on(wire, run.name)]
    reach = known.side.rig.network.feeds
    feeding = [s for s in range(len(house.supplies)) if reach[s, index]]
    rows.append(CardRow("wires", few(wire.label for wire in wires) or ("none",)))
    if len(wires) != 1 or wires[0].start.kind != "supply":
        names = few(house.supplies[s].name for s in feeding) or ("nothing",)
        rows.append(CardRow("supplied by", names, over=bool(house.supplies) and not feeding))
    rows.append(CardRow("address", address_range(house, index)))
    columns = _run_columns(house, index, wires, feeding)
    rows += _limit_rows(watched, columns)
    return TouchCard("run", run.name, tuple(rows), _notes(watched, run.name))


def _ends_on(wire: Wire, run: str) -> bool:
    return any(end.kind == "run" and end.name == run for end in (wire.start, wire.end))


def _run_columns(house: House, index: int, wires: list[Wire], feeding: list[int]) -> list[int]:
    """Columns of the table of limits that a run has to do with."""
    supplies, of_wire = len(house.supplies), {id(wire): n for n, wire in enumerate(house.wires)}
    found = [2 * supplies + len(house.wires) + index]
    found += [2 * supplies + of_wire[id(wire)] for wire in wires]
    return found + feeding


# --- a wire ---


def _wire(index: int, known: CardFacts) -> TouchCard:
    house, watched = known.house, known.watched
    wire = house.wires[index]
    now_a = abs(float(known.frame.wire_a[index]))
    use = watched.scan.wires[index] if watched else None
    bears_a = wire.size.ampacity_a
    fuse = "none" if wire.fuse_a is None else f"{wire.fuse_a:g} A"
    unfused = wire.fuse_a is None and "supply" in (wire.start.kind, wire.end.kind)
    rows = [
        CardRow("from", (_end(wire.start),)),
        CardRow("to", (_end(wire.end),)),
        CardRow("size", (f"{wire.size.name}, {length_text(wire.length_m, house.units)}",)),
        CardRow("fuse", (fuse,), unfused),
        CardRow("now", (amps(now_a),), now_a > min(bears_a, wire.fuse_a or np.inf)),
    ]
    if use is None or watched is None:
        rows.append(CardRow("in the scheme", (MEASURING,)))
    else:
        over = use.most_a > min(bears_a, wire.fuse_a or np.inf)
        when = _when(use.peak_frame, watched)
        rows.append(CardRow("peak", (f"{amps(use.peak_a)} at {when}",), over))
        rows.append(CardRow("drop", (f"{use.drop_v:.2f} V at the peak, both ways",)))
        share = use.most_a / bears_a
        rows.append(CardRow("carries", (f"{percent(share)} of its {bears_a:g} A",), share > 1))
    rows.append(CardRow("feeds", few(runs_behind(house, index)) or ("nothing",)))
    rows.append(CardRow("lies", route_of(house, known.side.hung, index)))
    column = 2 * len(house.supplies) + index
    rows += _limit_rows(watched, [column])
    return TouchCard("wire", wire.label, tuple(rows), _notes(watched, wire.label), caution=True)


def _when(frame: int, watched: Watched) -> str:
    """The instant of a frame, as the ribbon writes it."""
    scan = watched.scan
    return time_text(frame / scan.fps, scan.frames / scan.fps, 2)


def _end(end: object) -> str:
    kind, text = getattr(end, "kind", ""), getattr(end, "text", "")
    return text if kind == "run" else f"{kind} {text}"


# --- a supply ---


def _supply(index: int, known: CardFacts) -> TouchCard:
    house, watched, network = known.house, known.watched, known.side.rig.network
    supply = house.supplies[index]
    supply_a = np.asarray(known.frame.supply_a)
    now_a = float(supply_a[index])
    wall_w = float(each_wall_w(network, supply_a[None])[0, index])
    use = watched.scan.supplies[index] if watched else None
    rated = rating_text(supply.volts, supply.rated_a)
    rows = [
        CardRow("gives", (f"{supply.volts:g} V, up to {rated}",)),
        CardRow("now", (f"{amps(now_a)} · {percent(now_a / supply.rated_a)}",),
                now_a > supply.rated_a),
    ]  # fmt: skip
    if use is None or watched is None:
        rows.append(CardRow("in the scheme", (MEASURING,)))
    else:
        when = _when(use.peak_frame, watched)
        over = use.load > limits().supply_load
        rows.append(CardRow("peak", (f"{amps(use.peak_a)} at {when} · {percent(use.load)}",), over))
        rows.append(CardRow("mean", (amps(use.mean_a),)))
    rows.append(CardRow("from the wall", (f"{number(wall_w)} W now",)))
    fed = [house.runs[r].name for r in np.flatnonzero(network.feeds[index])]
    rows.append(CardRow("feeds", few(fed, 4) or ("nothing",)))
    rows.append(CardRow("hangs", (_place(known, index),)))
    rows += _limit_rows(watched, [index, len(house.supplies) + index])
    return TouchCard("supply", supply.name, tuple(rows), _notes(watched, supply.name), caution=True)


def _place(known: CardFacts, index: int) -> str:
    supply = known.house.supplies[index]
    if supply.name in known.supposed or supply.at is None:
        return NOT_STATED
    if isinstance(supply.at, str):
        return supply.at
    return ", ".join(length_text(v, known.house.units) for v in supply.at)


# --- of all ---


def _limit_rows(watched: Watched | None, columns: list[int]) -> list[CardRow]:
    """Which limit is nearest, and how much of the way to it is left."""
    near = watched.nearest(columns) if watched is not None and columns else None
    if near is None:
        return []
    name, share = near
    if not np.isfinite(share):
        return [CardRow("past its limit", (name,), True)]
    if share > 1:
        return [CardRow("past its limit", (name, f"by {percent(share - 1)}"), True)]
    return [CardRow("nearest limit", (name, f"{percent(1 - share)} left"))]


def _notes(watched: Watched | None, name: str) -> tuple[tuple[Level, str], ...]:
    """The findings about a thing; of many the most urgent two."""
    found: tuple[Finding, ...] = watched.about(name) if watched is not None else ()
    told = [(finding.level, sentence(finding)) for finding in found if finding.level != "note"]
    return tuple(told[:2])
