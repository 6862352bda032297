"""Remakes luxpy.json: figures of light by a library outside the project.

Run it with an interpreter that has luxpy and numpy, and this project on its path:

    python -m venv somewhere
    somewhere/bin/pip install luxpy==1.12.5 "numpy<2.3" numba matplotlib pandas
    PYTHONPATH=. somewhere/bin/python tests/reference/remake_luxpy.py

The spectra come from the project; every figure about them comes from luxpy.
"""

from __future__ import annotations

import json
from pathlib import Path

import luxpy
import numpy as np

from sim.colour import spectra

OUT = Path(__file__).with_name("luxpy.json")
DIES = ((623.0, 20.0), (523.0, 33.0), (466.0, 25.0))  # dominant wavelength, width [nm]


def lights() -> dict[str, np.ndarray]:
    """The spectra by name (401,) [W/nm], each of 1 lm."""
    dies = np.stack([spectra.coloured(*die) for die in DIES])
    made = {f"phosphor-{cct_k}": spectra.white(float(cct_k)) for cct_k in (2400, 2998, 4150, 6500)}
    for name, cct_k, white_share in (
        ("rgb-3000", 3000.0, 0.0),
        ("rgb-4000", 4000.0, 0.0),
        ("rgbw-3000", 3000.0, 0.75),
    ):
        wanted = spectra.xyz(spectra.planck(cct_k))
        white = white_share * spectra.white(2998.0)
        amounts = np.linalg.solve(spectra.xyz(dies).T, wanted / wanted[1] - spectra.xyz(white))
        made[name] = amounts @ dies + white
    return made


def figures(spectrum: np.ndarray) -> dict[str, float]:
    """What luxpy says of a spectrum."""
    light = np.vstack([spectra.WAVELENGTH_NM, spectrum])
    xyz = luxpy.spd_to_xyz(light, cieobs="1931_2", relative=False)
    cct_k, duv = luxpy.xyz_to_cct(xyz, cieobs="1931_2", out="cct,duv")
    rf, rg = luxpy.cri.spd_to_cri(light, cri_type="iesrf-tm30-18", out="Rf,Rg")
    return {
        "cct_k": round(float(np.squeeze(cct_k)), 2),
        "duv": round(float(np.squeeze(duv)), 6),
        "ra": round(float(np.squeeze(luxpy.cri.spd_to_ciera(light))), 2),
        "rf": round(float(np.squeeze(rf)), 2),
        "rg": round(float(np.squeeze(rg)), 2),
        "lm_per_w": round(float(np.squeeze(luxpy.spd_to_ler(light, cieobs="1931_2"))), 2),
    }


if __name__ == "__main__":
    found = {name: figures(spectrum) for name, spectrum in sorted(lights().items())}
    record = {"library": f"luxpy {luxpy.__version__}", "lights": found}
    OUT.write_text(json.dumps(record, indent=2) + "\n", encoding="utf-8")
