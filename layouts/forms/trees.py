"""Trees and shrubs: a trunk with roots, limbs, and heaps of leaves at their ends.

Seeded by where they stand; proportions by eye [common practice, no source].
"""

from __future__ import annotations

import math
import random

from layouts.forms.paint import Painting
from layouts.forms.roof import Place


def broad(
    sheet: Painting, name: str, middle: float, tall: float, depth: float, *, spread: float = 1.0
) -> None:
    """A broad tree: limbs that fork from a trunk, leaves behind and before them."""
    rng = random.Random(round(middle * 100 + tall * 7))
    foot = 0.028 * tall
    fork = (middle + rng.uniform(-0.15, 0.15), rng.uniform(0.3, 0.36) * tall)
    ends = _ends(middle, tall, spread, rng)
    for number, (end, size) in enumerate(ends[::2], 1):
        back = (end[0] * 0.9 + middle * 0.1, end[1] + 0.05 * tall)
        heap(sheet, f"{name}-leaves-back-{number}", back, size, depth, rng)
    for number, (end, _) in enumerate(ends, 1):
        sheet.paint(f"{name}-limb-{number}", "bark", depth, _limb(fork, end, foot))
    sheet.paint(f"{name}-trunk", "bark", depth, _trunk(middle, fork, foot, rng))
    for number, (end, size) in enumerate(ends[1::2] + ends[:1], 1):
        own = (0.86 * size[0], 0.8 * size[1])
        heap(sheet, f"{name}-leaves-{number}", end, own, depth, rng)


def _ends(
    middle: float, tall: float, spread: float, rng: random.Random
) -> list[tuple[Place, tuple[float, float]]]:
    """Where limbs end, and how large the heap of leaves there is: low outside, high within."""
    made = []
    for turn, out, level in (
        (-1, 0.34, 0.56), (1, 0.36, 0.6), (-1, 0.24, 0.76), (1, 0.22, 0.8), (-1, 0.02, 0.9),
        (1, 0.08, 0.6),
    ):  # fmt: skip
        x = middle + turn * spread * tall * out * rng.uniform(0.85, 1.15)
        y = tall * level * rng.uniform(0.95, 1.03)
        wide = spread * tall * rng.uniform(0.16, 0.22)
        made.append(
            ((x, y), (wide, min(0.62 * wide / spread + 0.03 * tall, tall - y + 0.02 * tall)))
        )
    return made


def _trunk(middle: float, fork: Place, foot: float, rng: random.Random) -> list[Place]:
    """From root to root: five roots grip the ground, the trunk narrows and leans a little."""
    roots = [
        (middle + foot * x, y * foot)
        for x, y in ((-3.0, -1.0), (-2.2, -0.2), (-1.6, -0.8), (-0.8, -0.3), (0.1, -0.9),
                     (0.9, -0.3), (1.7, -0.9), (2.3, -0.1), (3.2, -0.7))
    ]  # fmt: skip
    right, left = [], []
    for share in (0.06, 0.16, 0.32, 0.6, 0.85, 1.0):
        y = share * fork[1]
        half = foot * (0.85 + 1.5 * math.exp(-12 * share)) * rng.uniform(0.95, 1.06)
        at = middle + (fork[0] - middle) * share**1.5
        right.append((at + half, y))
        left.append((at - half, y))
    return [*roots, *right, *reversed(left)]


def _limb(start: Place, end: Place, foot: float) -> list[Place]:
    """A bough that leaves the trunk steeply and bends outwards, thinner to its end."""
    bend = (start[0] + 0.35 * (end[0] - start[0]), start[1] + 0.75 * (end[1] - start[1]))
    right, left = [], []
    for step in range(6):
        t = step / 5
        x = (1 - t) ** 2 * start[0] + 2 * t * (1 - t) * bend[0] + t * t * end[0]
        y = (1 - t) ** 2 * (start[1] - foot) + 2 * t * (1 - t) * bend[1] + t * t * end[1]
        dx = 2 * (1 - t) * (bend[0] - start[0]) + 2 * t * (end[0] - bend[0])
        dy = 2 * (1 - t) * (bend[1] - start[1]) + 2 * t * (end[1] - bend[1])
        half = 0.62 * foot * (1 - 0.82 * t) / max(math.hypot(dx, dy), 1e-6)
        right.append((x + half * dy, y - half * dx))
        left.append((x - half * dy, y + half * dx))
    return [*right, *reversed(left)]


def heap(
    sheet: Painting,
    name: str,
    middle: Place,
    size: tuple[float, float],
    depth: float,
    rng: random.Random,
    material: str = "leaves",
) -> None:
    """A heap of leaves: round above, flatter and ragged below."""
    count = 13
    outline = []
    for index in range(count):
        turn = 2 * math.pi * index / count
        out = rng.uniform(0.84, 1.12)
        rise = math.sin(turn) * (1.0 if math.sin(turn) > 0 else 0.55)
        outline.append(
            (middle[0] + size[0] * out * math.cos(turn), middle[1] + size[1] * out * rise)
        )
    sheet.paint(name, material, depth, outline)


def fir(sheet: Painting, name: str, middle: float, tall: float, depth: float) -> None:
    """A conifer: whorls of boughs that grow shorter to the top, a trunk and roots below."""
    rng = random.Random(round(middle * 100 + tall))
    foot = 0.018 * tall
    sheet.paint(f"{name}-trunk", "bark", depth,
                _trunk(middle, (middle, 0.2 * tall), foot, rng))  # fmt: skip
    tiers = max(9, round(2.2 * tall))
    low = 0.09 * tall
    sides: list[list[Place]] = []
    for way in (1, -1):
        side: list[Place] = []
        for tier in range(tiers):
            share = tier / tiers
            reach = 0.2 * tall * (1 - share) ** 0.9 * rng.uniform(0.82, 1.1)
            at = low + share * (tall - low)
            each = (tall - low) / tiers
            side += [
                (middle + way * reach, at - 0.15 * each),
                (middle + way * 0.5 * reach, at + 0.75 * each),
            ]
        sides.append(side)
    sheet.paint(name, "needles", depth, [*sides[0], (middle, tall), *reversed(sides[1])])
