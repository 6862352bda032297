"""Strip or string: what mending one pixel takes, and what weather does to how it is made.

What can be reckoned is reckoned: how many pixels are dark until it is mended follows from the data
line. A pixel that fails without a backup line takes all behind it along; with one, itself alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from layouts.files.document import read
from layouts.records import House, Kind, Run
from sim.parts import Parts

#: The rows of words, in the order they are told.
SAID = ("work", "up_there", "ip_new", "ip_mended", "frost")


@dataclass(frozen=True)
class Mending:
    """What mending one pixel of a kind takes."""

    mount: str
    said: Mapping[str, str]  # by the names of SAID
    sources: Mapping[str, str]
    minutes: tuple[float, float]
    hourly: float | None  # what an hour costs; None: the parts file says nothing of it

    @property
    def price(self) -> tuple[float, float] | None:
        """Of the work, least and most; None without a price of an hour."""
        if self.hourly is None:
            return None
        low, high = self.minutes
        return low / 60 * self.hourly, high / 60 * self.hourly


@cache
def _table() -> dict[str, Any]:
    made: dict[str, Any] = read(Path(__file__).with_name("mending.yaml")).data
    return made


def mending(kind: Kind, parts: Parts) -> Mending:
    """What mending one pixel of `kind` takes, its joints as long as the parts file says."""
    rows = _table()[kind.mount]
    low, high = float(rows["minutes"]["low"]), float(rows["minutes"]["high"])
    if kind.mount == "strip" and parts.work.joint_min:
        low = max(low, 2 * parts.work.joint_min)
        high = max(low, high)
    return Mending(
        mount=kind.mount,
        said={name: rows[name]["said"] for name in SAID},
        sources={name: row["source"] for name, row in rows.items()},
        minutes=(low, high),
        hourly=parts.work.hourly,
    )


def dark_with_one(house: House) -> float:
    """How many pixels are dark on average when one, any of them alike, has died.

    Data runs along the chain of each output; a run on none is a chain of its own.
    """
    chained = {name for output in house.outputs for name in output.chain}
    chains = [tuple(house.run(name) for name in output.chain) for output in house.outputs]
    chains += [(run,) for run in house.runs if run.name not in chained]
    dark = sum(_dark(chain) for chain in chains)
    there = house.present
    return dark / there if there else 0.0


def _dark(chain: tuple[Run, ...]) -> float:
    """The sum over the pixels of a chain of what each takes along when it dies."""
    total, behind = 0.0, sum(run.present for run in chain)
    for run in chain:
        behind -= run.present
        if run.kind.backup_data:
            total += run.present
        else:
            total += run.present * (run.present + 1) / 2 + run.present * behind
    return total
