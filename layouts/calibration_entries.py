"""From the calibration of a house file to records, and back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from layouts.calibration import Calibration, SupplyCurve
from layouts.files.refusals import Refusals

if TYPE_CHECKING:
    from layouts.schema import HouseFile


def build_calibration(file: HouseFile, refusals: Refusals) -> tuple[Calibration, ...]:
    """The calibration in file order. Supplies and runs that are not there are refused, and a run
    that two supplies were measured with."""
    supplies, runs = refusals.names("supplies"), refusals.names("runs")
    taken: set[str] = set()
    named: set[str] = set()
    made = []
    for index, entry in enumerate(file.calibration):
        path = ("calibration", index)
        if entry.supply is None:
            if entry.curve is not None:
                refusals.add(
                    (*path, "curve"), "a curve of no supply", "name the supply, or take it out"
                )
        elif entry.supply not in supplies:
            what = f"there is no supply '{entry.supply}'"
            refusals.add((*path, "supply"), what, "measure again, or take this entry out")
        if entry.supply is not None and entry.supply in named:
            what = f"supply '{entry.supply}' is calibrated already"
            refusals.add((*path, "supply"), what, "take one of the two out")
        named.add(entry.supply or "")
        for run in entry.runs:
            if run not in runs:
                refusals.unknown_run((*path, "runs", run), run)
            elif run in taken:
                what = f"run '{run}' is calibrated already"
                refusals.add((*path, "runs", run), what, "take it out of one of the two")
            taken.add(run)
        law = entry.curve
        made.append(
            Calibration(
                supply=entry.supply or "",
                volts=entry.volts,
                runs=dict(entry.runs),
                idle=entry.idle,
                currents=entry.currents.model_dump(exclude_none=True),
                curve=None if law is None else SupplyCurve(law.a, law.b, law.c),
                uncertainty=dict(entry.uncertainty),
                readings=entry.readings,
            )
        )
    return tuple(made)


def calibration_entry(each: Calibration) -> dict[str, Any]:
    """A calibration as its file has it."""
    made: dict[str, Any] = {
        **({"supply": each.supply} if each.supply else {}),
        "volts": each.volts,
        "runs": dict(each.runs),
        "idle": each.idle,
        "currents": dict(each.currents),
    }
    if each.curve is not None:
        made["curve"] = {"a": each.curve.a_w, "b": each.curve.b, "c": each.curve.c_per_w}
    if each.uncertainty:
        made["uncertainty"] = dict(each.uncertainty)
    if each.readings:
        made["readings"] = each.readings
    return made
