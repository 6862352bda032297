"""How much room a wire takes beside the pixels."""

from __future__ import annotations

import math

#: Thin-walled stranded hook-up wire: strands lie 1.2 times as wide as solid copper, and insulation
#: of 0.4 mm is around them; 18 AWG comes to 2.0 mm, 14 AWG to 2.8 mm [from memory].
_STRANDED, _WALL_MM = 1.2, 0.4


def outer_mm(area_mm2: float) -> float:
    """[mm] across one conductor with its insulation."""
    return _STRANDED * math.sqrt(4 * area_mm2 / math.pi) + 2 * _WALL_MM
