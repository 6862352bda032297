"""Two chases cross."""

from __future__ import annotations

import numpy as np

from effects.bands import travelling
from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import lap_s, travelled


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    step_m = settings["band"] + settings["gap"]
    gone_m = travelled(time_s, settings["speed"], colours * step_m)
    position, level = travelling(place, np.concatenate([gone_m, -gone_m]), settings)
    half = len(gone_m)
    there, back, there_level, back_level = (
        position[:half], position[half:], level[:half], level[half:],
    )  # fmt: skip
    # Every other colour runs forward, those between run back; where both shine they mix.
    apart = there - back
    apart *= np.float32(2)
    apart -= np.float32(1)
    apart -= np.float32(colours) * np.rint(apart * np.float32(1 / colours))
    both = there_level + back_level
    np.maximum(both, np.float32(1e-6), out=both)
    np.divide(there_level, both, out=both)
    apart *= both
    back *= np.float32(2)
    back += np.float32(1)
    back += apart
    return back, np.maximum(there_level, back_level)


CROSSING = Effect(
    "crossing",
    "two chases cross: every other colour runs forward, those between run back",
    field,
    (
        Parameter("band", "m", 0.02, 50, 0.8, "length of a band"),
        Parameter("gap", "m", 0, 50, 1.2, "dark length between two bands of one chase"),
        Parameter("speed", "m/s", 0, 10, 0.4, "of each chase"),
        Parameter("soft", "", 0, 1, 0.5, "part of a band over which each edge fades"),
    ),
    period_s=lambda settings, colours, place: lap_s(
        colours * (settings["band"] + settings["gap"]), settings["speed"]
    ),
    # Two bands may meet head on, and their colours lie half the palette apart.
    change_per_s=lambda settings, colours, place: (
        (2 + colours) * 2 * settings["speed"] / float(place.pitch_m.min())
    ),
)
