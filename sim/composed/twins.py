"""Fields that have a compiled twin: a function of the same arguments that returns the same numbers.

A twin walks once over the pixels where plain arrays take twenty steps. It is loaded or compiled
when it is first called, so one moment of a scheme has its plain fields; a field that is not here,
such as one of another package, always has.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from effects.bands import kept_bands
from effects.effect import Effect, Field, Settings
from effects.fields import (
    banner,
    chase,
    crossing,
    dart,
    flurry,
    gather,
    glint,
    hearth,
    repaint,
    rings,
    thaw,
    twinkle,
    wander,
    wick,
)
from effects.noise import mesh_of, share
from effects.place import LayerPlace
from effects.shape import FULL, soft_part, travelled
from layouts.kept_with import kept_with_first
from sim.composed import band_kernel, noise_kernel

#: Frames from which on a twin is worth being loaded.
_MANY = 8
#: So long a time has at most 2³¹ turns of anything, whatever is set, in a house of 100 km [s].
_LONGEST_S = 1e7

_Pair = tuple[np.ndarray, np.ndarray]


def field_of(effect: Effect, time_s: np.ndarray, place: LayerPlace) -> Field:
    """The field of an effect for these times (T, 1) and pixels: compiled where that is quicker."""
    twin = TWINS.get(effect.field)
    many = len(time_s) >= _MANY
    if twin is None or not many or not np.abs(time_s).max() <= _LONGEST_S:
        return effect.field
    return twin


def _empty(time_s: np.ndarray, place: LayerPlace) -> np.ndarray:
    return np.empty((len(time_s), len(place.along_m)), np.float32)


def _glint(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    kept = glint.kept(place, seed, settings["rate"], settings["length"])
    position, level = _empty(time_s, place), _empty(time_s, place)
    quicker = np.float32(1 / glint.RISE)
    noise_kernel.glint(time_s.ravel(), *kept, quicker, float(colours), position, level)
    return position, level


def _twinkle(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    kept = twinkle.kept(place, seed, settings["every"])
    position, level = _empty(time_s, place), _empty(time_s, place)
    lit = np.float32(settings["share"])
    noise_kernel.twinkle(time_s.ravel(), *kept, lit, float(colours), position, level)
    return position, level


def _thaw(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    columns = thaw.columns(place, seed, settings["width"], thaw.drop_s(settings), settings["every"])
    heights = thaw.heights(place, settings["tail"], settings["run"])
    position, level = _empty(time_s, place), _empty(time_s, place)
    speed, tail_m = np.float32(settings["speed"]), np.float32(settings["tail"])
    noise_kernel.thaw(
        time_s.ravel(), columns, heights, speed, tail_m, float(colours), position, level
    )
    return position, level


def _flurry(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    position, level = _empty(time_s, place), _empty(time_s, place)
    size_m, gap_m = settings["size"], settings["gap"]
    noise_kernel.flurry(
        *(time_s.ravel(), (time_s * settings["wind"]).ravel(), np.uint32(seed & 0xFFFFFFFF)),
        *(*_columns(place), size_m, gap_m, np.float32(settings["speed"])),
        *(flurry.half(size_m, gap_m), float(colours), position, level),
    )
    return position, level


def _wick(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    key, flame, away = wick.kept(place, seed, settings["spacing"], settings["size"])
    position, level = _empty(time_s, place), _empty(time_s, place)
    phase, other = (time_s * settings["flicker"]).ravel(), key + np.uint32(1)
    noise_kernel.wick(
        *(phase * wick.DUCK, phase * wick.UNSTEADY, (key, _offset(key)), (other, _offset(other))),
        *(_unsigned(flame), away, np.float32(colours - 1), position, level),
    )
    return position, level


def _wander(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    spread = np.float32(settings["spread"] * colours)
    moved = travelled(time_s, wander.ONWARD / settings["every"], colours)
    phase = time_s / settings["every"]
    return _patches(place, phase, settings["size"], seed, spread, moved), FULL


def _hearth(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    phase, size_m, still = time_s * settings["pace"], settings["size"], np.zeros_like(time_s)
    one, nothing = np.float32(1), still.astype(np.float32)
    glow = _patches(place, phase * hearth.SLOW, size_m * hearth.WIDE, seed, one, nothing)
    glow += _patches(place, phase, size_m, seed + 1, one, nothing)
    return hearth.burning(glow, colours)


def _patches(
    place: LayerPlace,
    phase: np.ndarray,
    size_m: float,
    seed: int,
    scale: np.float32,
    moved: np.ndarray,
) -> np.ndarray:
    mesh, noise = mesh_of(place, size_m, seed), _empty(phase, place)
    corners = tuple(_unsigned(corner) for corner in mesh.corners)
    noise_kernel.patches(
        *(phase.ravel(), mesh.key, _offset(mesh.key), corners, mesh.right, mesh.up),
        *(scale, moved.ravel(), noise),
    )
    return noise


def _chase(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    band_m, step_m = settings["band"], settings["band"] + settings["gap"]
    gone_m = travelled(time_s, settings["speed"], colours * step_m)
    position, level = _empty(time_s, place), _empty(time_s, place)
    kept = kept_bands(place, band_m, step_m, settings["soft"])
    band_kernel.chase((gone_m / np.float32(step_m)).ravel(), kept, position, level)
    return position, level


def _crossing(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    band_m, step_m = settings["band"], settings["band"] + settings["gap"]
    gone = travelled(time_s, settings["speed"], colours * step_m).ravel()
    position, level = _empty(time_s, place), _empty(time_s, place)
    kept = kept_bands(place, band_m, step_m, settings["soft"])
    there, back = gone / np.float32(step_m), -gone / np.float32(step_m)
    band_kernel.crossing(there, back, kept, np.float32(colours), position, level)
    return position, level


def _banner(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    return _stairs(place.towards(settings["angle"]), time_s, place, settings, colours), FULL


def _rings(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    away_m = rings.away_m(place, settings["across"], settings["up"])
    return _stairs(away_m, time_s, place, settings, colours), FULL


def _repaint(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    whole, front_m = repaint.travel(time_s, place, settings, colours)
    position, width_m = _empty(time_s, place), repaint.edge_m(place, settings)
    once = np.ones(len(time_s), np.float32)
    band_kernel.edge(front_m.ravel(), place.along_m, width_m, once, whole.ravel(), position)
    return position, FULL


def _gather(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    number, front_m, left = gather.travel(time_s, place, settings)
    level, nothing = _empty(time_s, place), np.zeros(len(time_s), np.float32)
    ends = gather.ends(place, settings)
    band_kernel.edge(front_m.ravel(), *ends, left.ravel(), nothing, level)
    return (number % colours).astype(np.float32), level


def _dart(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> _Pair:
    number, front_m = dart.travel(time_s, place, settings)
    level, head_m = _empty(time_s, place), dart.head_m(settings, place)
    tail_m = np.float32(settings["tail"])
    band_kernel.dart(front_m.ravel(), place.along_m, head_m, tail_m, level)
    return (number % colours).astype(np.float32), level


def _stairs(
    first_m: np.ndarray, time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int
) -> np.ndarray:
    width_m, position = settings["width"], _empty(time_s, place)
    moved_m = travelled(time_s, settings["speed"], colours * width_m)
    ramp = np.maximum(soft_part(place.pitch_m, settings), np.float32(1e-6))
    band_kernel.stairs(first_m, moved_m.ravel(), np.float32(1 / width_m), ramp, position)
    return position


@kept_with_first
def _columns(place: LayerPlace) -> _Pair:
    """x and y [m] of the pixels, each (M,) by itself."""
    x_m, y_m = place.xy_m.T
    return np.ascontiguousarray(x_m), np.ascontiguousarray(y_m)


def _offset(key: np.ndarray) -> np.ndarray:
    """At which part of a step each key turns, float64."""
    return share(key).astype(np.float64)


def _unsigned(index: np.ndarray) -> np.ndarray:
    """Compiled code need not ask of such an index whether it counts from the end."""
    return index.view(np.uint64)


#: By the field, not by the name: what is asked for is the same numbers.
TWINS: Mapping[Field, Field] = MappingProxyType(
    {
        banner.BANNER.field: _banner,
        chase.CHASE.field: _chase,
        crossing.CROSSING.field: _crossing,
        dart.DART.field: _dart,
        flurry.FLURRY.field: _flurry,
        gather.GATHER.field: _gather,
        glint.GLINT.field: _glint,
        hearth.HEARTH.field: _hearth,
        repaint.REPAINT.field: _repaint,
        rings.RINGS.field: _rings,
        thaw.THAW.field: _thaw,
        twinkle.TWINKLE.field: _twinkle,
        wander.WANDER.field: _wander,
        wick.WICK.field: _wick,
    }
)
