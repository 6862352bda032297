"""The house of the invented photograph: every part a flat thing of known size [m].

A gable with its wall in z = 0, and a wing whose wall lies 0.6 m behind it.
"""

from __future__ import annotations

import numpy as np
from photograph import Scene, glass, grass, leaves, noise, paving, plain, shingles, siding, stone

LEFT, RIGHT, RIDGE_X, EAVE, PITCH = 0.8, 6.2, 3.5, 3.1, 0.80
OUT = 0.42  # how far the roof's edges stand out, to the front and to the sides
RIDGE = EAVE + PITCH * (RIDGE_X - LEFT)
WING_Z, WING_END, WING_TOP, WING_EAVE_Z = -0.6, 12.0, 2.75, -0.1
FASCIA = 0.2

CREAM, WHITE, SLATE = (0.66, 0.60, 0.49), (0.80, 0.80, 0.78), (0.175, 0.18, 0.195)
TEAL, OAK = (0.055, 0.17, 0.19), (0.34, 0.20, 0.10)

#: Places on the gable's wall that somebody could find in the photograph and measure.
KNOWN = {
    "foot of the left corner": (LEFT, 0.55),
    "foot of the right corner": (RIGHT, 0.55),
    "right corner below the eave": (RIGHT, 2.75),
    "left corner below the eave": (LEFT, 2.75),
    "attic window, lower left": (3.0, 3.4),
    "attic window, upper right": (4.0, 4.4),
    "window, lower right": (3.6, 0.95),
}


def rake_y(x: np.ndarray) -> np.ndarray:
    """Height of the gable's slopes."""
    return RIDGE - PITCH * np.abs(x - RIDGE_X)


def draw(scene: Scene) -> None:
    garden(scene)
    gable(scene)
    wing(scene)


def garden(scene: Scene) -> None:
    flat, back = (1, 0, 0), (0, 0, 1)

    def near_wall(s, t):
        wall = np.where((s > LEFT) & (s < RIGHT), 0.0, np.where(s < LEFT, 99.0, WING_Z))
        wall = np.where(s > WING_END, -99.0, wall)
        return 1 - 0.45 * np.exp(-np.clip(t - wall, 0, None) / 0.45)

    scene.plane(
        (0, 0, 0), flat, back, [[-60, -40], [70, -40], [70, 13], [-60, 13]], grass, shade=near_wall
    )
    scene.plane(
        (0, 0.006, 0),
        flat,
        back,
        [[8.5, -0.6], [11.7, -0.6], [11.7, 13], [8.5, 13]],
        paving,
        shade=near_wall,
    )
    path = [[4.45, 0.6], [5.75, 0.6], [5.75, 3.2], [8.5, 3.9], [8.5, 5.1], [4.9, 4.2], [4.45, 3.6]]
    scene.plane((0, 0.004, 0), flat, back, path, paving, shade=near_wall)
    for x, z, wide, tall, tone, seed in (
        (-9.0, -10, 6.4, 6.6, 0.075, 1),
        (-4.6, -13, 6.0, 7.4, 0.095, 2),
        (17.6, -9, 6.6, 6.0, 0.085, 3),
        (21, -13, 8, 8.5, 0.070, 4),
        (-14.5, -12, 8, 7.4, 0.08, 5),
        (9.2, -17, 7, 8.2, 0.10, 6),
    ):
        tree(scene, x, z, wide, tall, tone, seed)
    hedge = (0.060, 0.095, 0.035)
    row = [[-40, 0], [60, 0], [60, 1.9], [-40, 1.9]]
    scene.front(row, -7, leaves(hedge, 2), fray=0.12, shade=lambda s, t: 0.55 + 0.28 * t)


def tree(
    scene: Scene, x: float, z: float, wide: float, tall: float, tone: float, seed: int
) -> None:
    """A trunk, and a crown of overlapping round heaps of leaves, light above and dark below."""
    random = np.random.default_rng(seed)
    scene.box(x - 0.16, 0, x + 0.16, tall * 0.5, z - 0.3, plain((0.10, 0.08, 0.06), 0.1))
    colour = np.array([tone, tone * 1.38, tone * 0.42])
    around = np.linspace(0, 2 * np.pi, 25)[:-1]
    for _ in range(26):
        angle, reach = random.uniform(0, 2 * np.pi), np.sqrt(random.uniform(0, 1))
        cx = x + 0.36 * wide * reach * np.cos(angle)
        cy = tall * 0.62 + 0.30 * tall * reach * np.sin(angle)
        r = random.uniform(0.13, 0.22) * wide * (1.1 - 0.4 * reach)
        heap = np.column_stack([cx + r * np.cos(around), cy + 0.86 * r * np.sin(around)])
        lit = random.uniform(0.8, 1.15) * (0.62 + 0.55 * (cy - 0.3 * tall) / tall)

        def shade(s, t, cy=cy, r=r, lit=lit):
            return lit * np.clip(0.82 + 0.36 * (t - cy) / r, 0.4, 1.25)

        scene.front(heap, z + random.uniform(0, 0.5), leaves(colour, 2.6), fray=0.13, shade=shade)


def window(scene: Scene, x0, y0, x1, y1, z, across: int, up: int = 2) -> None:
    low, high = (x0, y0), (x1, y1)
    scene.box(x0 - 0.11, y0 - 0.11, x1 + 0.11, y1 + 0.13, z + 0.035, plain(WHITE), deep=0.035)
    scene.box(x0 - 0.17, y0 - 0.15, x1 + 0.17, y0 - 0.08, z + 0.08, plain(WHITE), deep=0.08)
    scene.box(
        x0,
        y0,
        x1,
        y1,
        z + 0.036,
        lambda s, t: glass(s, t, low, high),
        shade=lambda s, t: 1 - 0.5 * np.exp(-(y1 - t) / 0.07),
    )
    for part in range(1, across):
        x = x0 + (x1 - x0) * part / across
        scene.box(x - 0.022, y0, x + 0.022, y1, z + 0.05, plain(WHITE))
    for part in range(1, up):
        y = y0 + (y1 - y0) * part / up
        scene.box(x0, y - 0.018, x1, y + 0.018, z + 0.05, plain(WHITE))


def gable(scene: Scene) -> None:
    wall = [[LEFT, 0], [RIGHT, 0], [RIGHT, EAVE], [RIDGE_X, RIDGE], [LEFT, EAVE]]
    scene.front(
        wall, 0, siding(CREAM), shade=lambda s, t: 1 - 0.42 * np.exp(-(rake_y(s) - t) / 0.30)
    )
    side = [[0, 0], [-WING_Z, 0], [-WING_Z, EAVE], [0, EAVE]]
    scene.plane(
        (RIGHT, 0, 0), (0, 0, -1), (0, 1, 0), side, siding(CREAM), shade=lambda s, t: 0.72 - 0.2 * s
    )
    scene.box(LEFT - 0.02, 0, RIGHT + 0.02, 0.55, 0.03, stone, deep=0.03)
    for x in (LEFT, RIGHT - 0.14):
        scene.front(
            [[x, 0.55], [x + 0.14, 0.55], [x + 0.14, rake_y(x + 0.07)], [x, rake_y(x + 0.07)]],
            0.02,
            plain(WHITE),
            shade=lambda s, t: 1 - 0.42 * np.exp(-(rake_y(s) - t) / 0.30),
        )
    window(scene, 1.5, 0.95, 3.6, 2.25, 0, 3)
    window(scene, 3.0, 3.4, 4.0, 4.4, 0, 2)
    door(scene)
    # rakes: boards in front, the soffit behind them, tiles on top
    for way in (-1, 1):
        end = RIDGE_X + way * (RIDGE_X - LEFT + OUT)
        foot = RIDGE - PITCH * abs(end - RIDGE_X)
        lift = FASCIA * np.hypot(1, PITCH)
        board = [
            [end, foot - 0.02],
            [end, foot + lift - 0.02],
            [RIDGE_X, RIDGE + lift - 0.02],
            [RIDGE_X, RIDGE - 0.02],
        ]
        scene.front(board, OUT, plain(WHITE))
        tiles = [
            [end + way * 0.05, foot + lift - 0.06],
            [end + way * 0.05, foot + lift + 0.03],
            [RIDGE_X, RIDGE + lift + 0.07],
            [RIDGE_X, RIDGE + lift - 0.03],
        ]
        scene.front(tiles, OUT + 0.03, plain(SLATE, 0.1))
        slope = np.array([way, -PITCH, 0.0]) / np.hypot(1, PITCH)
        long = (RIDGE_X - LEFT + OUT) * np.hypot(1, PITCH)
        scene.plane(
            (RIDGE_X, RIDGE, 0),
            slope,
            (0, 0, 1),
            [[0, 0], [long, 0], [long, OUT], [0, OUT]],
            plain(WHITE),
            shade=lambda s, t: 0.40 + 0.25 * t / OUT,
        )
    # the gable's right slope as it is seen over the wing
    slope = np.array([1, -PITCH, 0.0]) / np.hypot(1, PITCH)
    long = (RIDGE_X - LEFT + OUT) * np.hypot(1, PITCH)
    top = RIDGE + FASCIA * np.hypot(1, PITCH)
    scene.plane(
        (RIDGE_X, top, OUT),
        slope,
        (0, 0, -1),
        [[0, 0], [long, 0], [long, 7], [0, 7]],
        shingles(SLATE),
    )
    for x0, x1, tall, seed in ((1.0, 2.1, 0.62, 1), (2.0, 3.3, 0.78, 2), (3.2, 4.2, 0.55, 3)):
        shrub(scene, x0, x1, tall, 0.75, seed)


def shrub(scene: Scene, x0: float, x1: float, tall: float, z: float, seed: int) -> None:
    around = np.linspace(0, np.pi, 15)
    wide = (x1 - x0) / 2
    dome = np.column_stack([(x0 + x1) / 2 + wide * np.cos(around), tall * np.sin(around) ** 0.6])
    colour = [(0.075, 0.125, 0.040), (0.095, 0.140, 0.050), (0.070, 0.115, 0.055)][seed % 3]
    scene.front(
        dome,
        z,
        leaves(colour, 0.8),
        fray=0.035,
        shade=lambda s, t: 0.42 + 0.8 * np.clip(t / tall, 0, 1),
    )


def door(scene: Scene) -> None:
    x0, x1, y0, y1 = 4.6, 5.6, 0.2, 2.3
    scene.box(x0 - 0.35, 0, x1 + 0.35, 0.2, 0.62, plain((0.47, 0.46, 0.44), 0.05), deep=0.62)
    scene.plane(
        (0, 0.2, 0),
        (1, 0, 0),
        (0, 0, 1),
        [[x0 - 0.35, 0], [x1 + 0.35, 0], [x1 + 0.35, 0.62], [x0 - 0.35, 0.62]],
        plain((0.50, 0.49, 0.47), 0.05),
        shade=lambda s, t: 1 - 0.5 * np.exp(-t / 0.2),
    )
    scene.box(x0 - 0.12, y0, x1 + 0.12, y1 + 0.14, 0.04, plain(WHITE), deep=0.04)
    scene.box(
        x0,
        y0,
        x1,
        y1,
        0.045,
        plain(TEAL, 0.03),
        shade=lambda s, t: 1 - 0.45 * np.exp(-(y1 - t) / 0.1),
    )
    for left in (x0 + 0.12, x0 + 0.56):
        for low, high in ((0.35, 0.95), (1.05, 1.45)):

            def bevel(s, t, a=left, b=low, c=high):
                return 0.80 + 0.36 * ((t - b) / (c - b)) + 0.1 * (s - a)

            scene.box(left, low, left + 0.32, high, 0.05, plain(TEAL, 0.03), shade=bevel)
        scene.box(
            left, 1.58, left + 0.32, 2.12, 0.05, lambda s, t: glass(s, t, (4.2, 1.3), (6.0, 2.2))
        )
    scene.box(x1 - 0.10, 1.16, x1 - 0.05, 1.30, 0.07, plain((0.6, 0.55, 0.4)))
    scene.box(5.82, 1.75, 5.96, 2.05, 0.10, plain((0.05, 0.05, 0.055)), deep=0.10)
    scene.box(5.845, 1.78, 5.935, 1.99, 0.105, plain((0.5, 0.48, 0.40)))


def wing(scene: Scene) -> None:
    z, top = WING_Z, WING_TOP
    scene.box(
        RIGHT,
        0,
        WING_END,
        top,
        z,
        siding(CREAM),
        shade=lambda s, t: (
            (1 - 0.50 * np.exp(-(top - t) / 0.34)) * (1 - 0.25 * np.exp(-(s - RIGHT) / 0.3))
        ),
    )
    scene.box(RIGHT, 0, 8.6, 0.55, z + 0.03, stone)
    scene.box(11.6, 0, WING_END + 0.02, 0.55, z + 0.03, stone, deep=0.03)
    scene.box(
        WING_END - 0.14,
        0.55,
        WING_END,
        top,
        z + 0.02,
        plain(WHITE),
        shade=lambda s, t: 1 - 0.5 * np.exp(-(top - t) / 0.34),
    )
    window(scene, 6.75, 0.95, 8.05, 2.1, z, 2)
    garage(scene)
    # eave: soffit, fascia, gutter, and the roof that rises behind
    deep = WING_EAVE_Z - z
    low = top - 0.17
    end = WING_END + 0.40
    scene.plane(
        (0, low, z),
        (1, 0, 0),
        (0, 0, 1),
        [[RIGHT, 0], [end, 0], [end, deep], [RIGHT, deep]],
        plain(WHITE),
        shade=lambda s, t: 0.34 + 0.25 * t / deep,
    )
    scene.box(RIGHT, low, end, top + 0.02, WING_EAVE_Z, plain(WHITE))
    scene.box(
        RIGHT,
        top - 0.05,
        end + 0.02,
        top + 0.06,
        WING_EAVE_Z + 0.11,
        plain((0.70, 0.70, 0.69)),
        deep=0.11,
    )
    rise = np.array([0, 0.5, -1.0]) / np.hypot(1, 0.5)
    scene.plane(
        (0, top + 0.04, WING_EAVE_Z + 0.04),
        (1, 0, 0),
        rise,
        [[4.4, 0], [end + 0.05, 0], [end + 0.05, 4.9], [4.4, 4.9]],
        shingles(SLATE),
        shade=lambda s, t: 1.12 - 0.03 * t,
    )
    scene.box(11.82, 0.1, 11.90, low, z + 0.09, plain((0.66, 0.66, 0.65)), deep=0.06)
    # chimney
    brick = (0.30, 0.135, 0.095)

    def bricks(s, t):
        row = np.floor(t / 0.075)
        gap = ((t / 0.075) % 1 < 0.14) | (((s + 0.11 * (row % 2)) / 0.22) % 1 < 0.06)
        tone = 0.85 + 0.3 * np.abs(
            np.sin(row * 12.9 + np.floor((s + 0.11 * (row % 2)) / 0.22) * 78.2)
        )
        return np.where(
            gap[..., None],
            [0.34, 0.31, 0.28],
            np.array(brick) * (tone + 0.06 * noise(s, t, 90))[..., None],
        )

    scene.box(9.3, 3.9, 10.1, 5.75, -3.6, bricks, deep=0.8)
    scene.box(9.24, 5.72, 10.16, 5.84, -3.55, plain((0.42, 0.40, 0.37)), deep=0.9)


def garage(scene: Scene) -> None:
    x0, x1, y1, z = 8.9, 11.4, 2.2, WING_Z
    scene.box(x0 - 0.13, 0, x1 + 0.13, y1 + 0.15, z + 0.03, plain(WHITE), deep=0.03)
    scene.box(
        x0,
        0,
        x1,
        y1,
        z + 0.031,
        plain(OAK, 0.05),
        shade=lambda s, t: 1 - 0.55 * np.exp(-(y1 - t) / 0.12),
    )
    grain = lambda s, t: plain(OAK, 0.0)(s, t) * (1 + 0.10 * noise(s * 3, t * 0.3, 60))[..., None]  # noqa: E731
    for row in range(4):
        for column in range(4):
            a, b = x0 + 0.08 + column * 0.605, 0.07 + row * 0.535
            if row == 3:
                scene.box(
                    a,
                    b,
                    a + 0.53,
                    b + 0.42,
                    z + 0.036,
                    lambda s, t: glass(s, t, (8.0, 1.3), (12.5, 2.3)),
                )
                scene.box(a + 0.255, b, a + 0.275, b + 0.42, z + 0.04, plain(OAK))
                continue
            bevel = lambda s, t, b=b: 0.82 + 0.75 * np.clip((t - b) / 0.46, 0, 1) * 0.4  # noqa: E731
            scene.box(a, b, a + 0.53, b + 0.46, z + 0.036, grain, shade=bevel)
