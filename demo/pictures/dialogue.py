"""The picture of the dialogue of measurements: `.venv/bin/python demo/pictures/dialogue.py`.

An invented house: a gambrel in feet, as somebody is typing its width.
"""

from __future__ import annotations

import argparse
import os
import time
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"

import pygame
from PIL import Image

from sim.app.dialogue import Dialogue
from sim.app.state import measuring as ms

HERE = Path(__file__).resolve().parent
GIVEN = {"form": "gambrel", "width": "33 ft", "storeys": "2", "garage": "right", "porch": "9 ft",
         "eave": "9 ft", "chimney": "left", "name": "Gambrel"}  # fmt: skip


def settle(dialogue: Dialogue) -> None:
    """Until the exact picture is on show."""
    end_s = time.monotonic() + 600
    while time.monotonic() < end_s:
        dialogue.step(1 / 60)
        if dialogue.painter.idle and dialogue.painter.shown is not None:
            break
        time.sleep(0.005)
    dialogue.step(1 / 60)


def main() -> None:
    """Draw it."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--size", default="1280x720")
    ask.add_argument("--scale", type=float, default=1.0)
    ask.add_argument("--out", type=Path, default=HERE / "window-dialogue.jpg")
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    dialogue = Dialogue(Path("my-house"), "ft", GIVEN, write=lambda _: [],
                        size_px=(width, height), scale=given.scale)  # fmt: skip
    dialogue.state = ms.typing(dialogue.state, "width")
    for letter in "33' 6\"":
        dialogue.state = ms.letter(dialogue.state, letter)
    settle(dialogue)
    shot = pygame.image.tobytes(dialogue.surface, "RGB")
    dialogue.close()
    picture = Image.frombytes("RGB", (width, height), shot)
    picture.save(given.out, quality=90, subsampling=0, optimize=True)
    print(given.out)


if __name__ == "__main__":
    main()
