"""A plan put into its house file, as edits: all else stays as it was, to the byte."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from layouts.calibration import kept_with
from layouts.errors import EvenfallError
from layouts.files.document import Document, parse, read
from layouts.files.edits import Edit, Put, Remove
from layouts.files.writeback import write_edits
from layouts.known import Known
from layouts.load import house_of
from layouts.records import House
from layouts.units import METRES, length_m

from .lengths import in_file
from .plan import Plan


def edits_of(plan: Plan, document: Document) -> list[Edit]:
    """What makes the house file `document` that of `plan.house`: places, supplies, wires, cuts.

    Entries are in the file's own units. What was wired stays, unless the plan was made anew.
    """
    data = document.data
    units = data.get("units", "m")
    units = units if units in METRES else "m"
    edits: list[Edit] = []
    for key in ("places", "supplies", "wires"):
        new = [_entry(each, units) for each in plan.sections[key]]
        held = data.get(key) or []
        kept = [] if plan.wanted.anew and key != "places" else list(held)
        if new or len(kept) < len(held):
            edits.append(Put((key,), [*kept, *new]))
    measured = data.get("calibration") or []
    there = [] if plan.wanted.anew else [supply.name for supply in plan.house.supplies]
    left = kept_with(measured, there)
    if left != measured:
        edits.append(Put(("calibration",), left))
    for index, row in enumerate(data["runs"]):
        name = row["name"]
        written = row.get("cuts") or []
        cuts = list(plan.house.run(name).cuts)
        if plan.wanted.anew and not cuts:
            if "cuts" in row:
                edits.append(Remove(("runs", index, "cuts")))
            continue
        kept = [] if plan.wanted.anew else list(written)
        known = () if plan.wanted.anew else plan.before.run(name).cuts
        wanted = [*kept, *(cut for cut in cuts if cut not in known)]
        if wanted != list(written):
            edits.append(Put(("runs", index, "cuts"), wanted))
    return edits


def write_plan(
    plan: Plan, path: str | Path, *, expected: str | None = None, to: Path | None = None
) -> str:
    """Put the plan into the house file at `path`, or into a copy of it at `to`.

    `expected` is the digest of what was planned from. Raises Conflict, CannotWrite, InputError or
    OSError as `write_edits` does; then nothing was written.
    """
    before = Path(path).read_bytes().decode("utf-8-sig")

    def as_planned(text: str) -> None:
        found = house_of(parse(text, str(to or path)), Known())
        if text != before:
            _as_planned(plan, found)

    return write_edits(
        path, edits_of(plan, read(path)), expected=expected, validate=as_planned, to=to
    )


def _as_planned(plan: Plan, found: House) -> None:
    """Refuses a text that is another house than the plan's."""
    wanted = plan.house
    same = (
        [vars(each) for each in found.supplies] == [vars(each) for each in wanted.supplies]
        and [run.cuts for run in found.runs] == [run.cuts for run in wanted.runs]
        and len(found.wires) == len(wanted.wires)
        and all(
            (a.label, a.size.name, a.fuse_a) == (b.label, b.size.name, b.fuse_a)
            and abs(a.length_m - b.length_m) < 1e-9
            for a, b in zip(found.wires, wanted.wires, strict=True)
        )
    )
    if not same:
        raise EvenfallError(
            f"{found.file}: with the plan put in it would be another house than planned; nothing"
            " was written"
        )


def _entry(entry: dict[str, Any], units: str) -> dict[str, Any]:
    """An entry with its lengths in the units of the file."""
    made = dict(entry)
    if "length" in made:
        made["length"] = in_file(length_m(made["length"]), units)
    if isinstance(made.get("at"), list | tuple):
        made["at"] = [in_file(length_m(each), units) for each in made["at"]]
    return made
