"""A house from the invented photograph to a checked file, every step a picture.

    .venv/bin/python demo/pictures/first_house.py [--out DIR] [--keys] [--size 1280x720]

Without --out it makes the two pictures of the README anew: window-photo.jpg, window-draw.jpg.

It does what a person would: with the mouse where one would take it, with `--keys` by keys alone.
Marks on the photograph are the places that demo/photo/house.yaml tells, to the whole pixel. Nobody
built this house or took the picture.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ["SDL_VIDEODRIVER"] = "dummy"
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp()  # what is unsaved here is nobody's

import numpy as np
import pygame
from PIL import Image

from layouts import load_house
from layouts.photograph import to_pixel
from layouts.photograph.placed import likely_eye, plane_of
from sim.app.state import drawing_actions as draw
from sim.app.state import straightening as st
from sim.app.state.drawing_fields import fields
from sim.app.state.drawing_pointer import board_sight
from sim.app.state.window_layout import layout
from sim.app.straighten import PhotoStage
from sim.app.window import Window
from sim.cli.new_photo import from_photo

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent / "photo"
CALL = (Path(sys.executable).parent / "evenfall").as_posix()
#: Typed for five of the places that are known, and how far away the camera stood.
KNOWN = ("0.8, 0.55", "6.2, 0.55", "6.2, 2.75", "0.8, 2.75", "4, 4.4")
AWAY = "14 m"
#: Runs as they are traced [m], and what each is called.
EAVES = {
    "left rake": ((0.5, 2.72), (3.46, 5.08)),
    "right rake": ((3.54, 5.08), (6.5, 2.72)),
    "wing eave": ((6.5, 2.54), (12.3, 2.54)),
}
WING = ((6.2, 0.0), (12.0, 0.0), (12.0, 2.6), (6.2, 2.6))
BOX = (11.7, 2.2)
Point = tuple[float, float]
#: A JPEG whose thin lines of saturated light keep their colour.
PACKED = {"quality": 90, "subsampling": 0, "optimize": True}


class Film:
    """Numbered pictures in a folder."""

    def __init__(self, folder: Path, prefix: str):
        self._folder, self._prefix, self._count = folder, prefix, 0
        folder.mkdir(parents=True, exist_ok=True)

    def shot(self, surface: pygame.Surface, name: str) -> None:
        """What is on show now."""
        self._count += 1
        file = self._folder / f"{self._prefix}{self._count:02d}-{name}.png"
        pygame.image.save(surface, file)
        print(file)


class Hand:
    """Events as a person makes them; `turn` lets the program take them."""

    def __init__(self, turn: Callable[[], None]):
        self._turn = turn

    def key(self, *names: str) -> None:
        """Keys one after the other, "shift+d" with a modifier."""
        for name in names:
            *held, key = name.split("+") if name != "+" else ("+",)
            mod = pygame.KMOD_LSHIFT * ("shift" in held) | pygame.KMOD_LCTRL * ("ctrl" in held)
            text = key if len(key) == 1 and not mod else " " if key == "space" else ""
            self._down(pygame.key.key_code(key), text, mod)

    def typed(self, words: str) -> None:
        """Characters."""
        for one in words:
            code = pygame.K_SPACE if one == " " else ord(one) if ord(one) < 128 else pygame.K_F15
            self._down(code, one, 0)

    def press(self, x: float, y: float) -> None:
        """The pointer there, and its button."""
        at = (round(x), round(y))
        for kind in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
            more = (
                {"rel": (0, 0), "buttons": (0, 0, 0)}
                if kind == pygame.MOUSEMOTION
                else {"button": 1}
            )
            pygame.event.post(pygame.event.Event(kind, pos=at, **more))
            self._turn()

    def _down(self, key: int, text: str, mod: int) -> None:
        for kind in (pygame.KEYDOWN, pygame.KEYUP):
            pygame.event.post(pygame.event.Event(kind, key=key, unicode=text, mod=mod, scancode=0))
        self._turn()


def straighten(out: Film, folder: Path, size: tuple[int, int], keys: bool) -> Path:
    """The photograph, its marks, the house written."""

    def write(points: list[str], eaves: list[str], lengths: list[str], away: str | None
              ) -> list[Path]:  # fmt: skip
        photo = DEMO / "house.jpg"
        return from_photo(folder, photo, points, eaves, lengths, away, "m", "First house")

    stage = PhotoStage(DEMO / "house.jpg", "m", write, size_px=size, scale=1.0)
    hand = Hand(stage.step)
    stage.step()
    out.shot(stage.surface, "photograph")

    def mark(at: np.ndarray) -> None:
        u, v = np.rint(at).tolist()
        if not keys:
            hand.press(*st.on_screen(stage.state, (u, v)))
            return
        for axis, (less, more) in enumerate((("left", "right"), ("up", "down"))):
            for step, held in ((10, "shift+"), (1, "")):
                away = (u, v)[axis] - stage.state.cursor[axis]
                times = round(abs(away)) if step == 1 else int(abs(away) / step)
                hand.key(*[held + (more if away > 0 else less)] * times)
        hand.key("space")

    house = load_house(DEMO / "house.yaml")
    photo = house.drawing.photo
    assert photo is not None
    plane = plane_of(photo)
    eye = likely_eye(plane, house.drawing.viewer_m)
    hand.key("p")
    for words in KNOWN:
        x, y = map(float, words.split(","))
        mark(to_pixel(plane, np.array([x, y])))
        hand.typed(words)
        if words == KNOWN[1]:
            out.shot(stage.surface, "typing-a-place")
        hand.key("return", "escape")
    hand.key("e")
    for share in (0.0, 0.3, 0.6, 0.97):
        x, y = 0.31 + share * 3.19, 3.06 + share * 2.56
        mark(to_pixel(plane, np.array([x, y]), 0.42, eye))
    hand.key("return", "escape", "v")
    hand.typed(AWAY)
    out.shot(stage.surface, "how-far-the-camera-stood")
    hand.key("return")
    out.shot(stage.surface, "all-marked")
    if keys:
        hand.key("return")
    else:
        place = dict(stage.screen.buttons)["accept"]
        hand.press(place.x + place.w / 2, place.y + place.h / 2)
    assert stage.written, stage.state.told
    pygame.quit()
    return stage.written[0]


def settle(window: Window, ready: Callable[[], bool] = lambda: True) -> None:
    """Until everything that was asked for is on show."""
    end_s = time.monotonic() + 600
    while time.monotonic() < end_s:
        window.step(1 / 60)
        if window.shown is not None and window.backstage.idle and ready():
            break
        time.sleep(0.005)
    for _ in range(20):
        window.step(1 / 60)
    assert not window.state.fault, window.state.fault


def trace(out: Film, house: Path, size: tuple[int, int], keys: bool) -> None:
    """Runs, a part behind the wall, a place, a port, feeds: drawn, written, planned."""
    window = Window(house, scale=1.0, size_px=size)
    window.do(draw.OpenBoard())
    hand = Hand(lambda: window.step(1 / 60))
    settle(window)
    out.shot(window.surface, "to-draw-on")

    def put(at: Point) -> None:
        if keys:
            board = window.state.board
            assert board is not None
            line = board.line  # a place first, then from corner to corner
            words = f"{at[0]:g}, {at[1]:g}"
            if line:
                words = f"{at[0] - line[-1][0]:+.3f}, {at[1] - line[-1][1]:+.3f}"
            hand.typed(words)
            hand.key("return", *([] if line else ["space"]))
            return
        hand.press(*board_sight(window.state, layout(window.state)).at_px(at))

    def point_to(at: Point) -> None:
        x, y = board_sight(window.state, layout(window.state)).at_px(at)
        pos = (round(x), round(y))
        pygame.event.post(
            pygame.event.Event(pygame.MOUSEMOTION, pos=pos, rel=(0, 0), buttons=(0, 0, 0))
        )
        window.step(1 / 60)

    def fill(label: str, words: str) -> None:
        """A row of the panel gets another value."""
        board = window.state.board
        assert board is not None
        assert not board.fault, board.fault
        rows = [one.label for one in fields(board)]
        if keys:
            hand.key(*["page down"] * (rows.index(label) + 1))
        else:
            row = next(
                one
                for one in window._screen.panel
                if one.field is not None and one.field.label == label
            )
            drawer = layout(window.state).drawer
            hand.press(drawer.x + row.place.x + 8, drawer.y + row.place.y + row.place.h / 2)
        if words:
            hand.typed(words)
            hand.key("return", "escape")
        elif keys:  # yes or no
            hand.key("]", "escape")

    def traced(name: str, path: tuple[Point, ...]) -> None:
        hand.key("r")
        for number, at in enumerate(path):
            if not keys:
                point_to(at)
            if name == "left rake" and number == 1:
                out.shot(window.surface, "tracing-a-rake")
            put(at)
        hand.key("return")
        settle(window)
        fill("Name", name)

    for name, path in EAVES.items():
        traced(name, path)
    hand.key("escape")
    settle(window)
    out.shot(window.surface, "three-runs")
    # the run that a new house begins with has done its duty
    choose(window, hand, "eave", keys)
    out.shot(window.surface, "the-first-run")
    hand.key("shift+delete")
    settle(window)
    # the wing stands behind the wall
    hand.key("a")
    for at in WING:
        put(at)
    hand.key("return")
    settle(window)
    fill("Name", "wing")
    fill("Before the wall", "-0.6 m")
    settle(window)
    out.shot(window.surface, "the-wing-behind-the-wall")
    hand.key("escape", "p")
    put(BOX)
    settle(window)
    row = ("Mains socket", "Out of the rain")
    for label in row:
        fill(label, "")
    out.shot(window.surface, "a-place-with-a-socket")
    hand.key("escape", "escape", "o")
    for path in EAVES.values():
        put(path[0])
    hand.key("return")
    settle(window)
    out.shot(window.surface, "a-port")
    hand.key("escape", "escape", "w")
    settle(window)
    hand.key("shift+d")
    settle(window)
    out.shot(window.surface, "written")
    hand.key(*["shift+up"] * 6, "p")  # to 100 %: feeds for all that the runs can draw
    settle(window, lambda: window.state.proposal is not None or bool(window.state.no_plan))
    out.shot(window.surface, "a-plan")
    hand.key("1", "1")  # accepted, written
    hand.key(*["shift+down"] * 6)
    settle(window)
    out.shot(window.surface, "at-night")
    told = window.state.message.text if window.state.message else ""
    print(told)
    window.close()


def choose(window: Window, hand: Hand, name: str, keys: bool) -> None:
    """A run chosen by a press on its middle, or by Tab."""
    board = window.state.board
    assert board is not None
    if not keys:
        path = board.house.run(name).path_m
        middle = (path[0] * 0.8 + path[1] * 0.2).tolist()
        hand.key("s")
        hand.press(*board_sight(window.state, layout(window.state)).at_px(middle))
    for _ in range(60):
        board = window.state.board
        if board and board.pick and board.pick.item.name == name and board.pick.item.sort == "run":
            return
        hand.key("tab")
    raise SystemExit(f"{name} cannot be chosen")


def main() -> None:
    """Make them, and check the house at the end."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--out", type=Path, help="a folder for every step")
    ask.add_argument("--keys", action="store_true", help="by keys alone")
    ask.add_argument("--size", default="1280x720")
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    out = given.out or Path(tempfile.mkdtemp())
    film = Film(out, "k" if given.keys else "m")
    folder = Path(tempfile.mkdtemp()) / "first"
    house = straighten(film, folder, (width, height), given.keys)
    trace(film, house, (width, height), given.keys)
    print(house.read_text())
    told = subprocess.run([CALL, "check", str(house)], capture_output=True, text=True, check=False)
    print(told.stdout, told.stderr, "exit", told.returncode)
    if given.out is None:
        for step, name in (("all-marked", "window-photo"), ("a-port", "window-draw")):
            with Image.open(next(out.glob(f"*-{step}.png"))) as picture:
                picture.convert("RGB").save(HERE / f"{name}.jpg", **PACKED)


if __name__ == "__main__":
    main()
