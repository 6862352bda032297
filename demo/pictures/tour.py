"""Goes through the window as a person does, on a screen of its own, and keeps what is seen.

`.venv/bin/python demo/pictures/tour.py --out DIR` needs Xvfb and xdotool. `--code DIR` takes the
program and its demo houses from another checkout, so that two states can be laid side by side: the
same keys and clicks, each picture under the same name. Copies of the houses are worked on, nothing
of one's own is touched. `--size 960x600`, `--scale 2` and names of parts after that look at less.
"""

from __future__ import annotations

import argparse
import os
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
START = "import sys; sys.argv[0] = 'evenfall'; from sim.cli.main import main; sys.exit(main())"
RAKE = (0.57, 0.318)  # a place on the left rake of the cottage
#: Nothing has changed for so long [s]: what was asked for is on show.
STILL_S, LONGEST_S = 2.4, 90.0


class Hands:
    """A window on a screen of its own, its mouse and keys, and what is seen of it."""

    def __init__(self, given: argparse.Namespace, folder: Path, *words: str) -> None:
        self.out, self.size = given.out, given.size
        self._buffer = folder / "buffer"
        self._buffer.mkdir(exist_ok=True)
        read, write = os.pipe()
        wide, tall = given.size
        self._server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{wide}x{tall}x24",
             "-nolisten", "tcp", "-fbdir", str(self._buffer)],
            pass_fds=[write], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(write)
        with os.fdopen(read) as told:
            display = told.readline().strip()
        plain = {key: value for key, value in os.environ.items() if key != "SDL_VIDEODRIVER"}
        self._env = plain | {
            "DISPLAY": f":{display}", "SDL_VIDEO_X11_XRANDR": "0", "PYTHONPATH": str(given.code),
            "XDG_STATE_HOME": str(folder / "kept"),
        }  # fmt: skip
        self._began_s = time.monotonic()
        self._told = (folder / "told.txt").open("w")
        self._window = subprocess.Popen(
            [sys.executable, "-c", START, "preview", *words, "--scale", str(given.scale)],
            cwd=folder, env=self._env, stdout=self._told, stderr=subprocess.STDOUT,
        )  # fmt: skip
        self._id = ""
        while not self._id:
            if self._window.poll() is not None:
                self.ends()
                sys.exit("the window did not open:\n" + (folder / "told.txt").read_text())
            time.sleep(0.2)
            self._id = self._tool("search", "--class", "^evenfall$").partition("\n")[0]
        self._tool("windowfocus", self._id)

    def _tool(self, *words: str) -> str:
        made = subprocess.run(["xdotool", *words], env=self._env, capture_output=True, text=True)
        return made.stdout.strip()

    @property
    def title(self) -> str:
        """What the window is called: what a screen reader says of it."""
        return self._tool("getwindowname", self._id)

    def waits(self, seconds: float = 300.0) -> None:
        """Until there is a picture in the upper half; the kernels may have to be compiled first."""
        end_s = time.monotonic() + seconds
        while self.sees()[: self.size[1] // 2].std() < 20 and time.monotonic() < end_s:
            time.sleep(0.1)

    def opens(self) -> None:
        """The first picture of the house, and how long it took."""
        self.waits()
        print(f"first picture after {time.monotonic() - self._began_s:.1f} s", flush=True)

    def rate(self, seconds: float = 6.0) -> float:
        """Different pictures a second on the screen, of all that is above the ribbon."""
        end_s, seen, before = time.monotonic() + seconds, 0, b""
        while time.monotonic() < end_s:
            now = self.sees()[: self.size[1] // 2 : 4, ::4].tobytes()
            seen += now != before
            before = now
        return seen / seconds

    def keys(self, *names: str) -> None:
        """One after the other."""
        for name in names:
            self._tool("key", name)
            time.sleep(0.5)

    def types(self, text: str) -> None:
        """Characters, as fast as a person."""
        self._tool("type", "--delay", "60", text)
        time.sleep(0.2)

    def points(self, x: float, y: float) -> None:
        """The pointer to shares of the window's width and height."""
        self._tool("mousemove", str(round(x * self.size[0])), str(round(y * self.size[1])))
        time.sleep(0.4)

    def clicks(self, x: float, y: float, times: int = 1, button: int = 1) -> None:
        """There."""
        self.points(x, y)
        self._tool("click", "--repeat", str(times), "--delay", "90", str(button))
        time.sleep(0.4)

    def drags(self, start: tuple[float, float], end: tuple[float, float], held: str = "") -> None:
        """With a key held, if it is named."""
        if held:
            self._tool("keydown", held)
        self.points(*start)
        self._tool("mousedown", "1")
        for share in (0.25, 0.5, 0.75, 1.0):
            self.points(*(a + (b - a) * share for a, b in zip(start, end, strict=True)))
        self._tool("mouseup", "1")
        if held:
            self._tool("keyup", held)
        time.sleep(0.3)

    def sees(self) -> np.ndarray:
        """(H, W, 3) the screen."""
        raw = (self._buffer / "Xvfb_screen0").read_bytes()
        head = struct.unpack(">25I", raw[:100])  # an X window dump: its header, colours, rows
        start, wide, tall, row, colours = head[0] + 12 * head[19], head[4], head[5], head[12], 4
        shot = np.frombuffer(raw[start : start + row * tall], np.uint8)
        return shot.reshape(tall, row // colours, colours)[:, :wide, 2::-1]

    def keeps(self, name: str, *, at_rest: bool = True) -> None:
        """What is seen, once it stands still (the house must be paused), as a picture."""
        time.sleep(1.0 if at_rest else 0.0)  # until the window has taken what it was told
        end_s = time.monotonic() + (LONGEST_S if at_rest else 0.0)
        before, still_s = self.sees(), 0.0
        while still_s < STILL_S and time.monotonic() < end_s:
            time.sleep(0.3)
            now = self.sees()
            still_s = still_s + 0.3 if np.array_equal(now, before) else 0.0
            before = now
        Image.fromarray(np.ascontiguousarray(self.sees())).save(self.out / f"{name}.png")
        print(f"{name}: {self.title}", flush=True)

    def ends(self) -> None:
        """Window and screen."""
        for process in (self._window, self._server):
            process.terminate()
            try:
                process.wait(60)
            except subprocess.TimeoutExpired:
                process.kill()
        self._told.close()


def touch(hands: Hands) -> None:
    """A run, its card, its pixel."""
    hands.points(*RAKE)
    hands.keeps("1-hover")
    hands.clicks(*RAKE)
    hands.keeps("1-card")
    hands.clicks(*RAKE)
    hands.keeps("1-pixel")
    hands.keys("Escape", "Escape", "t", "Return")
    hands.keeps("1-card-by-keys")
    hands.keys("Escape", "Escape")


def choose(hands: Hands) -> None:
    """Schemes, layers, palettes, effects; a number typed."""
    hands.keys("s")
    time.sleep(5)
    hands.waits(120)
    time.sleep(8)  # the others are made one after another
    hands.keeps("2-schemes", at_rest=False)
    hands.keys("Escape", "l")
    hands.keeps("2-layers")
    hands.keys("Down", "Down", "Return")
    time.sleep(15)
    hands.keeps("2-effects-or-palettes", at_rest=False)
    hands.keys("Down", "Down")
    hands.keeps("2-tried")
    hands.keys("Escape", "Escape", "d")
    hands.keeps("2-drawer")
    hands.clicks(0.972, 0.177)
    hands.types("40 %")
    hands.keeps("2-number")
    hands.keys("Return", "ctrl+z", "d")


def ribbon(hands: Hands) -> None:
    """To the peak, closer, a part that repeats, what each layer asks."""
    hands.keys("m")
    hands.keeps("3-peak")
    hands.points(0.4, 0.85)
    hands.keeps("3-hover")
    hands.keys("equal", "equal")
    hands.drags((0.3, 0.86), (0.5, 0.86), "shift")
    hands.keeps("3-closer-and-repeating")
    hands.keys("Escape", "0", "Home")


def feedback(hands: Hands) -> None:
    """Another kind, the slide, a layer alone with the drawer shut."""
    hands.keys("k")
    hands.keeps("4-kind-at-once", at_rest=False)
    hands.keeps("4-kind")
    hands.keys("ctrl+z", "d")
    hands.keeps("4-slide", at_rest=False)
    hands.clicks(0.92, 0.262)
    hands.keeps("4-only-this")
    hands.keys("d")
    hands.keeps("4-only-this-shut")
    hands.keys("F4", "Escape")


def undo(hands: Hands) -> None:
    """What is changed, back by a step, and the question at the end."""
    hands.keys("shift+Down", "d")
    hands.keeps("5-changed")
    hands.keys("ctrl+q")
    hands.keeps("5-quit-asks")
    hands.keys("Escape", "ctrl+z")
    hands.keeps("5-undone")
    hands.keys("ctrl+y", "ctrl+z", "d")


def drawer(hands: Hands) -> None:
    """Its order, a fold, a help line."""
    hands.keys("d")
    hands.points(0.8, 0.44)
    hands.keeps("6-drawer")
    hands.clicks(0.8, 0.262)
    hands.keeps("6-folded")
    for _ in range(12):
        hands.clicks(0.85, 0.4, button=5)
    hands.keeps("6-foot")
    hands.keys("d")


def share(hands: Hands) -> None:
    """What can be shared, and where it went."""
    hands.keys("F9")
    hands.keeps("7-share")
    hands.keys("Escape", "shift+F12")
    hands.keeps("7-picture")
    hands.keys("Escape")


def wires(hands: Hands) -> None:
    """As they run, a supply's card, volts; as large as type goes."""
    hands.keys("w")
    hands.points(0.02, 0.02)
    hands.keeps("8-wires")
    hands.keys("shift+t", "Return")
    hands.keeps("8-card")
    hands.keys("Escape", "Escape", "w", "v", "n")
    hands.keeps("8-volts-and-runs")
    hands.keys("v", "n")


def smooth(hands: Hands) -> None:
    """Playing with everything on: how many pictures a second are seen."""
    hands.keys("v", "n", "d", "Home", "space")
    time.sleep(3)
    print(f"playing: {hands.rate():.1f} pictures a second", flush=True)
    hands.keeps("9-playing", at_rest=False)
    hands.keys("space", "v", "n", "d", "Home")


def large(hands: Hands) -> None:
    """High contrast; twice the type; the keys."""
    hands.keys("ctrl+h", "d")
    hands.keeps("10-contrast")
    hands.keys("d", "ctrl+h", "F1")
    hands.keeps("10-keys")
    hands.keys("Escape", *["ctrl+equal"] * 4, "d")
    hands.keeps("10-large-drawer")
    hands.keys("d", "t", "Return")
    hands.keeps("10-large-card")
    hands.keys("F1")
    hands.keeps("10-large-keys")
    hands.keys("Escape", "Escape", *["ctrl+minus"] * 4)


_ALL = (touch, choose, ribbon, feedback, undo, drawer, share, wires, smooth, large)
PARTS: dict[str, Callable[[Hands], None]] = {one.__name__: one for one in _ALL}


def main() -> None:
    """All parts, or those named, in one window."""
    ask = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    ask.add_argument("--out", type=Path, required=True)
    ask.add_argument("--code", type=Path, default=ROOT)
    ask.add_argument("--house", default="cottage")
    ask.add_argument("--scheme", default="christmas")
    ask.add_argument("--size", default="1280x720")
    ask.add_argument("--scale", type=float, default=1.0)
    ask.add_argument("parts", nargs="*", default=list(PARTS))
    given = ask.parse_args()
    given.size = tuple(map(int, given.size.split("x")))
    given.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as parent:
        folder = Path(parent) / given.house
        shutil.copytree(given.code / "demo" / given.house, folder)
        hands = Hands(given, folder, "house.yaml", f"{given.scheme}.scheme.yaml")
        try:
            hands.opens()
            hands.keys("space")
            hands.keeps("0-opened")
            for part in given.parts:
                PARTS[part](hands)
        finally:
            hands.ends()


if __name__ == "__main__":
    main()
