"""The page of what was seen: marks, causes with what each explains, the next test, the repair."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from layouts import House
from sim.app.state.actions import Action
from sim.app.state.mending_record import BeginTyped
from sim.app.state.mending_sheet import (
    SheetCell,
    SheetLine,
    cautions,
    typed_cell,
    wrong_lines,
)
from sim.app.state.record import State
from sim.app.state.sighted import outcome_lines, seen_words
from sim.app.state.sighted_record import (
    AddSeen,
    DropAllSeen,
    DropSeen,
    PickDuring,
    PickTool,
    PointVolts,
    SaveSeen,
    SeenDuring,
    SeenLine,
    SeenTool,
    TurnOnwards,
    TurnRepair,
)
from sim.report.text import percent

if TYPE_CHECKING:
    from sim.upkeep.diagnosis import Diagnosis

#: What clicks can mark, and what it is called.
TOOLS: tuple[tuple[SeenTool, str], ...] = (
    ("dark", "Dark"),
    ("wrong", "Wrong colour"),
    ("flickers", "Flickers"),
    ("lit", "Lit"),
    ("volts", "Volts"),
)
#: What is shown meanwhile: "white" is every channel of every pixel at half.
DURING: tuple[tuple[SeenDuring, str], ...] = (
    ("scheme", "scheme"),
    ("white", "white"),
    ("off", "nothing"),
)
#: So many causes are told, and so many outcomes of a test.
SUSPECTS, OUTCOMES = 5, 6
_LEAST = 0.005


def seen_lines(state: State, house: House) -> Iterator[SheetLine]:
    """All lines of the page."""
    now = state.sighted
    yield SheetLine("quiet", "Click a pixel, or drag along a run; Full stop and Comma choose one.")
    if (chosen := _chosen(state, house)) is not None:
        yield SheetLine("cells", cells=(chosen,))
    tools = [SheetCell(word, PickTool(tool), tool == now.tool) for tool, word in TOOLS]
    onwards = SheetCell("From here on", TurnOnwards(), now.onwards)
    yield SheetLine("cells", cells=(*tools, onwards))
    shown = tuple(SheetCell(word, PickDuring(what), what == now.during) for what, word in DURING)
    yield SheetLine("cells", "shown", cells=shown)
    if now.point:
        yield SheetLine("strong", f"Volts between + and − at {now.point}")
        yield SheetLine("cells", cells=(typed_cell(state, "volts", "type V, then Enter"),))
        yield from wrong_lines(state, "volts")
    elif now.tool == "volts":
        yield SheetLine("quiet", "Click where the meter is held: a pixel, or a supply.")
    watts = typed_cell(state, "watts", "type W")
    yield SheetLine("cells", "watts at the wall", cells=(watts,))
    yield from wrong_lines(state, "watts")
    yield SheetLine("head", "Seen", str(len(now.seen)) if now.seen else "")
    for line in now.seen:
        cell = SheetCell(seen_words(line), DropSeen(line), wide=True, takes_away=True)
        yield SheetLine("cells", cells=(cell,))
    if now.seen:
        pair = (SheetCell("Begin anew", DropAllSeen()), SheetCell("Save as a file", SaveSeen()))
        yield SheetLine("cells", cells=pair)
    yield from _found(state, house)
    yield from cautions()


def _chosen(state: State, house: House) -> SheetCell | None:
    """What marks the pixel that the keys chose; None without one."""
    at, now = state.selection, state.sighted
    run = next((one for one in house.runs if at is not None and one.first <= at < one.first
                + one.count), None)  # fmt: skip
    if run is None or at is None:
        return None
    name = f"{run.name}[{at - run.first}]"
    if now.tool == "volts":
        return SheetCell(f"Volts at {name}", PointVolts(name))
    line = SeenLine(now.tool, name, now.onwards, during=now.during)
    return SheetCell(f"Mark {name}", DropSeen(line) if line in now.seen else AddSeen((line,)),
                     line in now.seen)  # fmt: skip


def _found(state: State, house: House) -> Iterator[SheetLine]:
    now = state.sighted
    fresh = now.found_of == now.seen
    if not now.seen:
        yield SheetLine("quiet", "Mark what is dark, and what is lit all the same.")
        return
    if fresh and now.wrong:
        yield SheetLine("warn", now.wrong)
        return
    if now.found is None:
        yield SheetLine("quiet", "Every cause of this house is being tried …")
        return
    yield SheetLine("head", "Causes", "" if fresh else "being tried anew …")
    yield from _causes(now.found, house)
    if not fresh:
        return
    yield SheetLine("head", "Next")
    yield from _next(now.found, house)
    left = now.found.next is not None
    if left:
        words = "Hide the repair" if now.repair else "Repair, if it is 1"
        yield SheetLine("cells", cells=(SheetCell(words, TurnRepair(), now.repair),))
    if not left or now.repair:
        yield from _repair(now.found, house, certain=not left)


def _causes(found: Diagnosis, house: House) -> Iterator[SheetLine]:
    from sim.report.wording.diagnosis import others_label, seen_label, suspect_label

    told = 0.0
    for number, suspect in enumerate(found.suspects[:SUSPECTS], 1):
        if number > 1 and suspect.probability < _LEAST:
            break
        told += suspect.probability
        yield SheetLine("cause", f"{number}  {suspect_label(suspect, house)}",
                        _share(suspect.probability), share=suspect.probability)  # fmt: skip
        if suspect.unexplained:
            missing = ", ".join(seen_label(found.seen[k]) for k in suspect.unexplained)
            words = f"explains {len(suspect.explains)} of {len(found.seen)}; not: {missing}"
        else:
            words = "explains all that was seen"
        others = others_label(suspect, house)
        if others and number > 1:
            others = f"{len(suspect.causes) - 1} more are not told apart from it"
        yield SheetLine("quiet", f"{words}; {others}" if others else words)
    rest = 1 - found.none - told
    if rest >= _LEAST:
        yield SheetLine("cause", "all other causes together", _share(rest), share=rest)
    yield SheetLine("cause", "none of what is known here", _share(found.none), share=found.none)


def _next(found: Diagnosis, house: House) -> Iterator[SheetLine]:
    from sim.report.wording.diagnosis import no_test_label, suspect_label, test_label

    test = found.next
    if test is None:
        suspect = suspect_label(found.suspects[0], house)
        yield SheetLine("strong", no_test_label(found.why_no_test or "nothing", suspect))
        return
    yield SheetLine("strong", test_label(test))
    yield SheetLine("quiet", f"{test.cost:g} min; what came of it?")
    for outcome in test.outcomes[:OUTCOMES]:
        action: Action = AddSeen(outcome_lines(test, outcome.result))
        cell = SheetCell(outcome.result, action, wide=True, share=outcome.probability)
        yield SheetLine("cells", value=_share(outcome.probability), cells=(cell,))
    if test.test == "watts":
        yield SheetLine("cells", cells=(SheetCell("Type what it shows", BeginTyped("watts")),))
    elif test.test == "volts":
        cell = SheetCell("Type what it shows", PointVolts(test.at, test.during))
        yield SheetLine("cells", cells=(cell,))


def _repair(found: Diagnosis, house: House, certain: bool) -> Iterator[SheetLine]:
    from sim.report.wording.diagnosis import repair_of, suspect_label

    first = found.suspects[0]
    repair = repair_of(first, house)
    head = "Repair" if certain else "Repair, if it is 1"
    yield SheetLine("head", head)
    yield SheetLine("strong", suspect_label(first, house))
    for number, step in enumerate(repair.steps, 1):
        yield SheetLine("text", f"{number}.  {step}")
    yield SheetLine("head", "To have at hand")
    for part in repair.parts:
        yield SheetLine("text", part)


def _share(p: float) -> str:
    return f"< {percent(0.01)}" if 0 < p < _LEAST else percent(p)
