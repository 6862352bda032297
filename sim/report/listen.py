"""What `listen` tells every second: what arrives, and what it asks of the house.

Frames are taken as `sim.data.taking` says and solved a second at a time; between two tellings
nothing is left out, so the peak of a second is that of all its frames.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from layouts.errors import shown
from layouts.finding import Finding, by_urgency
from sim.circuit import (
    Ceiling,
    Network,
    bracket,
    load_findings,
    loads,
    run_uses,
    supply_uses,
    wire_uses,
)
from sim.circuit.limits import limit_bound, limit_name, utilisation
from sim.data.patch import HousePatch, codes_from, stacked
from sim.data.receiver import Receiver
from sim.data.taking import TakenFrame

from .limits_told import limit_told
from .text import amps, ceiling_percent, clock, percent
from .wording import finding_json


@dataclass(frozen=True, eq=False)
class LiveLoad:
    """What the frames of one second asked of the house of N pixels."""

    frames: int
    codes: np.ndarray  # (N, C) uint8, shown last
    now_a: float
    peak_a: float  # the most in this second
    peak_codes: np.ndarray  # (N, C) uint8, when it drew that
    supplies: tuple[tuple[str, float, float], ...]  # name, most [A], as a share of the rating
    least_v: float
    least_run: str
    least_pixel: int
    used: float  # of the limit that is nearest; above 1: past it
    limit: str
    ceiling: Ceiling | None  # share of these levels that keeps every limit; None without supplies
    findings: tuple[Finding, ...]
    bound: str = ""  # how much what `limit` names may bear, in words with its number


@dataclass(frozen=True)
class LiveUniverse:
    """One universe of the house."""

    universe: int
    hz: float  # how often its levels were set in the last second
    missed: int  # packets jumped over, by the sequence
    sources: tuple[tuple[str, str, int], ...]  # name, address, priority of those that are shown
    others: int  # heard and not shown
    priority: int | None
    state: str  # "silent", "live", "lost"
    exceeded: bool


@dataclass(frozen=True, eq=False)
class LiveSecond:
    """Everything that is told at one moment."""

    time_s: float  # since listening began
    load: LiveLoad | None  # None: nothing came yet
    universes: tuple[LiveUniverse, ...]
    counts: dict[str, int]  # datagrams so far, by what became of them
    dropped: int | None  # lost before they were read; None: not known
    late_ms: float | None  # the longest that one waited to be read, in this second
    most_a: float  # since the beginning
    most_s: float  # when that was


def live_load(network: Network, patch: HousePatch, frames: list[TakenFrame]) -> LiveLoad:
    """Solve the frames (at least one)."""
    codes = codes_from(patch, np.stack([stacked(patch, frame.levels) for frame in frames]))
    part = loads(network, codes)
    total_a = part.run_a.sum(axis=1)
    used = utilisation(network, part)
    frame, column = np.unravel_index(int(used.argmax()), used.shape)
    supplies, wires = supply_uses(network, part), wire_uses(network, part)
    runs = run_uses(network, part)
    least = min(runs, key=lambda use: use.min_v)
    found = load_findings(supplies, wires, runs, part.supply_a.min(axis=0))
    ceiling = Ceiling(1.0, "") if network.house.supplies else None
    if ceiling is not None and used.max() > 1:
        worst = codes[frame][None].astype(np.float64)
        ceiling = bracket(network, lambda share: np.rint(worst * share).astype(np.uint8))
    return LiveLoad(
        len(frames),
        codes[-1],
        float(total_a[-1]),
        float(total_a.max()),
        codes[int(total_a.argmax())],
        tuple((use.supply.name, use.peak_a, use.load) for use in supplies),
        least.min_v,
        least.run.name,
        least.min_v_pixel,
        float(used.max()),
        limit_name(network, int(column)),
        ceiling,
        by_urgency(found),
        limit_bound(network, part, int(frame), int(column)),
    )


def live_universes(
    patch: HousePatch, before: Receiver, now: Receiver, span_s: float
) -> tuple[LiveUniverse, ...]:
    """Every universe of the house, as it changed between two states `span_s` [s] apart."""
    told = []
    for number in patch.universes:
        universe = now.universes.get(number)
        if universe is None:
            told.append(LiveUniverse(number, 0.0, 0, (), 0, None, "silent", False))
            continue
        was = before.universes.get(number)
        renewals = universe.renewals - (was.renewals if was else 0)
        showing = [universe.sources[cid] for cid in universe.shows]
        state = "live" if showing else "lost" if universe.renewals else "silent"
        told.append(
            LiveUniverse(
                number,
                renewals / span_s if span_s > 0 else 0.0,
                sum(source.missed for source in universe.sources.values()),
                tuple((shown(each.name), each.address, each.priority) for each in showing),
                len(universe.sources) - len(showing),
                universe.priority,
                state,
                universe.exceeded,
            )
        )
    return tuple(told)


def as_json(second: LiveSecond) -> dict[str, Any]:
    """One line of `listen --json`. Fields are stable; later versions only add."""
    load = second.load
    return {
        "time_s": second.time_s,
        "load": load
        and {
            "frames": load.frames,
            "now_a": load.now_a,
            "peak_a": load.peak_a,
            "supplies": [
                {"name": name, "peak_a": most_a, "load": share}
                for name, most_a, share in load.supplies
            ],
            "min_v": load.least_v,
            "min_v_run": load.least_run,
            "min_v_pixel": load.least_pixel,
            "used": load.used if np.isfinite(load.used) else None,
            "limit": load.limit,
            "level_ceiling": load.ceiling and load.ceiling.brightness,
            "ceiling_limit": load.ceiling and load.ceiling.limit,
            "findings": [finding_json(each) for each in load.findings],
        },
        "most_a": second.most_a,
        "most_time_s": second.most_s,
        "universes": [
            {
                "universe": each.universe,
                "state": each.state,
                "hz": each.hz,
                "missed": each.missed,
                "priority": each.priority,
                "sources": [
                    {"name": name, "address": address, "priority": priority}
                    for name, address, priority in each.sources
                ],
                "other_sources": each.others,
                "sources_exceeded": each.exceeded,
            }
            for each in second.universes
        ],
        "packets": second.counts,
        "dropped": second.dropped,
        "late_ms": second.late_ms,
    }


def level_ceiling(ceiling: Ceiling) -> str:
    """How far down the levels that come would have to go, and for which limit."""
    most = ceiling_percent(ceiling.brightness)
    return f"ceiling {most} of these levels: {limit_told(ceiling)}"


def as_lines(second: LiveSecond) -> list[str]:
    """The same as lines for a terminal."""
    states = [each.state for each in second.universes]
    live = f"{states.count('live')} of {len(states)} universes live"
    if "lost" in states:
        live += f", {states.count('lost')} lost and held"
    head = f"{clock(round(second.time_s, 1)):>8}  {live}"
    load = second.load
    if load is None:
        return [f"{head}; nothing for this house yet"]
    rates = [each.hz for each in second.universes if each.state == "live"]
    rate = "" if not rates else f", {min(rates):.0f}–{max(rates):.0f} Hz"
    lines = [
        f"{head}{rate}  {amps(load.now_a)}, peak {amps(load.peak_a)}; "
        f"least {load.least_v:.2f} V at {load.least_run}[{load.least_pixel}]"
    ]
    if load.supplies:
        each = ", ".join(f"{name} {percent(share)}" for name, _, share in load.supplies)
        over = f"  {level_ceiling(load.ceiling)}" if (load.ceiling and load.ceiling.limit) else ""
        lines[0] += f"; {each}{over}"
    lines += [
        f"{'':10}{found.level}: {found.where} {found.code}"
        for found in load.findings
        if found.level != "note"
    ]
    lines += [f"{'':10}{text}" for text in _remarks(second)]
    return lines


def _remarks(second: LiveSecond) -> list[str]:
    """What is out of the ordinary in what arrives."""
    found = []
    for each in second.universes:
        if each.exceeded:
            found.append(f"universe {each.universe}: more sources than are merged")
        elif len(each.sources) > 1:
            names = " and ".join(f"{name or address}" for name, address, _ in each.sources)
            found.append(f"universe {each.universe}: {names} merged, the highest of each slot")
    if second.dropped:
        found.append(f"{second.dropped} datagrams lost before they were read")
    return found


def source_lines(universes: tuple[LiveUniverse, ...]) -> list[str]:
    """Who sends what: told when it changes."""
    told: dict[tuple[str, str, int], list[int]] = {}
    for each in universes:
        for source in each.sources:
            told.setdefault(source, []).append(each.universe)
    return [
        f"{'':10}{name or 'a source without a name'} at {address}, priority {priority}: "
        f"universes {', '.join(map(str, numbers))}"
        for (name, address, priority), numbers in sorted(told.items())
    ]
