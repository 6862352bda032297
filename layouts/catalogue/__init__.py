"""The catalogue: kinds, wires, fuses, limits, materials and profiles, each with its sources."""

from layouts.catalogue.tables import (
    fuses,
    kind_entries,
    kinds,
    limits,
    materials,
    profiles,
    spread_factors,
    wire_size,
    wire_sizes,
)

__all__ = [
    "fuses",
    "kind_entries",
    "kinds",
    "limits",
    "materials",
    "profiles",
    "spread_factors",
    "wire_size",
    "wire_sizes",
]
