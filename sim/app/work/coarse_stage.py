"""The very first picture of a window: half as many points each way, while the fine one is made.

It stands still and nothing but looking can be done with it: a stage of its own, which no other
part of the window hears of.
"""

from __future__ import annotations

from effects import Scheme, Show
from layouts import House
from layouts.ground import with_ground
from sim.app.state.shown import Ready, Side, Stage
from sim.app.work.beside import beside
from sim.frame import Rig, frame, rig, scene
from sim.light import screen_picture
from sim.light.lattice import NODES_ACROSS

#: So many times fewer points of the picture, and places of light, each way.
COARSE = 2


def coarse_stage(
    house: House, scheme: Scheme, show: Show, size_px: tuple[int, int], hour: str, ground: str
) -> tuple[Stage, Rig]:
    """The stage with its one picture, of the scheme's beginning, and the rig, which the fine one
    has too."""
    small = (max(size_px[0] // COARSE, 1), max(size_px[1] // COARSE, 1))
    lit = beside(lambda: scene(with_ground(house, ground), small, hour, NODES_ACROSS // COARSE))
    made = rig(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    first = frame(made, show, 0.0)
    seen = lit()
    image = screen_picture(seen, first.light)
    ready = Ready(show, first, image)
    side = Side(None, made, seen)
    return Stage(house, scheme, side, None, seen.exposure_ev, held=True, ready=ready, hour=hour,
                 coarse=True), made  # fmt: skip
