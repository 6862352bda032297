"""What is drawn, heard and shown on broken lines, each following from the other.

A pixel below the least voltage of its logic, or into which a level is not read (`levels`), shows
garbage and sends it on; below half of that voltage its chip does not run and sends nothing. That
changes what is drawn, and so the voltages: it is worked out again until nothing more is lost. What
was lost once stays lost, so that this ends. A pixel that hears nothing shows nothing, as after
power came on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects.noise import hashed
from layouts.kept_with import kept_with_first
from layouts.records import House
from sim.circuit import Network, Solution, solve
from sim.frame import light_of

from .levels import hop_levels
from .signal import DATA, GARBAGE, NOTHING, Chains, arriving

#: Below this share of its least logic voltage a chip does not run; no source, chips differ.
_RUNS = 0.5


@dataclass(frozen=True, eq=False)
class Lines:
    """The state of data lines and pixels in T frames: N pixels, P of them on chains."""

    line: Chains
    link: np.ndarray  # (T, P) bool: the data conductor to the pixel is whole
    garbled: np.ndarray  # (T, P) bool: data to the pixel is garbled
    works: np.ndarray  # (T, P) bool
    unlit: np.ndarray  # (T, N) bool: gives no light whatever it is sent
    stuck: np.ndarray  # (T, N) bool
    stuck_codes: np.ndarray  # (T, N, C) uint8
    number: np.ndarray  # (T,) of the frame, by which garbage is drawn
    seed: int


@dataclass(frozen=True, eq=False)
class Settled:
    """A circuit and what its pixels show, each following from the other."""

    solution: Solution
    received: np.ndarray  # (T, N, C) uint8
    arrives: np.ndarray  # (T, N) NOTHING, DATA or GARBAGE; DATA on no chain

    @property
    def light(self) -> np.ndarray:
        """(T, N, C) share 0..1 of each channel's full light."""
        return light_of(self.received, self.solution.dim)


def settled(net: Network, lines: Lines, codes: np.ndarray) -> Settled:
    """What follows from sending `codes` (T, N, C) uint8 over `lines` on the circuit `net`."""
    house, line = net.house, lines.line
    on = line.pixel
    nothing = np.zeros(lines.works.shape, dtype=bool)
    worst = arriving(line.first, line.backup, lines.link, lines.works, lines.garbled, nothing)
    received = codes_shown(house, lines, codes, worst)
    least_v = np.array([run.kind.min_v for run in house.runs])[house.pixels.run[on]]
    while True:
        solution = solve(net, received)
        volts = solution.volts[:, on]
        margins = hop_levels(house, line, solution)
        with np.errstate(invalid="ignore"):
            misread = (margins.high_v < 0) | (margins.low_v < 0)
        low = volts < least_v
        runs = lines.works & (volts >= _RUNS * least_v)
        # Between pixels of which one does not run there is nothing to be misread.
        garbled = lines.garbled | (misread & runs)
        heard = arriving(line.first, line.backup, lines.link, runs, garbled, low)
        heard = np.where(low & (heard == DATA), GARBAGE, heard)
        heard = np.where(runs, heard, NOTHING)
        worst = _lost(worst, heard)
        before, received = received, codes_shown(house, lines, codes, worst)
        if (received == before).all():
            break
    arrives = np.full(codes.shape[:2], DATA, dtype=np.int8)
    arrives[:, on] = worst
    return Settled(solution, received, arrives)


def _lost(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """The worse of two: nothing, then garbage, then data."""
    lost = (one == NOTHING) | (other == NOTHING)
    spoilt = (one == GARBAGE) | (other == GARBAGE)
    return np.where(lost, NOTHING, np.where(spoilt, GARBAGE, DATA)).astype(np.int8)


def codes_shown(house: House, lines: Lines, codes: np.ndarray, arrives: np.ndarray) -> np.ndarray:
    """(T, N, C) uint8 as each pixel shows them."""
    out = np.array(codes, dtype=np.uint8)
    on = lines.line.pixel
    frame, place = np.nonzero(arrives == NOTHING)
    out[frame, on[place]] = 0
    frame, place = np.nonzero(arrives == GARBAGE)
    if len(frame):
        pixel = on[place]
        bits = hashed(lines.seed, pixel, lines.number[frame])
        chosen = (bits[:, None] >> np.array([0, 8, 16, 24], np.uint32)) & np.uint32(255)
        if len(house.channels) > 4:  # a byte more than a number has: of the next number's
            more = hashed(lines.seed + 1, pixel, lines.number[frame])
            chosen = np.column_stack([chosen, more & np.uint32(255)])
        out[frame, pixel] = np.where(_channels(house)[pixel], chosen, 0)
    frame, pixel = np.nonzero(lines.stuck)
    out[frame, pixel] = np.where(_channels(house)[pixel], lines.stuck_codes[frame, pixel], 0)
    out[lines.unlit] = 0
    return out


@kept_with_first
def _channels(house: House) -> np.ndarray:
    """(N, C) bool: the pixel has the channel."""
    of_run = [[run.kind.channel(name) is not None for name in house.channels] for run in house.runs]
    return np.array(of_run)[house.pixels.run]
