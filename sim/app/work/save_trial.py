"""Faults and sightings of the window as files beside the house, never over one that is there."""

from __future__ import annotations

import os
from pathlib import Path

from layouts import EvenfallError
from layouts.fault_lines import faults_text, sightings_text
from sim.app.state.mending_record import SaveFaults
from sim.app.state.record import State
from sim.app.state.sighted_record import SaveSeen
from sim.app.work.share_files import folders, save


def save_trial(state: State, action: SaveFaults | SaveSeen) -> Path:
    """The new file. Raises EvenfallError where there is nothing to save, or like `save`."""
    house = state.mending.house
    wanted = state.mending.faults if isinstance(action, SaveFaults) else state.sighted.seen
    if house is None or not wanted:
        raise EvenfallError("nothing is broken or seen that could be saved")
    if isinstance(action, SaveFaults):
        text = faults_text(state.mending.faults, house, "Broken for a trial in the window.")
        return save(text.encode(), state.house_path, "trial", ".faults.yaml")
    scheme: str | Path | None = None
    if state.facts is not None and state.facts.scheme_file:
        folder, file = folders(state.house_path)[0], Path(state.facts.scheme_file).resolve()
        # Where the house's folder takes no file, it is saved elsewhere and the name stands whole.
        scheme = os.path.relpath(file, folder) if os.access(folder, os.W_OK | os.X_OK) else file
    entries = [line.entry for line in state.sighted.seen]
    text = sightings_text(entries, Path(scheme).as_posix() if scheme else None)
    return save(text.encode(), state.house_path, "seen", ".sightings.yaml")
