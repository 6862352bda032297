"""What a meter found of runs and supplies, and from which reel runs are, follows them: their names,
and that they are gone."""

from __future__ import annotations

from typing import Any

from sim.app.edit.paper import Paper

_SECTION = "calibration"


def rename_measured(paper: Paper, sort: str, old: str, to: str) -> None:
    """Says the new name of a run or supply where the calibration says the old one."""
    for number, entry in enumerate(_entries(paper)):
        if sort == "supply" and entry.get("supply") == old:
            paper.put((_SECTION, number, "supply"), to)
        if sort == "run" and old in entry.get("runs", {}):
            paper.rekey((_SECTION, number, "runs", old), to)
    if sort == "run":
        for reel, names in enumerate(_reels(paper)):
            for place, name in enumerate(names):
                if name == old:
                    paper.put(("spread", "reels", reel, place), to)


def forget_measured(paper: Paper, runs: set[Any], supplies: set[Any]) -> None:
    """Takes runs and supplies that are gone out of the calibration."""
    entries = _entries(paper)
    for number in reversed(range(len(entries))):
        entry = entries[number]
        left = [run for run in entry.get("runs", {}) if run not in runs]
        if entry.get("supply") in supplies or not left:
            paper.remove((_SECTION, number))
            paper.notes.append(f"what was measured of supply {entry.get('supply')} is gone too")
            continue
        for run in [run for run in entry["runs"] if run in runs]:
            paper.remove((_SECTION, number, "runs", run))
    reels = _reels(paper)
    for number in reversed(range(len(reels))):
        if all(name in runs for name in reels[number]):
            paper.remove(("spread", "reels", number))
            continue
        for place in reversed(range(len(reels[number]))):
            if reels[number][place] in runs:
                paper.remove(("spread", "reels", number, place))


def _entries(paper: Paper) -> list[dict[str, Any]]:
    return list(paper.data.get(_SECTION) or [])


def _reels(paper: Paper) -> list[list[Any]]:
    return [list(reel) for reel in (paper.data.get("spread") or {}).get("reels") or []]
