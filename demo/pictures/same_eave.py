"""Every kind of pixel under the same eave: `.venv/bin/python demo/pictures/same_eave.py`.

A stretch of an invented wall, one run of each kind at its own pitch, without a cover, the same warm
white at the same brightness and one exposure for all. What differs is what kinds differ by: lumens,
spacing, beam. `--share`, `--colour`, `--out FILE` show it otherwise.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from PIL import Image
from tiles import fitted, kept, laid

from effects import Layer, Scheme, bind
from layouts import catalogue, house_from
from layouts.records import House, Kind
from sim.frame import frame, rig_for, scene
from sim.light import picture

HERE = Path(__file__).resolve().parent
COLUMNS, EM = 5, 22
DARKER_EV = 0.6  # than a wall of the middle kind would be shown alone
WIDE_M, TALL_M = 1.8, 1.12  # of the stretch that is shown
UNDER_M, TOP_M = 2.9, 3.08  # the run, and the upper edge of what is shown: above the eye
AROUND_M = 0.6  # how far wall and run go on to both sides


def wall(name: str, kind: Kind) -> House:
    """A wall under an eave with one run of the kind."""
    left, right, under = -AROUND_M, WIDE_M + AROUND_M, UNDER_M + 0.015
    side = [[left, 0], [right, 0], [right, under], [left, under]]
    board = [[left, under], [right, under], [right, TOP_M + 1], [left, TOP_M + 1]]
    run = {"name": "eave", "pixels": name, "path": [[left, UNDER_M], [right, UNDER_M]]}
    return house_from({
        "format": "evenfall-house/1", "name": name, "units": "m",
        "drawing": {"size": [WIDE_M, TOP_M], "viewer": 6, "surfaces": [
            {"name": "wall", "material": "lap-siding-white", "depth": 0, "outline": side},
            {"name": "board", "material": "trim-white", "depth": 0.2, "outline": board},
        ]},
        "runs": [run | {"aim": "down", "standoff": 0.12, "profile": "bare"}],
        "supplies": [{"name": "box", "volts": kind.supply_v, "amps": 40}],
        "wires": [{"from": "box", "to": f"eave.{end}", "wire": "12 AWG", "length": 0.5, "fuse": 20}
                  for end in ("start", "end")],
    })  # fmt: skip


def told(kind: Kind, house: House) -> str:
    """Volts, lumens of a pixel at full duty, pixels a metre."""
    lumens = sum(channel.flux_lm for channel in kind.channels)
    pitch = house.runs[0].count / (WIDE_M + 2 * AROUND_M)
    two = float(f"{lumens:.2g}")  # digits, and no power of ten
    return f"{kind.supply_v:g} V  {two:g} lm  {pitch:.0f} a metre"


def main() -> None:
    """Write the page."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--share", type=float, default=0.4)
    asked.add_argument("--colour", default="3000 K")
    asked.add_argument("--out", type=Path, default=HERE / "kinds.jpg")
    given = asked.parse_args()
    wide, tall = fitted(COLUMNS, TALL_M / WIDE_M)
    size = wide, round(wide * TOP_M / WIDE_M)
    scheme = Scheme("", "", (Layer("steady", palette=(given.colour,)),), brightness=given.share)
    houses = {name: wall(name, kind) for name, kind in catalogue.kinds().items()}
    nights = {name: scene(house, size, "late") for name, house in houses.items()}
    exposure = float(np.median([night.exposure_ev for night in nights.values()])) - DARKER_EV
    shown = []
    for name, house in houses.items():
        light = frame(rig_for(house, scheme), bind(house, scheme), 0.0).light
        drawn = picture(nights[name], light, exposure_ev=exposure)
        shown.append((Image.fromarray(drawn[:tall]), [name, told(house.runs[0].kind, house)]))
    kept(laid(shown, COLUMNS, EM), given.out)


if __name__ == "__main__":
    main()
