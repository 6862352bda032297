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
import signal
import threading
import time
import warnings
from typing import Any

from sim.kernels import compile_alone

#: What each form of a picture compiles last.
LAST = {"file": "sim.light.compose.display_bytes", "screen": "sim.light.compose.display"}
#: The kernels compiled here: about half the work of a first picture, and that half which a picture
#: needs last. What they call is among them.
SHARE = (
    "sim.circuit.alone_kernel.factor_alone",
    *(
        f"sim.{module}.{name}"
        for module, names in {
            "colour.kernel": (
                "fill_codes", "take_block", "mix_block", "_code", "primaries", "_hold", "room",
                "_contained", "_channel_room", "_whiten", "write_codes", "_scatter",
            ),
            "colour.reduced_kernel": (
                "reduce_block", "filled_up", "cube_roots", "_polynomials", "_halve",
            ),
            "light.sparse": ("shine", "_sum"),
            "light.glare": ("_lay", "_widen"),
            "light.compose": ("_row", "_shine", "_encode", "_tone", "_pack"),
        }.items()
        for name in names
    ),
    *LAST.values(),
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


def main(form: str) -> None:
    """What the second process does: keep kernels of `SHARE` on the disk, then end."""
    signal.signal(signal.SIGINT, signal.default_int_handler)  # whoever had it ignored
    threading.Thread(target=_end_with_parent, daemon=True).start()
    warnings.simplefilter("ignore")  # plain Python warns of overflow where compiled code wraps
    compile_alone(SHARE)
    draw(form)


def draw(form: str) -> None:
    """One picture of the small house, in a form of `LAST`."""
    import numpy as np

    from layouts import house_from
    from sim.circuit import build
    from sim.circuit.alone_kernel import factor_alone
    from sim.colour import codes, mixer
    from sim.frame import scene
    from sim.light import picture, screen_picture

    house = house_from(_HOUSE)
    asked = np.full((1, len(house.pixels), 3), 0.5, np.float32)
    lit = codes(mixer(house), asked)[0]
    for part in build(house).parts:
        factor_alone(part.pattern, part.pattern.diagonal_s.copy(), part.pattern.entry_s.copy())
    night = scene(house, _SIZE_PX)
    {"file": picture, "screen": screen_picture}[form](night, lit * np.float32(1 / 255))


def _end_with_parent() -> None:
    """End this process as soon as the one that started it lets go of its standard input, as it
    does in every way of ending."""
    while os.read(0, 1):
        pass
    _thread.interrupt_main()
    time.sleep(_GRACE_S)
    os._exit(1)
