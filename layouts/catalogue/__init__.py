"""The catalogue: kinds, wires, fuses, materials and profiles, each with its sources."""

from layouts.catalogue.tables import (
    fuses,
    kind_entries,
    kinds,
    materials,
    profiles,
    wire_size,
    wire_sizes,
)

__all__ = [
    "fuses",
    "kind_entries",
    "kinds",
    "materials",
    "profiles",
    "wire_size",
    "wire_sizes",
]
