"""What grows around a house: outlines of leaves, seeded by where they stand."""

from __future__ import annotations

import random

from layouts.forms import trees
from layouts.forms.paint import Painting, tapered

REACH = 22.0  # how far [m] ground and trees go on beyond the drawing


def behind(sheet: Painting, width: float, height: float, *, tree: str) -> None:
    """Trees and lawn beyond the house; `tree` is the side on which the large one stands."""
    rng = random.Random(round(width * 100))
    steps = round((width + 2 * REACH) / 1.7)
    tops = [
        (width + REACH - index * (width + 2 * REACH) / steps, rng.uniform(0.85, 2.2))
        for index in range(steps + 1)
    ]
    sheet.title("garden behind")
    sheet.paint("treeline", "hedge", -9, [(-REACH, 0), (width + REACH, 0), *tops])
    sheet.box("lawn-behind", "lawn", -6, -REACH, -0.02, width + REACH, 0.55)
    tall = min(7.0, max(4.6, 0.72 * height))
    left = tree == "left"
    trees.fir(sheet, "fir", width - 1.0 if left else 1.0, tall, -3)
    trees.broad(sheet, "tree", 0.7 if left else width - 0.7, 0.86 * tall, -2.7, spread=0.9)


def hedge(
    sheet: Painting, name: str, left: float, right: float, depth: float, *, tall: float = 0.62
) -> None:
    """A clipped hedge; its foot stands as far down the picture as it is near."""
    rng = random.Random(round(left * 100 + right))
    count = max(3, round((right - left) / 0.45))
    tops = [
        (right - 0.04 - index * (right - left - 0.08) / count, tall + rng.uniform(-0.04, 0.06))
        for index in range(count + 1)
    ]
    sheet.paint(name, "hedge", depth, [(left, -0.13 * depth), (right, -0.13 * depth), *tops])
    bed(sheet, f"{name}-flowers", left + 0.05, right - 0.05, depth + 0.4, rng)


def bed(
    sheet: Painting, name: str, left: float, right: float, depth: float, rng: random.Random
) -> None:
    """Low flowers before a hedge, in cushions of uneven height."""
    count = max(2, round((right - left) / 0.3))
    foot = -0.13 * depth
    tops = [
        (right - index * (right - left) / count, foot + rng.uniform(0.1, 0.26))
        for index in range(count + 1)
    ]
    colour = rng.choice(["flowers-rose", "flowers-white"])
    sheet.paint(name, colour, depth, [(left, foot), (right, foot), *tops])


def pot(sheet: Painting, name: str, middle: float, depth: float) -> None:
    """A clipped ball of box in a pot."""
    rng = random.Random(round(middle * 100))
    low = -0.12 * depth
    sheet.paint(
        name,
        "roof-tile-terracotta",
        depth,
        tapered(middle, (low, 0.14), (low + 0.44, 0.2)),
    )
    trees.heap(sheet, f"{name}-box", (middle, low + 0.7), (0.32, 0.38), depth - 0.05, rng, "hedge")


def ground(
    sheet: Painting, width: float, *, door: float, drive: tuple[float, float] | None
) -> None:
    """Lawn, the path to the door and the drive to the garage."""
    sheet.title("front garden")
    sheet.box("lawn", "lawn", 0, -REACH, -7, width + REACH, 0)
    if drive is not None:
        left, right = drive
        middle, half = (left + right) / 2, (right - left) / 2
        sheet.paint(
            "drive",
            "concrete",
            0,
            [(left, 0), (right, 0), (middle + 3.1 * half, -4), (middle - 3.1 * half, -4)],
        )
    sheet.paint(
        "path",
        "path-gravel",
        0,
        [
            (door - 0.75, 0),
            (door + 0.75, 0),
            (door + 1.5, -0.62),
            (door + 2.6, -1.6),
            (door + 5.0, -4),
            (door - 5.0, -4),
            (door - 2.6, -1.6),
            (door - 1.5, -0.62),
        ],
    )
