"""What the package offers to others."""

from __future__ import annotations

import sim.colour


def test_public_names():
    assert sim.colour.__all__ == [
        "COLOUR_USES",
        "WHITE_USES",
        "Gamut",
        "Mixer",
        "Rendition",
        "Shift",
        "cct_duv",
        "codes",
        "duty",
        "emission_xyz_lm",
        "emitted_rgb",
        "gamut_report",
        "light_shift",
        "material_shifts",
        "mixed_spectrum",
        "mixer",
        "ra_range",
        "reflected_rgb",
        "rendition_of",
    ]
    assert all(hasattr(sim.colour, name) for name in sim.colour.__all__)
