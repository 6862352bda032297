"""`evenfall new DIR --dialogue …`: a house measured in a window, then opened there."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sim.cli.common import announce_compiling, fail
from sim.cli.new_form import FILES, from_form
from sim.cli.preview import has_display


def from_dialogue(
    folder: Path, texts: Mapping[str, str], units: str | None, *, lit: bool
) -> list[Path]:
    """Let a person measure the house, and write what `new --form` writes; [] where they left.

    `texts` are measures to begin with; what is wrong with them stands beside its field. Raises
    EvenfallError where `folder` holds a house already, before anything is asked.
    """
    from layouts.errors import InputError, Problem
    from layouts.starter import check_new
    from layouts.units import METRES

    if units is not None and units not in METRES:
        raise InputError(
            [Problem("--units", 0, 0, f"'{units}' is no unit", f"write {', '.join(METRES)}")]
        )
    check_new(folder, FILES)
    if not has_display():
        fail(NO_DISPLAY)
    announce_compiling()
    from sim.app.dialogue import run_dialogue

    told = units or ("ft" if _in_feet(texts.get("width", "")) else "m")
    written = run_dialogue(
        folder, told, texts, lit=lit, write=lambda measures: from_form(folder, measures)
    )
    return written or []


def show(written: list[Path]) -> None:
    """The house just written, in the window."""
    from sim.app import run_window

    run_window(written[0], written[1], drawing=True)


NO_DISPLAY = (
    "no display here; say the measures instead: evenfall new DIR --form gable --width '40 ft'"
)


def _in_feet(text: str) -> bool:
    from layouts.forms.typed import units_of

    return units_of({"width": text}) == "ft"
