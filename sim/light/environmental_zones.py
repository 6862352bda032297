"""Limits for light that disturbs others, by the zone one lives in.

Illuminance on the windows of others: EN 12193 and ILP GN01 as quoted by others [standard, 2nd
hand]; the row E0 and the luminance of the façade, CIE 150:2017 [from memory]. Curfew is set
locally, 23:00 is usual [handbook].
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from sim.light.tables.read import rows


@dataclass(frozen=True)
class EnvironmentalZone:
    """One environmental zone; None where the table gives no figure."""

    name: str
    meaning: str
    window_before_lx: float | None  # before curfew
    window_after_lx: float | None
    facade_cd_m2: float
    source: str


@cache
def environmental_zones() -> tuple[EnvironmentalZone, ...]:
    """The zones, darkest first."""
    return tuple(
        EnvironmentalZone(
            row["name"],
            row["meaning"],
            _figure(row["window_before_lx"]),
            _figure(row["window_after_lx"]),
            float(row["facade_cd_m2"]),
            row["source"],
        )
        for row in rows("environmental_zones")
    )


def _figure(written: str) -> float | None:
    return float(written) if written else None
