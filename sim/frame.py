"""One instant of a house: everything, from the colour asked to the light.

The same 8-bit codes that would go down the wire drive the current, the voltage and the picture.
`sim.circuit`, `sim.colour` and `sim.light` know nothing of each other; they meet here. Every step
can be called alone: `effects.asked` → `codes_of` → `frame_of` → `light_of`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from effects import Scheme, Show, asked
from layouts.errors import UnmixableKind
from layouts.kind_place import located
from layouts.records import CHANNELS, House, Kind
from sim.circuit import Network, Solution, build, solve
from sim.colour import Mixer, codes, emitted_rgb, mixer, reflected_rgb
from sim.composed import lay

if TYPE_CHECKING:
    from sim.light import Scene


@dataclass(frozen=True, eq=False)
class Rig:
    """A house made ready to be asked for frames."""

    house: House
    network: Network
    mixer: Mixer


@dataclass(frozen=True, eq=False)
class Frame:
    """All quantities of one time, or of T times with a leading axis T.

    N pixels, S supplies, W wires; the last axis of colours is r, g, b and of channels
    `house.channels`: C, four unless a kind has a second white.
    """

    time_s: np.ndarray  # () or (T,) [s]
    codes: np.ndarray  # (..., N, C) uint8, as on the wire
    solution: Solution
    asked: np.ndarray | None = None  # (..., N, 3); None where codes came from elsewhere

    @property
    def volts(self) -> np.ndarray:
        """(..., N) [V] at each pixel."""
        return self.solution.volts

    @property
    def amps(self) -> np.ndarray:
        """(..., N) [A] drawn by each pixel."""
        return self.solution.amps

    @property
    def dim(self) -> np.ndarray:
        """(..., N, C) factor by which the voltage dims each channel; see `sim.circuit.law.dim`."""
        return self.solution.dim

    @property
    def supply_a(self) -> np.ndarray:
        """(..., S) [A] out of each supply."""
        return self.solution.supply_a

    @property
    def wire_a(self) -> np.ndarray:
        """(..., W) [A] through each wire, positive from its start to its end."""
        return self.solution.wire_a

    @property
    def light(self) -> np.ndarray:
        """(..., N, C) share 0..1 of each channel's full light: duty × dim."""
        return light_of(self.codes, self.dim)


def rig(
    house: House, *, colour: str = "matched", white: str | float = "most", gamma: float = 2.2
) -> Rig:
    """The house with its network built and its colour mixing prepared.

    Raises EvenfallError for a kind whose colours cannot be mixed, told by its line and column.
    """
    try:
        mixing = mixer(house, colour=colour, white=white, gamma=gamma)
    except UnmixableKind as error:
        raise located(error, house) from None
    return Rig(house, build(house), mixing)


def rig_for(house: House, scheme: Scheme) -> Rig:
    """The rig that shows `scheme` as its file asks: its colour handling, white use and gamma."""
    return rig(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)


def frame(
    rig: Rig, show: Show, time_s: float | np.ndarray, brightness: float | None = None
) -> Frame:
    """Codes, volts, amps and light of `show` at `time_s` [s], a scalar or (T,).

    `brightness` (0..1) replaces the scheme's own. Pure: the same arguments, the same frame.
    """
    times = np.asarray(time_s, dtype=float)
    wanted = asked(show, np.atleast_1d(times))
    coded = codes_of(rig, show, np.atleast_1d(times), wanted, brightness)
    if times.ndim:
        return frame_of(rig, coded, time_s=times, asked=wanted)
    return frame_of(rig, coded[0], time_s=times, asked=wanted[0])


def plain_codes(house: House, level: int, lit: Collection[str] = CHANNELS) -> np.ndarray:
    """(1, N, C) uint8: the channels `lit` at `level` 0..255 where a kind has them; spares dark."""
    codes = np.zeros((1, len(house.pixels), len(house.channels)), dtype=np.uint8)
    for run in house.runs:
        for channel in run.kind.channels:
            if channel.name in lit:
                codes[0, run.pixels, CHANNELS.index(channel.name)] = level
    codes[0, house.pixels.spare] = 0
    return codes


def frame_of(
    rig: Rig,
    codes: np.ndarray,
    *,
    time_s: float | np.ndarray = 0.0,
    asked: np.ndarray | None = None,
) -> Frame:
    """Volts, amps and light of codes wherever they come from: a scheme, a wire, a file.

    codes : (N, C) or (T, N, C) whole numbers 0..255, the channels of the house
    time_s : when each was sent, () or (T,) [s]; one time for all is given to each
    asked : the colour they were made from, (..., N, 3), where it is known
    Raises ValueError for codes of another shape or outside 0..255.
    """
    coded = _checked(rig, np.asarray(codes))
    times = np.broadcast_to(np.asarray(time_s, dtype=float), coded.shape[:-2])
    if coded.ndim == 2:
        return Frame(times, coded, solve(rig.network, coded[None]).at(0), asked)
    return Frame(times, coded, solve(rig.network, coded), asked)


def light_of(codes: np.ndarray, dim: np.ndarray) -> np.ndarray:
    """Share 0..1 of each channel's full light: codes / 255 × dim, both (..., N, C)."""
    return (codes * np.float32(1 / 255)) * dim


def codes_of(
    rig: Rig,
    show: Show,
    time_s: np.ndarray,
    wanted: np.ndarray,
    brightness: float | None = None,
) -> np.ndarray:
    """The codes (T, N, C) uint8 that show the colours `wanted` (T, N, 3) at `time_s` (T,) [s]."""
    level = show.scheme.brightness if brightness is None else brightness
    # A dithered pixel rounds by the number of the frame on the wire, whoever asks for it.
    number = np.rint(time_s * show.fps).astype(np.int64) if show.scheme.dither else None
    return codes(rig.mixer, wanted, level, number)


def on_wire(
    rig: Rig, show: Show, time_s: np.ndarray, brightness: float | None = None
) -> np.ndarray:
    """Only the codes of `show` at `time_s` (T,) [s]: (T, N, C) uint8."""
    return codes_of(rig, show, time_s, asked(show, time_s, lay), brightness)


def _checked(rig: Rig, codes: np.ndarray) -> np.ndarray:
    """The codes as uint8, or ValueError."""
    count, channels = len(rig.house.pixels), rig.house.channels
    wide = len(channels)
    if codes.ndim not in (2, 3) or codes.shape[-2:] != (count, wide):
        raise ValueError(
            f"codes have the shape {codes.shape}; pass ({count}, {wide}), or (T, {count}, {wide}): "
            f"every pixel of the house, channels {', '.join(channels)}"
        )
    if codes.dtype == np.uint8:
        return codes
    if codes.dtype.kind not in "iu" or codes.min(initial=0) < 0 or codes.max(initial=0) > 255:
        raise ValueError(f"codes are whole numbers 0..255, these are {codes.dtype}")
    return codes.astype(np.uint8)


def scene(
    house: House,
    size_px: tuple[int, int] = (1280, 720),
    hour: str | None = None,
    across: int | None = None,
    through: Mapping[Kind, np.ndarray] | None = None,
) -> Scene:
    """The drawn house at an hour of the night, ready to be lit; size in pixels of the picture.

    `hour` left out is the usual one. `across`: at how many places over the width light is computed,
    left out as many as give the final picture. `through` says of a kind what its light passes on
    its way out, τ (401,); left out, nothing.
    """
    # most that is asked of a frame is never drawn, and waits for nothing that draws
    from sim.light import USUAL_HOUR
    from sim.light import build as build_scene
    from sim.light.lattice import NODES_ACROSS

    emitted, reflected = _thrown(house, house, through)
    return build_scene(
        house,
        size_px,
        emitted=emitted,
        reflected=reflected,
        hour=USUAL_HOUR if hour is None else hour,
        across=NODES_ACROSS if across is None else across,
    )


def relight(
    painted: Scene, house: House, through: Mapping[Kind, np.ndarray] | None = None
) -> Scene:
    """A scene painted before, with the lights of `house`; its drawing is not painted anew.

    `through` is as that of `scene`.
    """
    from sim.light import relit

    emitted, reflected = _thrown(house, painted.house, through)
    return relit(painted, house, emitted=emitted, reflected=reflected)


def _thrown(
    lights: House, drawn: House, through: Mapping[Kind, np.ndarray] | None = None
) -> tuple[dict[Any, Any], dict[Any, Any]]:
    """Light of each kind of one house: as it is made, and off each material of another."""
    from sim.light.cover import covered

    clear = through or {}
    lit = dict.fromkeys(run.kind for run in lights.runs)
    materials = {
        surface.material.name: surface.material for surface in covered(drawn.drawing).surfaces
    }
    wide = lights.channels
    emitted = {kind: emitted_rgb(kind, clear.get(kind, 1.0), wide) for kind in lit}
    reflected = {
        (kind, name): reflected_rgb(kind, material, clear.get(kind, 1.0), wide)
        for kind in lit
        for name, material in materials.items()
    }
    return emitted, reflected
