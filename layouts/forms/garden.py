"""What grows around a house: outlines of leaves, seeded by where they stand."""

from __future__ import annotations

import math
import random

from layouts.forms.paint import Painting
from layouts.forms.roof import Place

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
    fir(sheet, "fir", width - 1.0 if left else 1.0, tall, rng)
    crown(sheet, 0.9 if left else width - 0.9, 0.66 * tall, rng)


def fir(sheet: Painting, name: str, middle: float, tall: float, rng: random.Random) -> None:
    """A conifer: whorls of branches that grow shorter to the top."""
    tiers = 10
    side: list[Place] = []
    for tier in range(tiers):
        share = tier / tiers
        reach = 1.18 * (1 - share) ** 0.85 * rng.uniform(0.92, 1.06)
        low = 0.45 + share * (tall - 0.45)
        side += [(reach, low), (0.62 * reach, low + 0.6 * (tall - 0.45) / tiers)]
    right = [(middle + x, y) for x, y in side]
    left = [(middle - x * rng.uniform(0.94, 1.04), y) for x, y in side]
    sheet.paint(name, "hedge", -3, [*right, (middle, tall), *reversed(left)])


def crown(sheet: Painting, middle: float, tall: float, rng: random.Random) -> None:
    """A broad tree: a trunk and three heaps of leaves."""
    foot = 0.17
    sheet.paint(
        "tree-trunk",
        "timber",
        -2.8,
        [
            (middle - foot, 0),
            (middle + foot, 0),
            (middle + 0.7 * foot, 0.5 * tall),
            (middle + foot, 0.75 * tall),
            (middle - foot, 0.75 * tall),
            (middle - 0.8 * foot, 0.5 * tall),
        ],
    )
    for name, x, y, wide, high, depth in (
        ("high", 0.1, 0.99, 1.25, 1.05, -2.7),
        ("right", 0.75, 0.78, 1.1, 0.85, -2.6),
        ("left", -0.65, 0.74, 1.1, 0.8, -2.5),
    ):
        leaves(sheet, f"tree-{name}", (middle + x, y * tall), (wide, high), depth, rng)


def leaves(
    sheet: Painting,
    name: str,
    middle: Place,
    size: tuple[float, float],
    depth: float,
    rng: random.Random,
) -> None:
    """A round heap of leaves."""
    count = 14
    outline = []
    for index in range(count):
        turn = 2 * math.pi * index / count
        out = rng.uniform(0.9, 1.06)
        outline.append(
            (middle[0] + size[0] * out * math.cos(turn), middle[1] + size[1] * out * math.sin(turn))
        )
    sheet.paint(name, "hedge", depth, outline)


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


def pot(sheet: Painting, name: str, middle: float, depth: float) -> None:
    """A clipped ball of box in a pot."""
    rng = random.Random(round(middle * 100))
    low = -0.12 * depth
    sheet.paint(
        name,
        "roof-tile-terracotta",
        depth,
        [
            (middle - 0.14, low),
            (middle + 0.14, low),
            (middle + 0.2, low + 0.44),
            (middle - 0.2, low + 0.44),
        ],
    )
    leaves(sheet, f"{name}-box", (middle, low + 0.72), (0.32, 0.36), depth - 0.05, rng)


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
