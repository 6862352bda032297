"""Usual sizes of houses [m], and the words that measures are chosen from.

Sizes are the trade's [common practice, no source].
"""

from __future__ import annotations

#: Each form and the side that the street sees where nobody says: its eave or its gable.
FORMS = {
    "gable": "gable",
    "cross-gable": "eave",
    "hip": "eave",
    "gambrel": "gable",
    "shed": "gable",
    "flat": "eave",
}
#: Forms whose roof can stand either way to the street.
TURNED = frozenset({"gable", "gambrel", "shed"})
SIDES = ("left", "right", "none")
FLOOR = 0.28  # of the ground floor above the ground [m]
STOREY = 2.62  # from floor to floor [m], where nobody says an eave
LOW_STOREY = 2.15  # the least [m] that still is a storey
DOOR_BAY = 2.4  # the least wall [m] that has room for a front door
ROOM = 1.9  # height [m] of a roof in which people live
DORMER = 1.55  # width [m] of a dormer's wall
DORMER_WALL = 1.3  # its height [m]

#: (least, most) of every length [m]; beyond, nobody lives in it or nobody lights it.
RANGES = {
    "width": (3.0, 40.0),
    "eave": (2.2, 14.0),
    "depth": (3.0, 30.0),
    "overhang": (0.15, 1.2),
    "garage_width": (2.6, 12.0),
    "porch": (1.5, 40.0),
    "porch_depth": (0.6, 4.0),
}
