"""Small houses made of records, so that the light of few sources can be followed by hand."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import numpy as np
import pytest

from layouts.records import (
    Channel,
    Drawing,
    House,
    Kind,
    Material,
    Photo,
    Pixels,
    Profile,
    Run,
    Surface,
    Zone,
)
from sim.light import Scene, build

FLUX_LM = np.pi  # so that a Lambertian pixel has an intensity of 1 cd on its aim
GREY = 0.5  # reflectance of every test surface

KIND = Kind(
    name="test",
    channels=(Channel("r", 20, 2.0, FLUX_LM, dominant_nm=620, fwhm_nm=20),),
    supply_v=5,
    law="parallel",
    headroom_v=0.5,
    idle_ma=1,
    min_v=3.5,
    bits=24,
    bit_us=1.25,
    reset_us=280,
    order="grb",
    pwm_hz=2000,
    backup_data=False,
    pitch_m=0.1,
    rail_ohm_per_m=0.1,
    mount="strip",
)


def material(texture: str = "trim", name: str = "") -> Material:
    """A grey material drawn by that texture."""
    return Material(name or texture, texture, (380.0, 730.0), (GREY, GREY))


def wall(
    box: tuple[float, float, float, float], depth_m: float = 0.0, texture: str = "trim"
) -> Surface:
    """A rectangle left, bottom, right, top [m]."""
    x0, y0, x1, y1 = box
    outline = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=float)
    return Surface(f"{texture} {box} {depth_m}", outline, material(texture), depth_m)


def house_of(
    xy_m: list[tuple[float, float]] | np.ndarray,
    *,
    standoff_m: float = 0.5,
    aim: tuple[float, float, float] = (0, 0, -1),
    surfaces: tuple[Surface, ...] = (),
    size_m: tuple[float, float] = (10, 6),
    viewer_m: float = 10.0,
    half_deg: float = 60.0,
    transmission: float = 1.0,
    photo: Photo | None = None,
) -> House:
    """One run of pixels at given places."""
    xy = np.array(xy_m, dtype=float).reshape(-1, 2)
    count = len(xy)
    profile = Profile("test", transmission, half_deg, 0.01)
    run = Run("run", KIND, xy, count, 0, 0.1, 1.0, "down", standoff_m, profile, 0)
    pixels = Pixels(
        xy,
        np.full(count, standoff_m),
        np.tile(np.array(aim, dtype=float) / np.linalg.norm(aim), (count, 1)),
        np.zeros(count, dtype=int),
        np.arange(count) * 0.1,
        np.zeros(count, dtype=bool),
    )
    zone = Zone("all", np.arange(count), pixels.along_m, 1.0)
    drawing = Drawing(size_m, viewer_m, surfaces, photo)
    return House(
        "test",
        "test.yaml",
        20,
        None,
        drawing,
        (run,),
        MappingProxyType({"all": zone}),
        (),
        (),
        (),
        pixels,
    )


def scene_of(house: House, size_px: tuple[int, int] = (320, 180), hour: str = "evening") -> Scene:
    """The house ready to be lit: neutral light, grey surfaces."""
    made = np.zeros((4, 3))
    made[0] = FLUX_LM  # Rec. 709 luminance of (1, 1, 1) is 1
    names = {s.material.name for s in house.drawing.surfaces}
    back = {(KIND, name): made * GREY for name in names}
    return build(house, size_px, emitted={KIND: made}, reflected=back, hour=hour)


def full(house: House) -> np.ndarray:
    """(N, 4) every pixel's one channel fully on."""
    light = np.zeros((len(house.pixels), 4), dtype=np.float32)
    light[:, 0] = 1
    return light


@pytest.fixture(name="wall")
def _wall() -> Callable[..., Surface]:
    return wall


@pytest.fixture(name="house_of")
def _house_of() -> Callable[..., House]:
    return house_of


@pytest.fixture(name="scene_of")
def _scene_of() -> Callable[..., Scene]:
    return scene_of


@pytest.fixture(name="full")
def _full() -> Callable[[House], np.ndarray]:
    return full
