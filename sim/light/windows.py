"""Which windows are lit at an hour, and what they throw on garden and wall."""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.records import Drawing, House, Surface
from sim.light.materials.noise import hash01
from sim.light.night import Hour
from sim.light.sources import Sources, Tree, tree_of

LANTERN_M = 0.3  # a lit glass narrower than this, and not twice as tall, is a lantern
#: Lamplight of about 2400 K as linear sRGB of luminance 1.
COLOUR = np.array([1.0, 0.49, 0.105])
COLOUR /= COLOUR @ LUMINANCE
PANE_M = 0.5  # a smaller glass does not show that somebody is at home
ROOM_M = (2.4, 2.6)  # windows this near to each other belong to one room
_WINDOW, _LANTERN = 0.35, 9.0  # mean luminance in units of the hour's windows, as they are drawn


def is_lantern(surface: Surface) -> bool:
    """Whether a lit glass is a lamp at the door and no window."""
    wide, tall = np.ptp(surface.outline_m, axis=0)
    return bool(wide < LANTERN_M and tall < 2 * LANTERN_M)


def share_up(drawing: Drawing, hour: Hour) -> float:
    """The share of windows that are lit: the drawing's own, or the hour's; if any, at least one."""
    up = hour.windows_lit if drawing.lit_windows is None else drawing.lit_windows
    awake = [
        _awake(s)
        for s in drawing.surfaces
        if s.material.texture == "glass_lit"
        and s.lit is None
        and np.ptp(s.outline_m, axis=0).min() > PANE_M
    ]
    return max(up, min(awake) + 1e-6) if up > 0 and awake else up


def _awake(surface: Surface) -> float:
    """0..1: who lives behind a window goes to bed when fewer than this share are lit."""
    x, y = surface.outline_m.mean(axis=0)
    return float(hash01(np.array([int(x / ROOM_M[0])]), int(y / ROOM_M[1]), 5)[0])


def lit_part(surface: Surface, hour: Hour, share: float | None = None) -> float:
    """How bright a lit glass is at this hour, 0..1 of the hour's windows.

    What the surface says of itself holds. Else lanterns are lit, and the windows where somebody is
    still up: `share` of them, left out the hour's. Who is up is settled by the place of the room,
    so it is the same in every picture, and who is up late was up before.
    """
    if surface.material.texture != "glass_lit":
        return 0.0
    if surface.lit is not None:
        return surface.lit
    up = hour.windows_lit if share is None else share
    return float(is_lantern(surface) or _awake(surface) < up)


def lamps_of(house: House, hour: Hour) -> Tree | None:
    """Every lit glass as a source whose light is 1: windows shine outwards, lanterns all round.

    None where nothing is lit.
    """
    place, aim, power, candela = [], [], [], []
    up = share_up(house.drawing, hour)
    for surface in house.drawing.surfaces:
        part = lit_part(surface, hour, up)
        if not part:
            continue
        wide, tall = np.ptp(surface.outline_m, axis=0)
        middle = [*surface.outline_m.mean(axis=0), surface.depth_m + 0.12]
        if is_lantern(surface):  # two half spaces of even intensity, up and down
            place += [middle, middle]
            aim += [[0.0, -1.0, 0.0], [0.0, 1.0, 0.0]]
            power += [0.0, 0.0]
            candela += [part * _LANTERN * wide * tall] * 2
        else:
            place.append(middle)
            aim.append([0.0, 0.0, 1.0])
            power.append(1.0)
            candela.append(part * _WINDOW * wide * tall)
    if not place:
        return None
    count = len(place)
    return tree_of(
        Sources(
            np.array(place, dtype=float),
            np.array(aim, dtype=float),
            np.zeros((count, 2)),
            np.array(power),
            hour.window_cd_m2 * np.array(candela, dtype=float),
            seen_per_sr=np.zeros(count),
            mirrored_per_sr=np.zeros(count),
            spot_m=np.ones(count),
            kind=np.zeros(count, dtype=np.int64),
            run=np.arange(count),
            kinds=("lamp",),
        )
    )
