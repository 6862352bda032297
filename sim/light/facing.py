"""How a lit place faces."""

WALL = 0  # upright, towards the street
GROUND = 1  # flat, towards the sky
LEAVES = 2  # every way at once
