"""The invented photograph of demo/photo: a house that nobody built, by a pinhole of our own.

    .venv/bin/python demo/pictures/photograph.py       writes demo/photo/house.jpg and prints points

Planes of known size are painted by rays, under a dull sky, with a little lens distortion and noise.
The wall of the gable is z = 0; z grows towards the camera. Nothing in it was photographed.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from layouts.photograph import to_ideal, to_seen

SIZE = (2000, 1400)
SUB = 2  # rays a pixel's side
LENS = (-0.035, 0.0)
EYE = np.array([8.1, 1.65, 14.0])
TURN_DEG, TILT_DEG, FOCAL_PX = 7.5, -4.2, 1840.0
SAYS = "Invented: painted by Evenfall's own code, no photograph of any house"


def tile(seed: int, octaves: int = 6, side: int = 512) -> np.ndarray:
    """A square of noise that repeats, mean 0, deviation 1."""
    random = np.random.default_rng(seed)
    total = np.zeros((side, side))
    for octave in range(octaves):
        total += gaussian_filter(random.normal(size=(side, side)), 2.0**octave, mode="wrap") * (
            1.9**octave
        )
    return (total - total.mean()) / total.std()


TILES = [tile(seed) for seed in range(4)]
GRAIN = np.random.default_rng(9).normal(size=(512, 512))


def noise(s: np.ndarray, t: np.ndarray, per_m: float, which: int = 0) -> np.ndarray:
    source = GRAIN if which < 0 else TILES[which]
    return map_coordinates(source, [t * per_m, s * per_m], order=1, mode="grid-wrap")


def hashed(*whole: np.ndarray) -> np.ndarray:
    """Whole numbers -> 0..1, the same for the same."""
    mixed = sum(
        each.astype(np.int64) * prime for each, prime in zip(whole, (7919, 104729), strict=False)
    )
    mixed = (mixed ^ (mixed >> 7)) * 2654435761 & 0xFFFFFFFF
    return ((mixed ^ (mixed >> 15)) & 0xFFFF) / 65535


def painted(colour, factor):
    return np.array(colour) * np.asarray(factor)[..., None]


def siding(colour, board=0.16):
    def paint(s, t):
        row, part = np.floor(t / board), (t / board) % 1
        tone = 1 + 0.035 * (hashed(row) - 0.5) + 0.018 * noise(s * 0.25, t, 90)
        tone *= np.where(part < 0.10, 0.62 + 3.0 * part, 1.0) * (1.04 - 0.07 * part)
        joint = np.abs((s + 2.7 * hashed(row, row)) % 3.6) < 0.008
        return painted(colour, tone * np.where(joint, 0.8, 1.0))

    return paint


def shingles(colour):
    def paint(s, t):
        row = np.floor(t / 0.15)
        tab = np.floor((s + 0.16 * (row % 2) + 0.05 * hashed(row)) / 0.32)
        tone = 0.86 + 0.3 * hashed(row, tab) + 0.07 * noise(s, t, 160) + 0.05 * noise(s, t, 14, 1)
        edge = ((t / 0.15) % 1 < 0.13) | (((s + 0.16 * (row % 2)) / 0.32) % 1 < 0.04)
        return painted(colour, tone * np.where(edge, 0.68, 1.0))

    return paint


def plain(colour, rough=0.012):
    return lambda s, t: painted(colour, 1 + rough * noise(s, t, 120) + rough * noise(s, t, 20, 1))


def stone(s, t):
    row = np.floor(t / 0.17)
    wide = 0.30 + 0.14 * hashed(row)
    cell = np.floor((s + 0.4 * hashed(row, row)) / wide)
    tone = 0.75 + 0.45 * hashed(row, cell) + 0.07 * noise(s, t, 120)
    gap = ((t / 0.17) % 1 < 0.09) | (((s + 0.4 * hashed(row, row)) / wide) % 1 < 0.045)
    return np.where(gap[..., None], [0.36, 0.34, 0.31], painted((0.40, 0.38, 0.35), tone))


def grass(s, t):
    blades = 0.30 * noise(s, t, 40, -1) + 0.16 * noise(s, t * 0.6, 150, 1)
    patches = 0.07 * noise(s, t, 9, 2) + 0.06 * np.tanh(4 * np.sin((s + 0.2 * t) * 2 * np.pi / 1.3))
    dry = np.clip(0.25 * noise(s, t, 6, 3), 0, 1)[..., None]
    green = painted((0.120, 0.180, 0.058), np.clip(1 + blades + patches, 0.3, 1.9))
    return green * (1 - dry) + green * dry * np.array([1.35, 1.05, 1.0])


def paving(s, t):
    row = np.floor(t / 0.6)
    tone = 0.94 + 0.10 * hashed(row, np.floor(s / 0.6)) + 0.04 * noise(s, t, 120)
    gap = ((t / 0.6) % 1 < 0.025) | ((s / 0.6) % 1 < 0.025)
    return painted((0.46, 0.45, 0.42), tone * np.where(gap, 0.62, 1.0))


def leaves(colour, coarse=1.0):
    def paint(s, t):
        clump = 0.30 * noise(s, t, 22 / coarse, 2) + 0.26 * noise(s, t, 75 / coarse, 1)
        fine = 0.20 * noise(s, t, 150 / coarse, 0)
        return painted(colour, np.clip(0.95 + clump + fine, 0.18, 2.2))

    return paint


def glass(s, t, low, high):
    """Panes mirror the dull sky above and the garden below; curtains stand behind."""
    up = np.clip((t - low[1]) / (high[1] - low[1]), 0, 1)
    side = np.abs((s - low[0]) / (high[0] - low[0]) - 0.5) * 2
    dark = np.array([0.035, 0.045, 0.055])
    mirror = np.array([0.20, 0.25, 0.31]) * (0.15 + 0.85 * up**1.6)[..., None]
    curtain = np.clip((side - 0.62) * 8, 0, 1) * (0.85 + 0.15 * np.sin(s * 60))
    return dark + mirror * 0.8 + curtain[..., None] * np.array([0.20, 0.19, 0.17])


class Scene:
    """A camera and its picture, with the nearest thing a ray has met so far."""

    def __init__(self) -> None:
        a, b = np.radians([TURN_DEG, TILT_DEG])
        about_y = np.array([[np.cos(a), 0, -np.sin(a)], [0, 1, 0], [np.sin(a), 0, np.cos(a)]])
        about_x = np.array([[1, 0, 0], [0, np.cos(b), np.sin(b)], [0, -np.sin(b), np.cos(b)]])
        self.turned = about_x.T @ np.diag([1.0, -1.0, -1.0]) @ about_y
        wide, tall = (side * SUB for side in SIZE)
        v, u = np.mgrid[0:tall, 0:wide].astype(float)
        ideal = to_ideal(np.stack([(u + 0.5) / SUB, (v + 0.5) / SUB], axis=-1), LENS, SIZE)
        ray = np.concatenate(
            [(ideal - np.array(SIZE) / 2) / FOCAL_PX, np.ones((tall, wide, 1))], axis=-1
        )
        self.ray = ray @ self.turned  # in the world, so many times the depth
        self.far = np.full((tall, wide), np.inf)
        self.light = np.zeros((tall, wide, 3))
        self.sky()

    def pixels(self, xyz: np.ndarray) -> np.ndarray:
        """(..., 3) of the world -> (..., 2) pixels as the picture shows them."""
        seen = (np.asarray(xyz, dtype=float) - EYE) @ self.turned.T
        ideal = FOCAL_PX * seen[..., :2] / seen[..., 2:] + np.array(SIZE) / 2
        return to_seen(ideal, LENS, SIZE)

    def sky(self) -> None:
        way = self.ray / np.linalg.norm(self.ray, axis=-1, keepdims=True)
        up = np.clip(way[..., 1], 0.0, 1)
        cloud = noise(way[..., 0] / (up + 0.25), 1 / (up + 0.25), 60, 3)
        haze = 0.5 + 0.08 * np.clip(cloud, -1.6, 1.6)
        blue = np.array([0.44, 0.57, 0.76]) * (1.06 - 0.75 * up)[..., None]
        white = np.array([0.76, 0.79, 0.82])
        self.light[:] = blue * (1 - haze[..., None]) + white * haze[..., None]

    def plane(self, origin, along, upward, outline, paint, *, shade=None, fray=0.0):
        """A flat thing: outline (K, 2) in metres along two ways from its origin."""
        origin, along, upward = (np.asarray(each, dtype=float) for each in (origin, along, upward))
        outline = np.asarray(outline, dtype=float)
        corners = origin + outline[:, :1] * along + outline[:, 1:] * upward
        ahead = (corners - EYE) @ self.turned.T
        uv = self.pixels(corners) * SUB if (ahead[:, 2] > 0.3).all() else np.full((1, 2), np.nan)
        if np.isfinite(uv).all():
            low = np.floor(uv.min(axis=0)).astype(int) - 12 - int(fray * 400)
            high = np.ceil(uv.max(axis=0)).astype(int) + 12 + int(fray * 400)
        else:
            low, high = np.array([0, 0]), np.array(self.far.shape[::-1])
        (u0, v0), (u1, v1) = np.maximum(low, 0), np.minimum(high, self.far.shape[::-1])
        if u0 >= u1 or v0 >= v1:
            return
        at = slice(v0, v1), slice(u0, u1)
        ray = self.ray[at]
        normal = np.cross(along, upward)
        with np.errstate(divide="ignore", invalid="ignore"):
            depth = ((origin - EYE) @ normal) / (ray @ normal)
        place = EYE + ray * depth[..., None] - origin
        s, t = place @ along, place @ upward
        ds, dt = (fray * noise(s, t, 26, 1), fray * noise(s, t, 34, 2)) if fray else (0.0, 0.0)
        met = inside(outline, s + ds, t + dt) & (depth > 0.1) & (depth < self.far[at])
        if not met.any():
            return
        s, t = s[met], t[met]
        colour = paint(s, t)
        if shade is not None:
            colour = colour * np.asarray(shade(s, t))[..., None]
        self.light[at][met] = colour
        self.far[at][met] = depth[met]

    def front(self, outline, z, paint, **more):
        self.plane((0, 0, z), (1, 0, 0), (0, 1, 0), outline, paint, **more)

    def box(self, x0, y0, x1, y1, z, paint, deep=0.0, **more):
        self.front([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], z, paint, **more)
        if deep:  # the edges that stand forward: under side, and the side towards the camera
            under = lambda s, t: paint(s, t) * 0.5  # noqa: E731
            self.plane(
                (0, y0, z), (1, 0, 0), (0, 0, -1), [[x0, 0], [x1, 0], [x1, deep], [x0, deep]], under
            )
            side = lambda s, t: paint(s, t) * 0.78  # noqa: E731
            self.plane(
                (x1, 0, z), (0, 0, -1), (0, 1, 0), [[0, y0], [deep, y0], [deep, y1], [0, y1]], side
            )


def inside(outline, x, y):
    found = np.zeros(x.shape, dtype=bool)
    for (ax, ay), (bx, by) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if ay != by:
            found ^= ((ay > y) != (by > y)) & (x < ax + (y - ay) / (by - ay) * (bx - ax))
    return found


def developed(light: np.ndarray) -> Image.Image:
    """Linear light -> a picture as a telephone takes it: averaged, vignetted, noisy, in sRGB."""
    wide, tall = SIZE
    linear = light.reshape(tall, SUB, wide, SUB, 3).mean(axis=(1, 3))
    v, u = np.mgrid[0:tall, 0:wide]
    r2 = ((u - wide / 2) ** 2 + (v - tall / 2) ** 2) / (wide**2 + tall**2) * 4
    linear = linear * (1.06 - 0.16 * r2)[..., None]
    random = np.random.default_rng(2)
    linear += random.normal(size=linear.shape) * (0.004 + 0.010 * np.sqrt(np.clip(linear, 0, None)))
    linear = np.clip(linear * 1.12, 0, None)
    linear = np.where(linear > 0.7, 0.7 + 0.3 * (1 - np.exp(-(linear - 0.7) / 0.3)), linear)
    srgb = np.where(linear < 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return Image.fromarray(np.clip(srgb * 255 + 0.5, 0, 255).astype(np.uint8))


def main() -> None:
    from photographed_house import KNOWN, draw

    scene = Scene()
    draw(scene)
    exif = Image.Exif()
    exif[270] = SAYS  # ImageDescription
    target = Path(__file__).resolve().parents[1] / "photo" / "house.jpg"
    target.parent.mkdir(exist_ok=True)
    developed(scene.light).save(target, quality=82, exif=exif, comment=SAYS, optimize=True)
    print(f"{target}: {target.stat().st_size / 1000:.0f} kB, camera at {EYE.tolist()}")
    for name, (x, y) in KNOWN.items():
        u, v = scene.pixels(np.array([x, y, 0.0]))
        print(f"      - {{pixel: [{u:.0f}, {v:.0f}], at: [{x:g}, {y:g}]}}    # {name}")


if __name__ == "__main__":
    main()
