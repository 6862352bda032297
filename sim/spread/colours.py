"""What draws make of colour: the white point of a reel, and how well two reels match side by side.

A channel's spectrum is made anew (`sim.colour.spectra`) at a few wavelengths, and what it comes to
is taken between them. White is what the mixer shows where white is asked: its duties are those of
the sheet, since the controller knows no other. Two reels are two draws of everything that is common
to a reel; pixels even out along a run.

u', v' and CIELAB: CIE 15:2018, the latter with the sheet's white as white; its distance is ΔE*ab.
Just seen in u', v': one step is a circle of 0.0011 (CIE TN 001:2014 [from memory]); in ΔE*ab 2.3
is about the least seen side by side (Mahy et al. 1994 [from memory]).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from effects.colour_spaces import lab_of, uv_1976
from layouts.errors import EvenfallError
from layouts.records import CHANNELS, Kind
from sim.colour import emission_xyz_lm

from .draws import common_draws
from .unknowns import Unknowns

#: The least ΔE*ab and the least distance in u', v' that is seen side by side.
SEEN_DE, SEEN_UV = 2.3, 0.0011
#: Wavelengths at which spectra are made: the whole width and between.
_NODES = 7
#: 95 % of a joint Gaussian lie within this squared distance (χ², two degrees of freedom).
_ELLIPSE = -2 * np.log(0.05)
#: The number that another reel's draws have more than the first one's.
_OTHER = 1 << 20


@dataclass(frozen=True, eq=False)
class White:
    """The white of one reel: D draws."""

    reel: str
    kind: Kind
    uv: np.ndarray  # (D, 2) u', v'
    nominal_uv: np.ndarray  # (2,)
    delta_e: np.ndarray  # (D,) ΔE*ab of a second reel beside it
    delta_uv: np.ndarray  # (D,) distance in u', v' alone, without brightness

    @property
    def ellipse(self) -> tuple[np.ndarray, float, float, float]:
        """The ellipse that holds 95 %: middle, half the long and short axis, degrees of the long.

        That of the Gaussian with the same mean and covariance (JCGM 102:2011).
        """
        values, vectors = np.linalg.eigh(np.cov(self.uv.T))
        half = np.sqrt(np.maximum(values, 0.0) * _ELLIPSE)
        degrees = float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1])) % 180)
        return self.uv.mean(axis=0), float(half[1]), float(half[0]), degrees


def whites(
    known: Unknowns, duties: dict[Kind, np.ndarray], count: int, seed: int
) -> tuple[White, ...]:
    """The white of every reel whose kind has spectra; `duties` (channels,) of white by kind."""
    made = []
    for index, reel in enumerate(known.reels):
        run = known.house.runs[int(np.flatnonzero(known.reel_of == index)[0])]
        if run.kind not in duties or not duties[run.kind].any():
            continue
        try:
            curves = _Curves(run.kind, known, reel)
        except EvenfallError:
            continue
        duty = duties[run.kind]
        one = curves.xyz(common_draws(known, count, seed), duty)
        other = curves.xyz(common_draws(known, count, seed, _OTHER), duty)
        sheet = curves.xyz(known.nominal[None], duty)[0]
        made.append(
            White(
                reel=reel,
                kind=run.kind,
                uv=uv_1976(one),
                nominal_uv=uv_1976(sheet),
                delta_e=np.linalg.norm(lab_of(one, sheet) - lab_of(other, sheet), axis=1),
                delta_uv=np.linalg.norm(uv_1976(one) - uv_1976(other), axis=1),
            )
        )
    return tuple(made)


class _Curves:
    """XYZ [lm] of a kind's channels along the wavelengths that a reel may have."""

    def __init__(self, kind: Kind, known: Unknowns, reel: str):
        self._known, self._reel = known, (reel,)
        self._at, self._xyz = {}, {}
        plain = emission_xyz_lm(kind)
        for channel in kind.channels:
            number = CHANNELS.index(channel.name)
            column = int(known.columns(f"nm_{channel.name}", self._reel)[0])
            if column < 0 or channel.dominant_nm is None:
                self._at[number], self._xyz[number] = np.zeros(1), plain[number][None]
                continue
            shape = known.common[column].shape
            wide = 4 * shape.sd
            low, high = (
                (shape.mean - wide, shape.mean + wide)
                if shape.form == "normal"
                else (shape.a, shape.b)
            )
            nodes = np.linspace(low, high, _NODES) if high > low else np.array([low])
            rows = []
            for nm in nodes.tolist():
                moved = replace(channel, dominant_nm=round(channel.dominant_nm + nm, 6))
                others = tuple(moved if each is channel else each for each in kind.channels)
                rows.append(emission_xyz_lm(replace(kind, channels=others))[number])
            self._at[number], self._xyz[number] = nodes, np.array(rows)

    def xyz(self, common: np.ndarray, duty: np.ndarray) -> np.ndarray:
        """(D, 3) of the duties (channels,) shown by draws (D, U) of the reel's unknowns."""
        total = np.zeros((len(common), 3))
        current = self._of(common, "current", 1.0)
        for number, nodes in self._at.items():
            name = CHANNELS[number]
            nm = self._of(common, f"nm_{name}", 0.0)
            flux = self._of(common, f"flux_{name}", 1.0) * current * duty[number]
            rows = self._xyz[number]
            if len(nodes) == 1:
                each = np.repeat(rows, len(common), axis=0)
            else:
                each = np.stack([np.interp(nm, nodes, rows[:, k]) for k in range(3)], axis=1)
            total += flux[:, None] * each
        return total

    def _of(self, common: np.ndarray, factor: str, usual: float) -> np.ndarray:
        at = int(self._known.columns(factor, self._reel)[0])
        return common[:, at] if at >= 0 else np.full(len(common), usual)
