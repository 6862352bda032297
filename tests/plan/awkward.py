"""Houses that a planner could stumble over, one idea each: entries of a house file."""

from __future__ import annotations

from typing import Any


def run(name: str, kind: str, *path: list[float], **more: Any) -> dict[str, Any]:
    """A run as a house file has it."""
    return {"name": name, "pixels": kind, "path": list(path), **more}


STRIP, SERIES, STRING, RGBW = "ws2812b-v5", "ws2815", "ws2811-12v-group3", "sk6812-rgbw-warm"

#: name → runs, places as (name, x, y[, mains]), and other keys of the file
HOUSES: dict[str, tuple[list[dict[str, Any]], list[tuple], dict[str, Any]]] = {
    "drawn towards each other": (
        [run("left", STRIP, [0, 3], [1.5, 3]), run("right", STRIP, [3.2, 3], [1.7, 3])],
        [("box", 1.0, 1.0)],
        {},
    ),
    "drawn from the middle": (
        [run("left", SERIES, [4, 3], [0, 3]), run("right", SERIES, [4, 3], [8, 3])],
        [("box", 6.0, 1.0)],
        {},
    ),
    "all three ways round": (
        [
            run("a", STRIP, [1, 3], [0, 3]),
            run("b", STRIP, [2.2, 3], [1.1, 3]),
            run("c", STRIP, [2.3, 3], [3.5, 3]),
        ],
        [("box", 3.0, 1.0)],
        {},
    ),
    "one pixel": (
        [
            run("dot", STRIP, [0, 2], [1 / 60, 2], count=1),
            run("point", STRIP, [0.5, 2], [0.5 - 1 / 60, 2], count=1),
            run("eave", STRIP, [0.6, 2], [1.6, 2]),
            run("alone", STRING, [6, 2], [6.1, 2], count=1),
        ],
        [("box", 1.0, 0.5)],
        {},
    ),
    "spare pixels": (
        [
            run("a", STRIP, [0, 3], [1.5, 3], spare_first=2),
            run("b", STRIP, [1.7, 3], [2.7, 3], spare_first=1),
        ],
        [("box", 1.0, 1.0)],
        {},
    ),
    "a string": (
        [run("hedge", STRING, [0, 1], [9, 1]), run("tree", STRING, [9.5, 1], [9.5, 4], aim="out")],
        [("shed", -2.0, 1.0)],
        {},
    ),
    "four channels": (
        [run("gable", RGBW, [0, 3], [1.5, 4.5], [3, 3])],
        [("box", 4.0, 1.0)],
        {},
    ),
    "two voltages": (
        [run("eave", STRIP, [0, 3], [2, 3]), run("fence", SERIES, [2.2, 1], [7, 1])],
        [("box", 2.0, 0.8)],
        {},
    ),
    "far from the socket": (
        [run(f"step{n}", SERIES, [14 + 1.6 * n, 1], [14.5 + 1.6 * n, 1]) for n in range(6)],
        [("shed", 0.0, 1.0)],
        {"routes": [{"name": "path", "path": [[0, 1], [23, 1]]}]},
    ),
    "one place without mains": (
        [run("eave", STRIP, [0, 3], [2.5, 3])],
        [("gutter", 1.0, 2.9, False), ("hall", 3.0, 1.0)],
        {},
    ),
    "no places": ([run("a", STRIP, [0, 3], [2, 3]), run("b", SERIES, [9, 3], [13, 3])], [], {}),
    "frost": (
        [run("eave", STRIP, [0, 3], [3, 3])],
        [("box", 1.0, 1.0)],
        {"temperature_c": -20.0},
    ),
    "half wired": (
        [run("eave", STRIP, [0, 3], [2, 3]), run("porch", STRIP, [5, 3], [6.5, 3])],
        [("hall", 3.0, 1.0)],
        {
            "supplies": [{"name": "old", "volts": 5, "amps": 20, "source_ohm": 0.004,
                          "at": "hall"}],
            "wires": [
                {"from": "old", "to": "eave[30]", "wire": "14 AWG", "length": "3.2 m", "fuse": 4},
                {"from": "old", "to": "eave[90]", "wire": "14 AWG", "length": "3.2 m", "fuse": 4},
                # taken away again: a file may not leave a run without power
                {"from": "old", "to": "porch.start", "wire": "14 AWG", "length": "3 m"},
            ],
        },
    ),
}  # fmt: skip
