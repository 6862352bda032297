"""Makes the pictures of the window anew: `.venv/bin/python demo/pictures/window.py`.

Each is what the window draws, without a screen. `--size 1920x1080 --out DIR` draws them larger, to
look at. The starved and the overloaded house are the demo cottage with feeds taken away, so they
show what the window looks like when something is wrong, not how a house should be wired.
"""

from __future__ import annotations

import argparse
import os
import re
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp()  # what is unsaved here is nobody's

import pygame
from PIL import Image

from layouts.faults import load_faults
from sim.app.state import actions as act
from sim.app.state.choosing_actions import OpenPage, StepParts
from sim.app.state.mending_record import BreakIt, OpenSheet, ScrollSheet
from sim.app.state.ribbon_actions import HoldTime, LoopHeld, StepMark, ZoomTime
from sim.app.state.sighted_record import AddSeen, SeenLine
from sim.app.state.touch_record import OpenThing
from sim.app.view.touch import pixels_at
from sim.app.window import Window

HERE = Path(__file__).resolve().parent
COTTAGE, TOWNHOUSE = HERE.parent / "cottage", HERE.parent / "townhouse"
CHRISTMAS, EVENING = "christmas.scheme.yaml", "evening.scheme.yaml"


def settle(window: Window, ready: Callable[[], bool] | None = None) -> None:
    """Wait until everything that was asked for is on show."""
    end_s = time.monotonic() + 600
    while time.monotonic() < end_s:
        window.step(1 / 60)
        at_rest = window.shown is not None and window.backstage.idle
        if ready() if ready else at_rest:
            break
        time.sleep(0.005)
    for _ in range(30):  # in its own time: it draws no oftener than a screen would show
        window.step(1 / 60)
        time.sleep(1 / 60)


def plain(window: Window) -> None:
    """The house, the ribbon, nothing else."""
    window.do(act.Seek(4.0))


def drawer(window: Window) -> None:
    """Everything one can turn, and the supplies."""
    window.do(act.Seek(4.0))
    window.do(act.ToggleDrawer())


def divider(window: Window) -> None:
    """RGB and RGBW on warm white."""
    window.do(act.ToggleCompare())
    window.do(act.Set("other", "sk6812-rgbw-warm"))
    window.do(act.MoveDivider(0.57))


def volts(window: Window) -> None:
    """Volts along runs of which some starve, and one pixel in words."""
    window.do(act.ToggleOverlay("volts"))
    window.do(act.Set("brightness", 1.0))
    settle(window)
    at_px = pixels_at(window.shown) if window.shown else None
    assert at_px is not None
    window.do(act.Select(int(at_px[:, 0].argmax())))


def wires(window: Window) -> None:
    """What feeds what, with the amperes of the moment."""
    window.do(act.ToggleOverlay("wires"))


def schemes(window: Window) -> None:
    """Every scheme of the house as a small picture: what the window opens with."""
    window.do(OpenPage("schemes"))
    listed = len(window.state.facts.schemes) if window.state.facts else 0

    def seen() -> bool:
        films = window.small.films.values()
        return sum(film.image(0.0) is not None for film in films) >= listed

    settle(window, seen)


def palettes(window: Window) -> None:
    """Palettes as swatches, one of them tried on the house."""
    window.do(OpenPage("palettes", 1))
    for _ in range(7):
        window.do(StepParts(down=1))


def card(window: Window) -> None:
    """What a person asks of a run."""
    window.do(act.Seek(4.0))
    settle(window)
    gable = next(one for one in window.state.touch.things if one.name == "gable")
    first = window.state.touch.firsts[window.state.touch.things.index(gable)]
    window.do(OpenThing(gable, first + 120))


def mend(window: Window) -> None:
    """What the storm broke, as a trial: a dead pixel and a wet joint."""
    window.do(act.Seek(4.0))
    settle(window)
    assert window.shown is not None
    for fault in load_faults(Path("after-the-storm.faults.yaml"), window.shown.stage.house):
        window.do(BreakIt(fault))
    window.do(OpenSheet("broken"))


def sighted(window: Window) -> None:
    """What was seen after the storm, the causes by probability and the next test."""
    window.do(OpenSheet("seen"))
    runs = (("dark", "gable"), ("dark", "eave-right"), ("lit", "eave-left"), ("lit", "porch"))
    window.do(AddSeen(tuple(SeenLine(what, run) for what, run in runs)))
    settle(window, lambda: window.state.sighted.found_of == window.state.sighted.seen)
    window.do(ScrollSheet(by=280.0))


def ribbon(window: Window) -> None:
    """A part that repeats, at the peak, with what each layer asks under the pointer."""
    window.do(StepMark(1))
    window.do(ZoomTime(3.0))
    begin_s = window.state.frame_s - 3.0
    window.do(HoldTime(max(begin_s, 0.0)))
    window.do(LoopHeld(begin_s + 8.0))


def overload(window: Window) -> None:
    """A scheme that asks more than its supplies give."""
    window.do(act.ToggleDrawer())
    window.do(act.Set("brightness", 1.0))
    window.do(act.Seek(6.0))


def error(window: Window) -> None:
    """A typing error in the house file, saved while the window is open."""
    house = Path(window.state.house_path)
    house.write_text(house.read_text().replace("standoff:", "standof:", 1))
    settle(window, lambda: bool(window.state.problems))


def help_(window: Window) -> None:
    """The key table."""
    window.do(act.ToggleHelp())


def starved(text: str) -> str:
    """The house with one feed to the gable instead of three."""
    gone = ('to: "gable[230]"', "to: gable.end")
    kept = [line for line in text.splitlines() if not any(end in line for end in gone)]
    return "\n".join(kept) + "\n"


def overloaded(text: str) -> str:
    """The house with supplies a good deal too small."""
    return re.sub(r"amps: \d+", "amps: 3", text)


#: name → folder, scheme, what is done to the house file, what is done in the window
SHOTS: dict[str, tuple[Path, str, Callable[[str], str] | None, Callable[[Window], None]]] = {
    "plain": (COTTAGE, CHRISTMAS, None, plain),
    "drawer": (TOWNHOUSE, CHRISTMAS, None, drawer),
    "divider": (COTTAGE, EVENING, None, divider),
    "volts": (COTTAGE, EVENING, starved, volts),
    "schemes": (COTTAGE, CHRISTMAS, None, schemes),
    "palettes": (COTTAGE, "harvest.scheme.yaml", None, palettes),
    "card": (COTTAGE, CHRISTMAS, None, card),
    "mend": (COTTAGE, CHRISTMAS, None, mend),
    "sighted": (COTTAGE, EVENING, None, sighted),
    "ribbon": (TOWNHOUSE, "new-year.scheme.yaml", None, ribbon),
    "wires": (TOWNHOUSE, EVENING, None, wires),
    "overload": (COTTAGE, "halloween.scheme.yaml", overloaded, overload),
    "error": (COTTAGE, CHRISTMAS, None, error),
    "help": (COTTAGE, CHRISTMAS, None, help_),
}


def main() -> None:
    """Draw the pictures asked for."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--size", default="1280x720")
    ask.add_argument("--scale", type=float, default=1.0)
    ask.add_argument("--out", type=Path, default=HERE)
    ask.add_argument("names", nargs="*", default=list(SHOTS))
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    for name in given.names:
        folder, scheme, change, act_on = SHOTS[name]
        with tempfile.TemporaryDirectory() as parent:
            own = Path(parent) / folder.name
            own.mkdir()
            for file in folder.glob("*.yaml"):
                (own / file.name).write_bytes(file.read_bytes())
            if change:
                house = own / "house.yaml"
                house.write_text(change(house.read_text()))
            os.chdir(own)
            window = Window("house.yaml", scheme, scale=given.scale, size_px=(width, height))
            try:
                settle(window)
                window.do(act.PlayPause())
                act_on(window)
                if not window.state.problems:
                    settle(window)
                shot = pygame.image.tobytes(window.surface, "RGB")
            finally:
                window.close()
        path = given.out / f"window-{name}.jpg"
        picture = Image.frombytes("RGB", (width, height), shot)
        picture.save(path, quality=92, subsampling=0, optimize=True)  # colours as fine as light
        print(path)


if __name__ == "__main__":
    main()
