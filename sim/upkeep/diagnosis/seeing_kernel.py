"""The compiled core of `predicted`: what arrives at every pixel of every cause, and its look."""

from __future__ import annotations

import numpy as np

from sim.kernels import njit
from sim.upkeep.signal import DATA, GARBAGE, NOTHING


@njit(cache=True, nogil=True, error_model="numpy")
def looks_by_volts(
    volts: np.ndarray,
    kind: np.ndarray,
    amps: np.ndarray,
    vf_v: np.ndarray,
    headroom_v: np.ndarray,
    brightest: np.ndarray,
    usual: np.ndarray,
    on: np.ndarray,
    unsteady: np.ndarray,
    noticed: float,
    plain: float,
    dark: float,
) -> np.ndarray:
    """(R, N) int8 of `volts` (R, N): 0 lit, 1 dark, 2 wrong, 4 dimmer; `usual` (N, C) is `dim`.

    `kind` to `brightest` are of the law, whose `most` the last is.
    What is `unsteady` (R, N) gives light for the share `on` (R,) of the time.
    """
    rows, pixels = volts.shape
    out = np.zeros((rows, pixels), dtype=np.int8)
    for r in range(rows):
        for n in range(pixels):
            q = kind[n]
            least, most = 10.0, 0.0
            for c in range(amps.shape[1]):
                if amps[q, c] > 0 and usual[n, c] > 0:
                    share = (volts[r, n] - vf_v[q, c]) / headroom_v[q, c]
                    share = min(max(share, 0.0), brightest[q, c]) / usual[n, c]
                    least, most = min(least, share), max(most, share)
            if (most * on[r] if unsteady[r, n] else most) < dark:
                out[r, n] = 1
            elif least < plain:
                out[r, n] = 2
            elif least < noticed:
                out[r, n] = 4
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def arrivals(
    first: np.ndarray,
    backup: np.ndarray,
    silent: np.ndarray,
    works: np.ndarray,
    garbled: np.ndarray,
    some: np.ndarray,
    row: np.ndarray,
    volts: np.ndarray,
    pixel: np.ndarray,
    least_v: np.ndarray,
    runs_share: float,
) -> np.ndarray:
    """(G, P) what arrives, as `sim.upkeep.signal.arriving`, of the causes `some` (G,) of F.

    volts : (R, X) [V], of which each has `row` (G,); `pixel` (P,) is the column of each place;
    below `least_v` (P,) a pixel garbles, below `runs_share` of it it sends nothing

    silent : (F, P) bool, of first pixels: the whole chain hears nothing
    works : (F, P) bool: sends on, as far as it is fed
    """
    causes, pixels = len(some), works.shape[1]
    out = np.zeros((causes, pixels), dtype=np.int8)
    for g in range(causes):
        f, r = some[g], row[g]
        sent, before = DATA, NOTHING
        for p in range(pixels):
            if first[p]:
                sent, before = NOTHING if silent[f, p] else DATA, NOTHING
            here = sent
            if here == DATA and garbled[f, p]:
                here = GARBAGE
            heard = here
            if here == NOTHING and backup[p] and not first[p]:
                heard = before
            low = volts[r, pixel[p]] < least_v[p]
            runs = volts[r, pixel[p]] >= runs_share * least_v[p]
            sent = heard if works[f, p] and runs else NOTHING
            if sent == DATA and low:
                sent = GARBAGE
            out[g, p] = heard
            if heard == DATA and low and runs:
                out[g, p] = GARBAGE
            before = here
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def looks_of(
    by_volts: np.ndarray,
    unsteady: np.ndarray,
    row: np.ndarray,
    arrives: np.ndarray,
    place: np.ndarray,
) -> np.ndarray:
    """(F, N) int8: `by_volts` (R, N) and `unsteady` (R, N) with what arrives (F, P)."""
    causes, pixels = len(row), by_volts.shape[1]
    out = np.zeros((causes, pixels), dtype=np.int8)
    for f in range(causes):
        r = row[f]
        for n in range(pixels):
            look = by_volts[r, n]
            if place[n] >= 0:
                arrived = arrives[f, place[n]]
                if arrived == NOTHING:
                    look = 1
                elif arrived == GARBAGE and look != 1:
                    look = 3
            if look != 1 and unsteady[r, n]:
                look = 3
            out[f, n] = look
    return out
