"""Houses at random for the bench of diagnosis: 5, 12 and 24 V, strips and strings, fed many ways.

All invented. A house is taken only if every pixel of it is right while nothing is broken.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from layouts import House, house_from
from sim.frame import Rig, rig
from sim.upkeep.broken import broken, frame_of_broken

#: Kind, pitch [m], volts; `tall` is a 24 V string of six LEDs a pixel, made up from the 12 V one.
KINDS = (
    *(("ws2812b", 1 / 60, 5), ("ws2812b-v5", 1 / 60, 5), ("ws2813", 1 / 60, 5)),
    *(("sk6812-rgbw-warm", 1 / 60, 5), ("ws2815", 1 / 60, 12)),
    *(("ws2811-12v-group3", 0.1, 12), ("tall", 0.1, 24)),
)
TALL = {
    "like": "ws2811-12v-group3",
    "volts": 24,
    "max_v": 26.4,
    "min_v": 16.0,
    "channels": {"r": {"vf": 12.0}, "g": {"vf": 19.2}, "b": {"vf": 19.2}},
}
NAMES = ("eave", "gable", "porch", "ridge", "rake", "bay")


def random_house(random: np.random.Generator) -> Rig:
    """A house in order, with 40 to 600 pixels."""
    while True:
        made = rig(_house(random))
        if _in_order(made):
            return made


def _in_order(made: Rig) -> bool:
    codes = np.full((1, len(made.house.pixels), 4), 128, dtype=np.uint8)
    frame = frame_of_broken(broken(made, ()), codes)
    there = ~made.house.pixels.spare
    fine = frame.solution.dim[0][there]
    has = frame.light[0][there] > 0
    whole = bool((fine[has] > 0.9).all()) and bool(has.any(axis=1).all())
    return whole and not frame.opened and not frame.tripped and not frame.flickers.any()


def _house(random: np.random.Generator) -> House:
    kind, pitch, volts = KINDS[random.integers(len(KINDS))]
    longest = 160 if pitch < 0.05 else 70
    count = int(random.integers(1, 6))
    lengths = {NAMES[k]: int(random.integers(20, longest)) for k in range(count)}
    boxes = [f"box-{k + 1}" for k in range(int(random.integers(1, 1 + min(3, count))))]
    wires: list[dict[str, Any]] = []
    amps = dict.fromkeys(boxes, 0.0)
    most_a = 0.06 if volts == 5 else 0.02 if kind == "ws2815" else 0.0555
    spread = float(random.uniform(0.5, 1.5))  # few feeds or many
    for index, (name, pixels) in enumerate(lengths.items()):
        box = boxes[index % len(boxes)]
        drop = {5: 90, 12: 60 if kind != "ws2815" else 140, 24: 60}[volts]
        feeds = max(1, math.ceil(pixels / (drop * spread)))
        places = _places(name, pixels, feeds, random)
        amps[box] += pixels * most_a
        if len(places) > 1 and random.random() < 0.3:
            # All of a run from one joint.
            joint = f"{name}-joint"
            wires.append(_wire(box, joint, pixels * most_a, random))
            wires += [_wire(joint, at, None, random) for at in places]
        else:
            wires += [_wire(box, at, pixels * most_a / feeds * 1.4, random) for at in places]
    runs = [
        {
            "name": name,
            "pixels": kind,
            "path": [[0, 3 + k], [pixels * pitch, 3 + k]],
            "count": pixels,
        }
        for k, (name, pixels) in enumerate(lengths.items())
    ]
    names = list(lengths)
    chains = [names] if random.random() < 0.3 else [[name] for name in names]
    if len(chains) > 2 and random.random() < 0.5:
        chains = [names[:2], *([name] for name in names[2:])]
    supplies = [
        {
            **{"name": box, "volts": volts, "amps": max(3.0, 1.25 * amps[box])},
            **{"efficiency": 0.87, "no_load_w": 0.5, "source_ohm": 0.005},
        }
        for box in boxes
    ]
    data: dict[str, Any] = {
        "name": "random",
        "drawing": {"size": [12, 12]},
        "kinds": {"tall": TALL},
        "runs": runs,
        "supplies": supplies,
        "wires": wires,
        "outputs": [{"name": f"port-{k + 1}", "chain": chain} for k, chain in enumerate(chains)],
    }
    return house_from(data, file="random.yaml")


def _places(name: str, pixels: int, feeds: int, random: np.random.Generator) -> list[str]:
    how = random.random()
    if feeds == 1:
        return [f"{name}.start" if how < 0.6 else f"{name}[{pixels // 2}]"]
    if how < 0.4:
        inner = [round(pixels * k / (feeds - 1)) for k in range(1, feeds - 1)]
        return [f"{name}.start", *(f"{name}[{k}]" for k in inner), f"{name}.end"]
    return [f"{name}[{int(pixels * (k + 0.5) / feeds)}]" for k in range(feeds)]


def _wire(
    start: str, end: str, amps: float | None, random: np.random.Generator
) -> dict[str, object]:
    size = str(random.choice(["16 AWG", "14 AWG", "12 AWG"]))
    made: dict[str, object] = {
        **{"from": start, "to": end, "wire": size},
        "length": round(float(random.uniform(0.5, 3)), 1),
    }
    if amps is not None:
        made["fuse"] = next((a for a in (2, 3, 5, 7.5, 10, 15, 20) if a >= 1.3 * amps), 25)
    return made
