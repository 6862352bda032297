"""Where readings at two supplies of one run contradict each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from layouts.finding import Finding, Remedy

if TYPE_CHECKING:
    from sim.upkeep.meter import MeterFit

#: Two figures differ beyond doubt by so many times their joint standard uncertainty.
_SURELY = 2


def at_odds(fits: Sequence[MeterFit]) -> Iterator[Finding]:
    """Runs of which two supplies, each read alone, say what differs beyond doubt."""
    for number, one in enumerate(fits):
        for other in fits[number + 1 :]:
            shared = {run.name for run in one.runs} & {run.name for run in other.runs}
            for name in sorted(one.found.keys() & other.found.keys()) if shared else ():
                gap = abs(one.found[name] - other.found[name])
                doubt = float(np.hypot(one.uncertainty[name], other.uncertainty[name]))
                if not name.startswith("curve") and gap > _SURELY * doubt:
                    yield Finding(
                        "warning",
                        "meter-supplies-differ",
                        f"{one.supply.name}, {other.supply.name}",
                        value=gap,
                        limit=_SURELY * doubt,
                        remedies=(Remedy("read-again", one.supply.name),),
                        elements=tuple(sorted(shared)),
                        detail={
                            "what": name,
                            "found": (one.found[name], other.found[name]),
                            "runs": tuple(sorted(shared)),
                        },
                    )
