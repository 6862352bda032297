"""What the panel beside the house says while a window listens: lines from what is known. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layouts.catalogue import limits
from layouts.errors import shown
from sim.app.state.listening import Listened
from sim.report.limits_told import limit_told
from sim.report.listen import LiveLoad, LiveSecond, LiveUniverse
from sim.report.text import amps, ceiling_percent, clock, count, percent
from sim.report.wording import sentence

Look = Literal["", "quiet", "warn", "bad"]
Form = Literal["title", "head", "large", "pair", "bar", "words"]

#: As many universes are told one by one; of more, those that are out of the ordinary first.
MOST_UNIVERSES = 40


@dataclass(frozen=True)
class PanelLine:
    """A line of the panel: a label and what it stands at, or words alone."""

    form: Form
    text: str
    value: str = ""
    look: Look = ""
    share: float = 0.0  # of a bar; above 1: over


def panel(state: Listened, house: str) -> tuple[PanelLine, ...]:
    """Everything that is told of a house, from the most to the least urgent."""
    second = state.second
    lines = [PanelLine("title", house)]
    if second is None:
        return (*lines, PanelLine("words", "Listening; nothing has come yet", look="quiet"))
    lines.append(PanelLine("words", _standing(second), look="quiet"))
    if second.load is not None:
        lines += _load(state, second.load)
        lines += _findings(second.load)
    lines += _universes(second)
    lines += _sources(second.universes)
    lines += _datagrams(second)
    return tuple(lines)


def _standing(second: LiveSecond) -> str:
    states = [each.state for each in second.universes]
    words = f"{states.count('live')} of {len(states)} universes live"
    if "lost" in states:
        words += f", {states.count('lost')} lost and held"
    words += f"; listening for {clock(round(second.time_s))}"
    return words if second.load is not None else f"{words}; nothing for this house yet"


def _load(state: Listened, load: LiveLoad) -> list[PanelLine]:
    over = load.used > 1
    lines = [
        PanelLine("head", "Load"),
        PanelLine("large", "now", amps(load.now_a), "bad" if over else ""),
        PanelLine("pair", "most in this second", amps(load.peak_a)),
        PanelLine("pair", "most so far", f"{amps(state.worst_a)} at {clock(round(state.worst_s))}"),
        PanelLine(
            "pair", "least volts", f"{load.least_v:.2f} V at {load.least_run}[{load.least_pixel}]"
        ),
    ]
    if load.ceiling is None:
        lines.append(PanelLine("words", "No supply feeds this house: no limits", look="warn"))
    elif load.ceiling.limit:
        share = f"{ceiling_percent(load.ceiling.brightness)} of these levels"
        lines.append(PanelLine("pair", "ceiling", share, "warn"))
        lines.append(PanelLine("words", f"held by {limit_told(load.ceiling)}", look="quiet"))
    else:
        lines.append(PanelLine("pair", "ceiling", "within every limit"))
    for name, most_a, used in load.supplies:
        look: Look = "bad" if used > 1 else "warn" if used > limits().supply_load else ""
        value = f"{amps(most_a)}, {'over: ' if used > 1 else ''}{percent(used)}"
        lines.append(PanelLine("bar", name, value, look, used))
    return lines


def _findings(load: LiveLoad) -> list[PanelLine]:
    told = [each for each in load.findings if each.level != "note"]
    if not told:
        return []
    lines = [PanelLine("head", "Past a limit")]
    for each in told:
        look: Look = "bad" if each.level == "danger" else "warn"
        lines.append(PanelLine("words", f"{each.level}: {each.where}: {sentence(each)}", look=look))
    return lines


def _universes(second: LiveSecond) -> list[PanelLine]:
    lines = [PanelLine("head", "Universes")]
    odd = sorted(second.universes, key=lambda each: not _is_odd(each))
    for each in odd[:MOST_UNIVERSES]:
        said = [each.state]
        if each.state == "live":
            said.append(f"{each.hz:.0f} Hz")
        if each.priority is not None:
            said.append(f"priority {each.priority}")
        if each.missed:
            said.append(f"{count(each.missed)} missed")
        look: Look = "warn" if _is_odd(each) else ""
        lines.append(PanelLine("pair", str(each.universe), ", ".join(said), look))
        if each.exceeded:
            lines.append(PanelLine("words", "more sources than are merged", look="warn"))
        elif len(each.sources) > 1:
            names = " and ".join(shown(name) or address for name, address, _ in each.sources)
            lines.append(
                PanelLine("words", f"{names} merged, the highest of each slot", look="warn")
            )
    if len(odd) > MOST_UNIVERSES:
        more = f"and {len(odd) - MOST_UNIVERSES} more like the last"
        lines.append(PanelLine("words", more, look="quiet"))
    return lines


def _is_odd(each: LiveUniverse) -> bool:
    return each.state == "lost" or bool(each.missed) or each.exceeded or len(each.sources) > 1


def _sources(universes: tuple[LiveUniverse, ...]) -> list[PanelLine]:
    told: dict[tuple[str, str, int], list[int]] = {}
    for each in universes:
        for source in each.sources:
            told.setdefault(source, []).append(each.universe)
    lines = [PanelLine("head", "Sources")] if told else []
    for (name, address, priority), numbers in sorted(told.items()):
        said = f"{shown(name) or 'without a name'} at {address}, priority {priority}"
        many = ", ".join(map(str, numbers[:8])) + (" …" if len(numbers) > 8 else "")
        lines.append(PanelLine("words", f"{said}: universes {many}"))
    return lines


def _datagrams(second: LiveSecond) -> list[PanelLine]:
    lines = [PanelLine("head", "Datagrams")]
    lines += [
        PanelLine("pair", reason.replace("-", " "), count(number))
        for reason, number in sorted(second.counts.items(), key=lambda each: -each[1])
    ]
    if second.dropped:
        lines.append(PanelLine("pair", "lost before they were read", count(second.dropped), "warn"))
    if second.late_ms is not None:
        lines.append(PanelLine("pair", "longest wait to be read", f"{second.late_ms:.0f} ms"))
    return lines if len(lines) > 1 else []
