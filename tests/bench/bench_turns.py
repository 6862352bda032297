"""What one turn of the window costs while a moving scheme plays, part by part.

Run `python tests/bench/bench_turns.py [--size WxH] [--seconds S] [--plain] [--measuring]`. It
prints and asserts nothing. Drawer, ribbon, every overlay, a lit run and an open card are shown
unless `--plain`; with `--measuring` the ribbon is computed all the time. Leading figures are CPU
time of the window's own thread: on a machine with a core for each thread that is what a turn takes;
the clock beside it counts whatever else the machine did meanwhile: on Linux `no core` is how long
the thread waited for one, `asleep` how long it waited for the interpreter's lock. `process` is the
CPU time of every thread. On Linux without a screen it draws into memory (SDL's dummy driver); with
DISPLAY set, on that screen.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
    os.environ["SDL_VIDEODRIVER"] = "dummy"

import numpy as np
import pygame
import pygame_gui
import yaml
from bench_window import floor_ms

from sim.app import window as loop
from sim.app.state import actions as act
from sim.app.view import cards, overlays, screen
from sim.app.view.lying_wires import LyingWires
from sim.app.view.ribbon import Ribbon
from sim.app.view.touch import TouchScreen
from sim.app.window import Window
from sim.app.work import player
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_desk import LoadDesk
from sim.app.work.turn import quick_switches

TOWNHOUSE = Path(__file__).parents[2] / "demo/townhouse"
PIXELS = 2000


class Parts:
    """CPU and wall time of named parts of a turn [s], by wrapping what they call."""

    def __init__(self) -> None:
        self.own: dict[str, float] = {}
        self.wall: dict[str, float] = {}

    def watch(self, owner: Any, name: str, part: str) -> None:
        """Count every call of `owner.name` as `part`."""
        plain: Callable[..., Any] = getattr(owner, name)

        def watched(*args: Any, **kwargs: Any) -> Any:
            own_s, wall_s = time.thread_time(), time.perf_counter()
            try:
                return plain(*args, **kwargs)
            finally:
                self.own[part] = self.own.get(part, 0.0) + time.thread_time() - own_s
                self.wall[part] = self.wall.get(part, 0.0) + time.perf_counter() - wall_s

        setattr(owner, name, watched)


def watched_parts() -> Parts:
    """The parts that a turn is told by."""
    parts = Parts()
    for owner, name, part in (
        (loop.Window, "_follow", "files and threads"),
        (loop.Window, "_play", "frame and light"),
        (loop.Window, "_draw", "drawing, all"),
        (screen.Screen, "_arrange", "  arranging"),
        (screen.Screen, "_house", "  house"),
        (screen.Screen, "_over", "    overlays, all"),
        (overlays, "draw_volts", "      volts"),
        (overlays, "draw_runs", "      runs"),
        (overlays, "draw_zones", "      zones"),
        (LyingWires, "draw", "      wires"),
        (overlays, "lay_dots", "        dots"),
        (overlays, "_rings", "        rings"),
        (player, "frame_now", "  frame"),
        (player, "screen_picture", "  light"),
        (Ribbon, "draw", "  ribbon"),
        (Ribbon, "draw_over", "  ribbon"),
        (TouchScreen, "draw_light", "    touched, outline"),
        (TouchScreen, "draw", "    touched, card"),
        (screen, "tools", "  tools"),
        (screen, "draw_chips", "  chips and banners"),
        (screen, "draw_banners", "  chips and banners"),
        (loop.Window, "_point", "  pointer and title"),
        (loop.Window, "_name", "  pointer and title"),
        (screen, "draw_tools", "  tools"),
        (screen, "draw_drawer", "  drawer"),
        (pygame_gui.UIManager, "update", "  widgets"),
        (pygame_gui.UIManager, "draw_ui", "  widgets"),
        (cards, "draw_message", "  message"),
        (pygame.display, "flip", "  flip"),
    ):
        parts.watch(owner, name, part)
    return parts


def with_pixels(folder: Path, pixels: int) -> Path:
    """The town house with so many pixels more on its last run that there are `pixels` in all."""
    from layouts import load_house

    house = load_house(TOWNHOUSE / "house.yaml")
    text = yaml.safe_load((TOWNHOUSE / "house.yaml").read_text())
    run = text["runs"][-1]
    run["count"] = house.runs[-1].count + pixels - len(house.pixels)
    text.pop("outputs", None)  # addresses have no part in what a turn costs
    path = folder / "house.yaml"
    path.write_text(yaml.safe_dump(text, sort_keys=False))
    return path


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--scheme", default=str(TOWNHOUSE / "christmas.scheme.yaml"))
    ask.add_argument("--size", default="1920x1080")
    ask.add_argument("--seconds", type=float, default=10.0)
    ask.add_argument("--plain", action="store_true")
    ask.add_argument("--measuring", action="store_true")
    ask.add_argument("--compare", action="store_true")
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    parts = watched_parts()
    with tempfile.TemporaryDirectory() as folder:
        house = with_pixels(Path(folder), PIXELS)
        window = Window(house, given.scheme, scale=1.0, size_px=(width, height))
        try:
            if not given.plain:
                window.do(act.ToggleDrawer())
                for name in ("volts", "runs", "wires", "zones"):
                    window.do(act.ToggleOverlay(name))
            if given.compare:
                window.do(act.ToggleCompare())
            settle(window, given.measuring)
            if not given.plain:
                hand_over(window)
            assert window.state.facts is not None
            on = "house alone" if given.plain else "drawer and every overlay"
            measuring = ", ribbon computing" if given.measuring else ""
            print(f"{window.state.facts.pixels} pixels, {width}x{height}, {on}{measuring}, "
                  f"driver {pygame.display.get_driver()}")  # fmt: skip
            report(window, parts, given.seconds, given.measuring)
        finally:
            window.close()


def settle(window: Window, measuring: bool) -> None:
    """Wait for the first picture; then for the ribbon, at most 90 s."""
    end_s = time.monotonic() + 90
    while window.shown is None or not window.backstage.made_all or window.state.drawer_open < 1:
        window.step(1 / 60)
    while not measuring and not window.backstage.idle and time.monotonic() < end_s:
        window.step(1 / 60)
        time.sleep(0.005)


def report(window: Window, parts: Parts, seconds: float, measuring: bool) -> None:
    """Play for so many seconds and print."""
    clock = pygame.time.Clock()
    for _ in range(10):
        window.step(clock.tick(60) / 1000)
    parts.own.clear()
    parts.wall.clear()
    own, wall, every, fresh, drawn, no_core = [], [], [], 0, [], []
    end_s = time.monotonic() + seconds
    begun_s = time.process_time()
    while time.monotonic() < end_s:
        passed_s = clock.tick(60) / 1000
        if measuring and window.backstage.desk.idle:
            again(window.backstage.desk)
        before, was = window.shown, window._drawn
        own_s, wall_s, every_s = time.thread_time(), time.perf_counter(), time.process_time()
        queued_s = no_core_s()
        window.step(passed_s)
        no_core.append(1000 * (no_core_s() - queued_s))
        own.append(1000 * (time.thread_time() - own_s))
        wall.append(1000 * (time.perf_counter() - wall_s))
        every.append(1000 * (time.process_time() - every_s))
        fresh += window.shown is not before
        drawn.append(window._drawn is not was)
    turns, all_s = len(own), time.process_time() - begun_s
    print(f"{turns} turns in {seconds:.0f} s, {fresh} with a new frame; ms a turn:")
    print(f"{1000 * all_s / max(fresh, 1):.1f} ms CPU of all threads, also between turns, "
          f"for every new frame; {fresh / seconds:.1f} new frames a second")  # fmt: skip
    draws = np.array(drawn)
    print(f"{draws.sum()} turns drew; the others found nothing new to show")
    for name, times in (("own thread", own), ("clock", wall), ("process", every),
                        ("own, where it drew", np.array(own)[draws]),
                        ("clock, where it drew", np.array(wall)[draws]),
                        ("no core", np.array(no_core)[draws]),
                        ("asleep", (np.array(wall) - own - no_core)[draws])):  # fmt: skip
        p50, p95, p99 = np.percentile(times, (50, 95, 99))
        print(f"{name:>20}: mean {np.mean(times):6.2f}  50 % {p50:6.2f}  95 % {p95:6.2f}  "
              f"99 % {p99:6.2f}")  # fmt: skip
    for part in parts.own:
        print(f"{part:<20}  own {1000 * parts.own[part] / turns:6.2f}  "
              f"clock {1000 * parts.wall[part] / turns:6.2f}")  # fmt: skip
    print(
        "floor: one blit of the whole window and one flip "
        f"{floor_ms(window, time.thread_time):.2f} ms own"
    )
    print(f"load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")


def no_core_s() -> float:
    """How long this thread has waited for a core so far [s]; 0 where the system does not tell."""
    try:
        told = Path(f"/proc/self/task/{threading.get_native_id()}/schedstat").read_text()
    except OSError:
        return 0.0
    return int(told.split()[1]) / 1e9


def again(desk: LoadDesk) -> None:
    """Have the ribbon's desk forget what it has measured."""
    desk.kept, desk._on_show = KeptLoads(), {}


def hand_over(window: Window) -> None:
    """The pointer rests on a run, and the card of a supply is open."""
    touch = window.state.touch
    runs = [thing for thing in touch.things if thing.form == "run"]
    supplies = [thing for thing in touch.things if thing.form == "supply"]
    lit, card = next(iter(runs), None), next(iter(supplies), None)
    window.state = replace(window.state, touch=replace(touch, lit=lit, card=card, by_keys=True))


if __name__ == "__main__":
    with quick_switches():  # as the window itself does
        main()
