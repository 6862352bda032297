"""Makes layouts/catalogue/materials.yaml from paints.yaml with colour-science.

    python tests/reference/make_materials.py

Measured patches: BabelColor average of the ColorChecker, as colour-science ships it. Colours of
our own choice become reflectances by the method of Mallett and Yuksel (2019), "Spectral primary
decomposition for rendering with sRGB reflectance".
"""

from __future__ import annotations

import sys
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import yaml

CATALOGUE = Path(__file__).resolve().parents[2] / "layouts" / "catalogue"
HEAD = """\
# Materials: luminous reflectances sampled every 10 nm. Computed from paints.yaml by
# tests/reference/make_materials.py; edit that list, not this file. No measured spectrum of brick,
# render, siding or roofing was at hand: every row is a stand-in, and its `source` says for what.

"""


def reflectance(row: dict[str, Any]) -> tuple[np.ndarray, str]:
    """The reflectance (36,) at 380..730 nm of a row of paints.yaml, and its source."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        shape = colour.SpectralShape(380, 730, 10)
        if "proxy" in row:
            patches = colour.SDS_COLOURCHECKERS["BabelColor Average"]
            sd = patches[row["proxy"]].copy().align(shape)
            source = f"BabelColor average of the ColorChecker, patch '{row['proxy']}'"
            tag = "[common practice, no source]"
        else:
            linear = colour.cctf_decoding(colour.notation.HEX_to_RGB(row["srgb"]), function="sRGB")
            sd = colour.recovery.RGB_to_sd_Mallett2019(linear).align(shape)
            source = f"our own colour {row['srgb']}, spectrum by Mallett and Yuksel (2019)"
            tag = "[common practice, no source]"
        values = np.asarray(sd.values, dtype=float)
        if "y" in row:
            cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
            d65 = colour.SDS_ILLUMINANTS["D65"].copy().align(shape).values
            weight = cmfs.values[:, 1] * d65
            values = values * row["y"] / (values @ weight / weight.sum())
            source += f", scaled to a luminous reflectance of {row['y']}"
    return np.clip(values, 0.0, 1.0), f"{source}; the choice for this material is ours {tag}"


def text() -> str:
    """The whole of materials.yaml."""
    rows = yaml.safe_load((CATALOGUE / "paints.yaml").read_text(encoding="utf-8"))
    parts = [HEAD, "wavelength_nm: {first: 380, last: 730, step: 10}\n\nmaterials:\n"]
    for name, row in rows.items():
        values, source = reflectance(row)
        numbers = [f"{value:.4f}" for value in values]
        lines = [", ".join(numbers[i : i + 12]) for i in range(0, len(numbers), 12)]
        joined = ",\n      ".join(lines)
        parts.append(
            f'  {name}:\n    texture: {row["texture"]}\n    source: "{source}"\n'
            f"    reflectance: [\n      {joined}]\n"
        )
    return "".join(parts)


if __name__ == "__main__":
    (CATALOGUE / "materials.yaml").write_text(text(), encoding="utf-8")
    print(f"wrote {CATALOGUE / 'materials.yaml'}", file=sys.stderr)
