"""What `import effects` offers, and what it costs."""

from __future__ import annotations

import subprocess
import sys

import effects


def test_names():
    assert effects.__all__ == [
        "Effect",
        "Layer",
        "LayerPlace",
        "Palette",
        "Parameter",
        "Scheme",
        "Show",
        "asked",
        "bind",
        "effects",
        "load_scheme",
        "palettes",
        "scheme_schema",
    ]
    assert all(hasattr(effects, name) for name in effects.__all__)


def test_import_is_light():
    """Readers of files and solvers are imported where they are used."""
    code = "import effects, sys; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert not {"yaml", "pydantic", "scipy", "numba", "colour", "pygame", "sim"} & set(loaded)
