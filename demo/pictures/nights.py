"""One scheme in every kind of night: `.venv/bin/python demo/pictures/nights.py [--out FILE]`.

Dusk, evening and late; then wet ground and snow. Each has the exposure of its own hour, as an eye
that has got used to it.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from PIL import Image
from tiles import fitted, kept, laid

import sim
from effects import bind
from layouts.ground import with_ground
from sim.frame import frame, rig_for, scene
from sim.light import picture

HERE = Path(__file__).resolve().parent
#: What is written below -> hour, ground.
NIGHTS: dict[str, tuple[str, str]] = {
    "dusk": ("dusk", "grass"),
    "evening": ("evening", "grass"),
    "late": ("late", "grass"),
    "late, wet ground": ("late", "wet"),
    "evening, snow": ("evening", "snow"),
    "late, snow": ("late", "snow"),
}


def main() -> None:
    """Write the page."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--house", default="lodge")
    asked.add_argument("--scheme", default="christmas")
    asked.add_argument("--out", type=Path, default=HERE / "nights.jpg")
    given = asked.parse_args()
    folder = HERE.parent / given.house
    house = sim.load_house(folder / "house.yaml")
    scheme = sim.load_scheme(folder / f"{given.scheme}.scheme.yaml", house)
    light = frame(rig_for(house, scheme), bind(house, scheme), 4.0).light
    shown = []
    for words, (hour, ground) in NIGHTS.items():
        night = scene(with_ground(house, ground), (1280, 720), hour)
        drawn = Image.fromarray(picture(night, light))
        shown.append((drawn.resize(fitted(2, 9 / 16), Image.Resampling.LANCZOS), [words]))
    kept(laid(shown, 2), given.out)


if __name__ == "__main__":
    main()
