"""What `diagnose` tells: causes by probability, what each explains, the next test, the repair."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from layouts.errors import harmless
from layouts.fault_lines import fault_entry, wire_text
from layouts.faults import Fault
from layouts.records import House
from sim.upkeep.diagnosis import Diagnosis, Suspect

from .blocks import Block, Cautions, Listed, Table, Title, columns, note, row, section, spans, words
from .cautions import MENDING, WIRING
from .text import percent
from .wording import finding_json, sentence
from .wording.diagnosis import (
    cause_label,
    needs_label,
    no_test_label,
    others_label,
    repair_of,
    seen_label,
    suspect_label,
    test_label,
    worth_label,
)

#: So many suspects are told, and of one so many places; of a test so many outcomes.
_SUSPECTS, _PLACES, _OUTCOMES = 6, 200, 6
#: Less than this is told as that.
_LEAST = 0.001


def diagnosis_blocks(found: Diagnosis, house: House, priors: str) -> Iterator[Block]:
    """The diagnosis as a person reads it."""
    yield Title(spans((house.name, "strong"), ": what may be broken"))
    rows, notes = [], []
    for number, suspect in enumerate(found.suspects[:_SUSPECTS], 1):
        if number > 1 and suspect.probability < _LEAST:
            break
        rows.append(row(str(number), _share(suspect.probability), suspect_label(suspect, house)))
        notes.append((number, suspect))
    rest = 1 - found.none - sum(suspect.probability for _, suspect in notes)
    if rest >= _LEAST:
        rows.append(row("", _share(rest), "all other causes together"))
    rows.append(row("", _share(found.none), "none of what is known here"))
    yield section("Causes", Table(columns(">", ">probability", ""), tuple(rows)))
    yield section("What they explain", *_explained(found, notes, house))
    yield section("Next", *_next(found, house))
    first = found.suspects[0]
    repair = repair_of(first, house)
    steps = tuple(spans(f"{n}. {step}") for n, step in enumerate(repair.steps, 1))
    yield section(
        f"Repair, if it is 1: {suspect_label(first, house)}",
        *(words(sentence(each)) for each in found.hot),
        Listed(steps),
        words(("to have at hand: ", "strong"), "; ".join(repair.parts)),
    )
    yield note(f"How often what breaks: {harmless(priors)}. `--priors FILE` takes others.")
    yield section("Cautions", Cautions((*MENDING, *WIRING)))


def _share(p: float) -> str:
    return f"< {percent(0.01)}" if 0 < p < 0.005 else percent(p)


def _explained(found: Diagnosis, notes: list[tuple[int, Suspect]], house: House) -> Iterator[Block]:
    for number, suspect in notes:
        said = [f"{number}. "]
        if suspect.unexplained:
            missing = ", ".join(seen_label(found.seen[k]) for k in suspect.unexplained)
            said.append(f"explains {len(suspect.explains)} of {len(found.seen)}; not: {missing}")
        else:
            said.append("explains all that was seen")
        others = others_label(suspect, house)
        yield words("".join(said) + (f"; {others}" if others else ""))


def _next(found: Diagnosis, house: House) -> Iterator[Block]:
    test = found.next
    if test is None:
        suspect = suspect_label(found.suspects[0], house)
        yield words(no_test_label(found.why_no_test or "nothing", suspect))
        return
    if test.repair_first:
        first = suspect_label(found.suspects[0], house)
        yield words(f"trying the repair costs less than the next test: {first}; if it stays, …")
    yield words((test_label(test), "strong"))
    yield words(needs_label(test))
    yield note(worth_label(test, found.entropy_bits))
    rows = [row(_share(o.probability), o.result) for o in test.outcomes[:_OUTCOMES]]
    yield Table(columns(">probability", "what may come of it"), tuple(rows))


def as_json(found: Diagnosis, house: House, priors: str) -> Mapping[str, Any]:
    """The diagnosis as `--json` has it."""
    first = repair_of(found.suspects[0], house)
    test = found.next
    return {
        "house": house.name,
        "causes": [_suspect_json(found, each, house) for each in found.suspects],
        "none_of_these": found.none,
        "entropy_bits": found.entropy_bits,
        "findings": [finding_json(each) for each in found.hot],
        "next": None
        if test is None
        else {
            "test": test.test,
            "at": test.at,
            "during": test.during,
            "conductor": test.conductor,
            "fuses_out": list(test.fuses_out),
            "repair_first": test.repair_first,
            "what": test_label(test),
            "needs": needs_label(test),
            "gain_bits": test.gain_bits,
            "cost": test.cost,
            "cost_unit": "min",
            "outcomes": [asdict(outcome) for outcome in test.outcomes],
        },
        "why_no_test": found.why_no_test,
        "repair": {"steps": list(first.steps), "parts": list(first.parts)},
        "priors": priors,
    }


def _suspect_json(found: Diagnosis, suspect: Suspect, house: House) -> Mapping[str, Any]:
    return {
        "fault": _fault_json(suspect.fault, house),
        "written": fault_entry(suspect.fault, house),
        "faults": [_fault_json(fault, house) for fault in suspect.causes[0].faults],
        "kind": suspect.causes[0].kind,
        "what": suspect_label(suspect, house),
        "probability": suspect.probability,
        "explains": [seen_label(found.seen[k]) for k in suspect.explains],
        "unexplained": [seen_label(found.seen[k]) for k in suspect.unexplained],
        "places": [
            {
                "kind": cause.kind,
                "first": cause.first,
                "last": cause.last,
                "what": cause_label(cause, house),
                "faults": [_fault_json(fault, house) for fault in cause.faults],
            }
            for cause in suspect.causes[:_PLACES]
        ],
    }


def _fault_json(fault: Fault, house: House) -> Mapping[str, Any]:
    """A fault with what it has; a wire by its name too."""
    made = {key: value for key, value in asdict(fault).items() if value is not None}
    if fault.wire is not None:
        made["wire_name"] = wire_text(fault.wire, house)
    return made
