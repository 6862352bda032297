"""Deleting things, and what cannot stay without them."""

from __future__ import annotations

from layouts.points import run_slice, split_end
from sim.app.edit.commands import Delete, Item
from sim.app.edit.follow import ENDS
from sim.app.edit.measured import forget_measured
from sim.app.edit.paper import SECTIONS, NotDone, Paper


def delete(paper: Paper, command: Delete) -> None:
    """Removes things. Zones and chains are mended; what would vanish must be said (`along`)."""
    if not command.items:
        return
    for item in command.items:
        paper.where(item)
        if item.sort == "drawing":
            raise NotDone("the drawing itself stays; delete surfaces of it")
    gone = {sort: {item.name for item in command.items if item.sort == sort} for sort in SECTIONS}
    if gone["run"] and gone["run"] >= set(paper.names("run")):
        raise NotDone("a house needs at least one run; add another before you delete the last")
    vanishing = _vanishing(paper, gone)
    if vanishing and not command.along:
        listed = ", ".join(vanishing[:6]) + (", …" if len(vanishing) > 6 else "")
        raise NotDone(f"with it would go: {listed}; delete them along with it, or move them first")
    paper.notes += [f"{what} is gone too" for what in vanishing]
    _mend_what_stays(paper, gone)
    forget_measured(paper, gone["run"], gone["supply"])
    for sort in ("wire", "zone", "output", "run", "supply", "place", "route", "surface"):
        _drop(paper, sort, gone[sort])


def _vanishing(paper: Paper, gone: dict[str, set[str | int]]) -> list[str]:
    """What cannot stay when `gone` goes, in words; it is put into `gone`."""
    asked = {sort: set(names) for sort, names in gone.items()}
    wires = paper.entries("wire")
    lost = gone["run"] | gone["supply"]
    gone["wire"] |= {
        number for number, wire in enumerate(wires)
        if any(split_end(wire[key])[0] in lost for key in ENDS)
    }  # fmt: skip
    joints = paper.junctions()
    while True:
        reached: dict[str, list[int]] = {joint: [] for joint in joints}
        for number, wire in enumerate(wires):
            for key in ENDS:
                name = wire[key].strip()
                if number not in gone["wire"] and name in joints:
                    reached[name].append(number)
        loose = {numbers[0] for numbers in reached.values() if len(numbers) == 1}
        if not loose:
            break
        gone["wire"] |= loose
    for output in paper.entries("output"):
        if set(output["chain"]) <= gone["run"]:
            gone["output"].add(output["name"])
    for zone, parts in paper.entries("zone").items():
        if all(run_slice(part).name in gone["run"] for part in parts):
            gone["zone"].add(zone)
    also = {sort: names - asked[sort] for sort, names in gone.items()}
    return [
        *(_wire_text(wire) for number, wire in enumerate(wires) if number in also["wire"]),
        *(f"output {name}" for name in paper.names("output") if name in also["output"]),
        *(f"zone {name}" for name in paper.names("zone") if name in also["zone"]),
    ]


def _wire_text(wire: dict[str, str]) -> str:
    return f"wire {wire['from']} → {wire['to']}"


def _mend_what_stays(paper: Paper, gone: dict[str, set[str | int]]) -> None:
    for number, output in enumerate(paper.entries("output")):
        if output["name"] in gone["output"]:
            continue
        chain = [run for run in output["chain"] if run not in gone["run"]]
        if chain != output["chain"]:
            paper.put(("outputs", number, "chain"), chain)
            paper.notes.append(f"output {output['name']} is without it")
        if output.get("common_minus") in gone["supply"]:
            paper.remove(("outputs", number, "common_minus"))
            paper.notes.append(f"output {output['name']} has no common minus any more")
    for zone, parts in list(paper.entries("zone").items()):
        kept = [part for part in parts if run_slice(part).name not in gone["run"]]
        if zone not in gone["zone"] and kept != parts:
            paper.put(("zones", zone), kept)
            paper.notes.append(f"zone {zone} is without it")
    for sort in ("supply", "output"):
        for number, entry in enumerate(paper.entries(sort)):
            if entry["name"] not in gone[sort] and entry.get("at") in _texts(gone["place"]):
                spot = paper.entry(Item("place", entry["at"]))["at"]
                paper.put((*SECTIONS[sort], number, "at"), list(spot))
                paper.notes.append(f"{sort} {entry['name']} stays where it is, at no place")


def _texts(names: set[str | int]) -> list[str]:
    return [name for name in names if isinstance(name, str)]


def _drop(paper: Paper, sort: str, names: set[str | int]) -> None:
    if sort == "zone":
        for name in sorted(map(str, names)):
            paper.remove(("zones", name))
        return
    entries = paper.entries(sort)
    numbers = [
        number for number, entry in enumerate(entries)
        if (number if sort == "wire" else entry["name"]) in names
    ]  # fmt: skip
    for number in reversed(numbers):
        paper.remove((*SECTIONS[sort], number))
