"""Runs, zones and outputs of a drawn house: pieces one output can carry, in chains."""

from __future__ import annotations

import itertools
import math
from typing import Any

from layouts.addresses import SLOTS, pixel_bits
from layouts.catalogue import kinds
from layouts.forms.measures import FormMeasures
from layouts.forms.paint import Light
from layouts.forms.roof import Place
from layouts.records import Kind

FPS = 40
#: Square to a rake means away from it, to one side: turned this far [°] to the street, both rakes
#: of a gable are seen from the middle of the front.
OUTWARDS = -8
NEXT = 1.2  # a run whose data starts this near [m] to where another ends is chained to it
Entry = dict[str, Any]


def lights_of(measures: FormMeasures, lights: list[Light]) -> Entry:
    """`runs`, `zones` and `outputs` of the house file."""
    kind = kinds()[measures.kind]
    pieces = [piece for light in lights for piece in _pieces(light, kind)]
    runs = [
        {
            "name": each.name,
            "pixels": kind.name,
            "path": [[x, y] for x, y in each.path],
            "aim": OUTWARDS if each.zone == "gables" else "down",
            "standoff": each.standoff,
            "profile": measures.profile,
        }
        for each in pieces
    ]
    return {"runs": runs, "zones": _zones(lights, pieces), "outputs": _outputs(pieces, kind)}


def most_pixels(kind: Kind) -> int:
    """How many pixels one output refreshes FPS times a second, with a little to spare."""
    room_us = 1e6 / FPS - kind.reset_us - kind.frame_bits * kind.bit_us
    return int(room_us / (pixel_bits(kind) * kind.bit_us) * 0.97)


def _pieces(light: Light, kind: Kind) -> list[Light]:
    """A run as it is, or in pieces that one output can carry: at its ridge first."""
    count = math.ceil(_length(light.path) / kind.pitch_m / most_pixels(kind))
    if count <= 1:
        return [light]
    if len(light.path) > 2 and count == 2:
        middle = len(light.path) // 2
        halves = (light.path[: middle + 1], light.path[middle:])
        return [
            _named(light, side, path) for side, path in zip(("left", "right"), halves, strict=True)
        ]
    total = _length(light.path)
    paths = [
        _between(light.path, total * index / count, total * (index + 1) / count)
        for index in range(count)
    ]
    sides = ["left", "right"] if count == 2 else [str(index + 1) for index in range(count)]
    return [_named(light, side, path) for side, path in zip(sides, paths, strict=True)]


def _named(light: Light, side: str, path: list[Place]) -> Light:
    return Light(f"{light.name}-{side}", path, light.standoff, light.zone)


def _length(path: list[Place]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(path))


def _between(path: list[Place], begin: float, end: float) -> list[Place]:
    """The part of a path from one distance along it to another."""
    made: list[Place] = []
    gone = 0.0
    for a, b in itertools.pairwise(path):
        length = math.dist(a, b)
        first, last = max(begin - gone, 0.0), min(end - gone, length)
        if last - first > 1e-6:
            points = [
                (a[0] + (b[0] - a[0]) * s / length, a[1] + (b[1] - a[1]) * s / length)
                for s in (first, last)
            ]
            made += points if not made else points[1:]
        gone += length
    return made


def _zones(lights: list[Light], pieces: list[Light]) -> dict[str, list[str]]:
    """Zones by what hangs where, and every run that was cut into pieces by its own name."""
    names = {each.name for each in pieces}
    zones: dict[str, list[str]] = {}
    for light in lights:
        if light.name not in names:
            zones[light.name] = [
                n for n in (p.name for p in pieces) if n.startswith(light.name + "-")
            ]
    for zone in ("eaves", "gables", "entrance"):
        parts = [each.name for each in pieces if each.zone == zone]
        if parts and zone not in names:
            zones[zone] = parts
    return zones


def _outputs(pieces: list[Light], kind: Kind) -> list[Entry]:
    """Chains from left to right; a new one where data would not carry on, or the last is full."""
    hop = min(NEXT, kind.data_hop_m or NEXT)
    chains: list[list[Light]] = []
    filled = 0
    for each in sorted(pieces, key=lambda piece: (piece.path[0][0], piece.path[0][1])):
        count = int(_length(each.path) / kind.pitch_m + 1e-6)
        full = filled + count > most_pixels(kind)
        if not chains or full or math.dist(chains[-1][-1].path[-1], each.path[0]) > hop:
            chains.append([])
            filled = 0
        chains[-1].append(each)
        filled += count
    outputs: list[Entry] = []
    universe = 1
    for index, chain in enumerate(chains):
        outputs.append(
            {
                "name": f"port {index + 1}",
                "chain": [each.name for each in chain],
                "universe": universe,
                "fps": FPS,
            }
        )
        count = sum(int(_length(each.path) / kind.pitch_m + 1e-6) for each in chain)
        universe += max(1, math.ceil(count / (SLOTS // len(kind.channels))))
    return outputs
