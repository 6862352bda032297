"""The names the package promises, and what importing it costs."""

from __future__ import annotations

import subprocess
import sys

import layouts
from layouts import catalogue


def test_public_names() -> None:
    assert layouts.__all__ == [
        "CHANNELS",
        "LEVELS",
        "Addresses",
        "Channel",
        "Drawing",
        "EvenfallError",
        "Finding",
        "House",
        "InputError",
        "Kind",
        "Lead",
        "Location",
        "Material",
        "Output",
        "Photo",
        "Pixels",
        "Place",
        "Problem",
        "Profile",
        "Route",
        "Run",
        "Stated",
        "Supply",
        "Surface",
        "Wire",
        "WireEnd",
        "WireSize",
        "Zone",
        "addresses",
        "by_urgency",
        "change",
        "frame_time_s",
        "fuses",
        "house_data",
        "house_findings",
        "house_from",
        "house_schema",
        "kinds",
        "length_text",
        "load_house",
        "materials",
        "profiles",
        "spot_xy_m",
        "stated",
        "wire_size",
        "wire_sizes",
        "with_kind",
        "write_atomically",
        "write_starter",
    ]
    assert all(hasattr(layouts, name) for name in layouts.__all__)
    assert all(hasattr(catalogue, name) for name in catalogue.__all__)


def test_importing_it_brings_in_neither_yaml_nor_pydantic() -> None:
    code = "import layouts, sys; print(*{'yaml', 'pydantic', 'scipy', 'numba'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
