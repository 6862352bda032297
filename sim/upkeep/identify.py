"""Watts at the wall by the duty of each channel: least squares, and which law they follow.

    sum law    P = P₀ + Σ_c P_c·d_c           each colour has its own current
    max law    P = P₀ + P_m·max_c d_c         the dies are in series and share one

Readings of idle, of each channel alone and of all together tell the two apart without knowing
anything of the pixels. What neither fits is drop on the way, a limit of the supply, or a slip of
the pen.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np


@dataclass(frozen=True, eq=False)
class Identified:
    """A fit to M readings by K coefficients, the first of them P₀."""

    coefficients: np.ndarray  # (K,) [W]
    unit_error: np.ndarray  # (K,) standard error for readings that are uncertain by 1 W each
    residuals: np.ndarray  # (M,) [W] read less fitted
    spare: int  # readings more than coefficients

    @property
    def deviation_w(self) -> float | None:
        """s [W], the standard deviation of a reading; None where none is spare."""
        return float(np.sqrt((self.residuals**2).sum() / self.spare)) if self.spare > 0 else None


def identify(duty: np.ndarray, watts: np.ndarray, law: Literal["sum", "max"] = "sum") -> Identified:
    """Fit `law` to readings `watts` (M,) [W] at `duty` (M, C) 0..1 of each channel.

    Raises ValueError where the readings do not determine the coefficients.
    """
    seen = duty if law == "sum" else duty.max(axis=1, keepdims=True)
    design = np.column_stack([np.ones(len(watts)), seen])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise ValueError("too few readings: read idle, and each channel alone")
    found, *_ = np.linalg.lstsq(design, watts, rcond=None)
    return Identified(
        coefficients=found,
        unit_error=np.sqrt(np.diag(np.linalg.inv(design.T @ design))),
        residuals=watts - design @ found,
        spare=len(watts) - design.shape[1],
    )


@dataclass(frozen=True, eq=False)
class Followed:
    """Which pixel law readings follow, and by how much each law misses them."""

    law: Literal["parallel", "series"]
    sum_off_w: float  # [W] root mean square of the sum law's residuals
    max_off_w: float
    idle_w: float  # P₀ of the law that fits
    lit_w: float  # what all channels add to it


def followed(duty: np.ndarray, watts: np.ndarray) -> Followed | None:
    """The law that readings `watts` (M,) [W] at `duty` (M, C) follow; None if they cannot tell.

    They can if idle was read, more than one channel alone, and all of them together.
    """
    alone = (duty > 0).sum(axis=1) == 1
    together = ((duty > 0).sum(axis=1) > 1).any()
    if alone.sum() < 2 or not together or not (duty == 0).all(axis=1).any():
        return None
    try:
        summed, strongest = (identify(duty, watts, law) for law in ("sum", "max"))
    except ValueError:
        return None
    if summed.spare < 1:
        return None
    off = [float(np.sqrt((each.residuals**2).mean())) for each in (summed, strongest)]
    fits = summed if off[0] <= off[1] else strongest
    return Followed(
        "parallel" if fits is summed else "series",
        off[0],
        off[1],
        idle_w=float(fits.coefficients[0]),
        lit_w=float(fits.coefficients[1:].sum()),
    )
