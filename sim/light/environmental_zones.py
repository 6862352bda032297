"""Limits for light that disturbs others, by the zone one lives in.

Illuminance on the windows of others: EN 12193 and ILP GN01 as quoted by others [standard, 2nd
hand]; the row E0 and the luminance of the façade, CIE 150:2017 [from memory]. Curfew is set
locally, 23:00 is usual [handbook].
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class EnvironmentalZone:
    """One environmental zone; None where the table gives no figure."""

    name: str
    meaning: str
    window_before_lx: float | None  # before curfew
    window_after_lx: float | None
    facade_cd_m2: float
    tag: str


_TAG = "window: [standard, 2nd hand]; façade: CIE 150:2017 [from memory]"

ZONES = (
    EnvironmentalZone("E0", "intrinsically dark", None, None, 0.1, "CIE 150:2017 [from memory]"),
    EnvironmentalZone(
        "E1", "dark, rural reserve", 2.0, 0.1, 0.1, _TAG + "; after curfew [from memory]"
    ),
    EnvironmentalZone("E2", "low brightness, village", 5.0, 1.0, 5.0, _TAG),
    EnvironmentalZone("E3", "medium brightness, suburb", 10.0, 2.0, 10.0, _TAG),
    EnvironmentalZone("E4", "high brightness, town centre", 25.0, 5.0, 25.0, _TAG),
)
