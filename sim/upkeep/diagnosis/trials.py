"""What comes of trying something: a fuse, another port, a bridge, a conductor, cause by cause.

F causes; everything is (F,) bool.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layouts.records import House
from layouts.sightings import Sighting
from sim.circuit.build import Network
from sim.upkeep.signal import NOTHING

from .causes import Breakage
from .predicted import DARK, Predicted

#: What came of a trial that found what it asks for.
YES = ("lit", "blown", "blows", "open")


def trial(net: Network, causes: Sequence[Breakage], there: Predicted, seen: Sighting) -> np.ndarray:
    """Pixels light up; the fuse is found blown, or the new one blows; the conductor is open."""
    if seen.what == "fuse":
        assert seen.wire is not None
        return blown(causes, there, seen.wire)
    if seen.what == "new_fuse":
        assert seen.wire is not None
        return there.opened[:, seen.wire]
    if seen.what == "continuity":
        pixel = int(seen.pixels[0]) if len(seen.pixels) else None
        return interrupted(net.house, causes, there, str(seen.conductor), pixel, seen.wire)
    if seen.what == "swap":
        assert seen.output is not None
        return swapped(net.house, causes, there, seen.output)
    return bridged(net.house, causes, there, int(seen.pixels[0]))


def blown(causes: Sequence[Breakage], there: Predicted, wire: int) -> np.ndarray:
    """(F,) bool: the fuse of the wire is open."""
    own = [any(f.kind == "blown" and f.wire == wire for f in c.faults) for c in causes]
    return np.array(own, dtype=bool) | there.opened[:, wire]


def bridged(house: House, causes: Sequence[Breakage], there: Predicted, pixel: int) -> np.ndarray:
    """(F,) bool: data led to `pixel` from the last pixel that works, it is lit."""
    lit = there.looks[:, pixel] != DARK
    # What hears nothing and is whole and fed lights up. What is dark though it hears does not.
    at = there.place[pixel]
    hears = there.arrives[:, at] != NOTHING if at >= 0 else np.ones(len(lit), dtype=bool)
    works = ~_broken_itself(house, causes, pixel) & (
        there.volts(pixel) > 0.5 * _least(house, pixel)
    )
    return lit | (~hears & works)


def swapped(house: House, causes: Sequence[Breakage], there: Predicted, output: int) -> np.ndarray:
    """(F,) bool: fed from another port, the chain is lit from its first pixel on."""
    run = house.run(house.outputs[output].chain[0])
    port = np.array(
        [any(one.kind == "output" and one.output == output for one in c.singles) for c in causes]
    )
    return port | (there.looks[:, run.ends[0]] != DARK)


def _least(house: House, pixel: int) -> float:
    return float(house.runs[house.pixels.run[pixel]].kind.min_v)


def _broken_itself(house: House, causes: Sequence[Breakage], pixel: int) -> np.ndarray:
    run = house.runs[house.pixels.run[pixel]]
    position = pixel - run.first
    return np.array(
        [
            any(
                f.kind in ("dead", "dark") and f.run == run.name and f.position == position
                for f in cause.faults
            )
            for cause in causes
        ],
        dtype=bool,
    )


def interrupted(
    house: House,
    causes: Sequence[Breakage],
    there: Predicted,
    conductor: str,
    pixel: int | None,
    wire: int | None,
) -> np.ndarray:
    """No continuity of the conductor of a wire, its fuse included, or into a pixel."""
    if wire is not None:
        own = [
            any(f.kind == "open" and f.wire == wire and f.conductor == conductor for f in c.faults)
            for c in causes
        ]
        found = np.array(own, dtype=bool)
        return found | blown(causes, there, wire) if conductor == "plus" else found
    assert pixel is not None
    run = house.runs[house.pixels.run[pixel]]
    at = (run.name, pixel - run.first, conductor)
    return np.array(
        [
            any(f.kind == "open" and (f.run, f.position, f.conductor) == at for f in c.faults)
            for c in causes
        ],
        dtype=bool,
    )
