"""Which texture draws which material."""

from __future__ import annotations

from collections.abc import Callable

from sim.light.materials import figures, garden, openings, roofs, rooms, walls
from sim.light.materials.patch import Look, Patch

TEXTURES: dict[str, Callable[[Patch], Look]] = {
    "siding": walls.siding,
    "brick": walls.brick,
    "render": walls.render,
    "stone": walls.stone,
    "timber": walls.timber,
    "shingle": roofs.shingle,
    "slate": roofs.slate,
    "tile": roofs.tile,
    "glass": openings.glass,
    "glass_lit": rooms.glass_lit,
    "door": openings.door,
    "trim": openings.trim,
    "hedge": garden.hedge,
    "leaves": garden.leaves,
    "needles": garden.needles,
    "flowers": garden.flowers,
    "bark": garden.bark,
    "lawn": garden.lawn,
    "path": garden.path,
    "snow": garden.snow,
    "metal": openings.metal,
    "number": figures.number,
}
LYING = frozenset({"lawn", "path", "snow"})  # lie flat wherever they are drawn below y = 0
LEAFY = frozenset({"hedge", "leaves", "needles", "flowers"})  # have no straight edge
GLAZED = frozenset({"glass", "glass_lit"})  # panes and bars: shade is not about 1 on average


def look(texture: str, patch: Patch) -> Look:
    """The patch in the named texture; KeyError where there is none of that name."""
    return TEXTURES[texture](patch)
