"""A picture in miniature, made by a second process so that its kernels are compiled.

A program must know for which types of arguments to compile a kernel. Here nobody writes them down:
a small house is lit and drawn by the functions that draw every house, so they follow from the
code. Only the kernels of `SHARE` are compiled; all others run as the plain Python they are written
in, which is quick for a few points.

`sim.compiling` starts it, in a process of its own.
"""

from __future__ import annotations

import _thread
import os
import threading
import time
import warnings
from typing import Any

from sim.kernels import compile_alone

#: The kernels compiled here, in the order in which they are kept: about half the work of a first
#: picture, and that half which a picture needs last. What they call is among them.
SHARE = tuple(
    f"sim.{module}.{name}"
    for module, names in {
        "colour.kernel": (
            "room", "_scatter", "_channel_room", "take_block", "_whiten", "primaries", "_hold",
            "_contained", "mix_block", "_code", "write_codes", "fill_codes",
        ),
        "colour.reduced_kernel": (
            "filled_up", "_polynomials", "cube_roots", "_halve", "reduce_block",
        ),
        "light.glare": ("_lay", "_widen"),
        "light.sparse": ("_sum", "shine"),
        "light.compose": ("_shine", "_row", "_encode", "_tone", "_pack", "display_bytes"),
    }.items()
    for name in names
)  # fmt: skip

#: As few points as hold every kind of work.
_SIZE_PX = (32, 18)
#: A process asked to end has so long to leave no half file, then it ends there and then [s].
_GRACE_S = 5.0
_HOUSE: dict[str, Any] = {
    "format": "evenfall-house/1", "name": "Miniature", "drawing": {"size": [6, 4]},
    "runs": [{"name": "eave", "pixels": "bullet-12v-buck", "path": [[1, 3], [3, 3]], "count": 5}],
    "supplies": [{"name": "box", "volts": 12, "amps": 4}],
    "wires": [{"from": "box", "to": "eave.start", "wire": "18 AWG", "length": 2}],
}  # fmt: skip


def main() -> None:
    """What the second process does: keep the kernels of `SHARE` on the disk, then end."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    warnings.simplefilter("ignore")  # plain Python warns of overflow where compiled code wraps
    compile_alone(SHARE)
    draw()


def draw() -> None:
    """One picture of the small house."""
    import numpy as np

    from layouts import house_from
    from sim.colour import codes
    from sim.frame import rig, scene
    from sim.light import picture

    house = house_from(_HOUSE)
    asked = np.full((1, len(house.pixels), 3), 0.5, np.float32)
    lit = codes(rig(house).mixer, asked, 1.0)[0]
    night = scene(house, _SIZE_PX)
    picture(night, lit * np.float32(1 / 255))


def _end_with_parent() -> None:
    """End this process as soon as the one that started it lets go of its standard input, as it
    does in every way of ending."""
    while os.read(0, 1):
        pass
    _thread.interrupt_main()
    time.sleep(_GRACE_S)
    os._exit(1)
