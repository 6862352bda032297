"""Makes the spectra the colour model is built on; run `python -m sim.colour.tables.make`.

Writes `observer.csv`, `phosphor.csv` and `daylight.csv` beside itself from the tables that
colour-science carries, so that nothing but this script and the rendition figures has to import it.

observer.csv  CIE 1931 2° colour-matching functions, 380-780 nm at 1 nm
phosphor.csv  CIE LED-B1 … LED-B5 (blue chip + phosphor), published at 5 nm, interpolated to
              1 nm by Sprague's method as CIE 167:2005 recommends for equal intervals
daylight.csv  CIE standard illuminant D65 at 1 nm
"""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
PHOSPHORS = ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5")
OBSERVER_HEAD = """\
# CIE 1931 2 degree standard observer, colour-matching functions at 1 nm
# source: CIE 018:2019, ISO/CIE 11664-1:2019, as carried by colour-science {version}
# tag: standard, through a library
wavelength_nm,x,y,z
"""
PHOSPHOR_HEAD = """\
# CIE illuminants LED-B1 to LED-B5: white LEDs, blue chip with phosphor; relative power
# source: CIE 015:2018 (5 nm), as carried by colour-science {version}
# tag: standard, through a library; interpolated to 1 nm by Sprague's method (CIE 167:2005)
wavelength_nm,{names}
"""
DAYLIGHT_HEAD = """\
# CIE standard illuminant D65 at 1 nm; relative power, 100 at 560 nm
# source: CIE 015:2018, as carried by colour-science {version}
# tag: standard, through a library; interpolated linearly as the standard says
wavelength_nm,d65
"""


def observer() -> np.ndarray:
    """(401, 4): wavelength [nm] and the three colour-matching functions."""
    colour = _library()
    shape = colour.SpectralShape(380, 780, 1)
    functions = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    return np.column_stack([shape.wavelengths, functions.values])


def phosphors() -> np.ndarray:
    """(401, 6): wavelength [nm] and the relative power of LED-B1 … LED-B5."""
    colour = _library()
    shape = colour.SpectralShape(380, 780, 1)
    columns = [
        colour.SDS_ILLUMINANTS[name]
        .copy()
        .interpolate(shape, interpolator=colour.SpragueInterpolator)
        .values
        for name in PHOSPHORS
    ]
    return np.column_stack([shape.wavelengths, np.maximum(columns, 0.0).round(9).T])


def daylight() -> np.ndarray:
    """(401, 2): wavelength [nm] and the relative power of D65."""
    colour = _library()
    shape = colour.SpectralShape(380, 780, 1)
    power = (
        colour.SDS_ILLUMINANTS["D65"]
        .copy()
        .interpolate(shape, interpolator=colour.LinearInterpolator)
    )
    return np.column_stack([shape.wavelengths, power.values])


def write(folder: Path = HERE) -> None:
    """Write the tables into `folder`."""
    version = _library().__version__
    names = ",".join(name.replace("-", "_").lower() for name in PHOSPHORS)
    (folder / "observer.csv").write_text(OBSERVER_HEAD.format(version=version) + _rows(observer()))
    (folder / "phosphor.csv").write_text(
        PHOSPHOR_HEAD.format(version=version, names=names) + _rows(phosphors())
    )
    (folder / "daylight.csv").write_text(DAYLIGHT_HEAD.format(version=version) + _rows(daylight()))


def _rows(table: np.ndarray) -> str:
    return "".join(
        f"{row[0]:.0f}," + ",".join(f"{value:.8g}" for value in row[1:]) + "\n" for row in table
    )


def _library():  # type: ignore[no-untyped-def]  # the library's module carries no types
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it announces optional parts that are not installed
        import colour
    return colour


if __name__ == "__main__":
    write()
