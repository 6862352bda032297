"""The cautions that stand wherever wiring, current or flashing is reported. One text, one place."""

from __future__ import annotations

#: Beside anything about supplies, wires, fuses or currents.
WIRING: tuple[str, ...] = (
    "Mains work belongs to a licensed electrician, to your local code. Unplug before you touch "
    "anything.",
    "Outdoor circuits sit behind a GFCI/RCD. Enclosures, glands and supplies must be rated for "
    "the weather they meet.",
    "Every feed has its own fuse at the supply end, no larger than its wire can carry.",
    "Never join the + of two supplies; join their − only.",
    "Set the ladder on firm ground, keep three points of contact, and do not work alone.",
    "These figures are a model. They do not replace the data sheets of your parts or local rules.",
)

#: Beside anything about finding or mending what is broken.
MENDING: tuple[str, ...] = (
    "Unplug the supply before you open a box, touch a joint or change a fuse; measure only with "
    "what is insulated and dry.",
    "A fuse that opened did so for a reason: find it first, and never put in a larger one.",
)

#: Beside anything about flashing.
FLASHING: tuple[str, ...] = (
    "Flashing light can cause seizures. The test follows the flash limits of WCAG 2.2, computed "
    "from the frames as seen from the street; it lowers the risk and cannot rule it out.",
)
