"""Frame times of the window with ribbon and drawer open, and a soak for memory.

Run `python tests/bench/bench_window.py [--size WxH] [--seconds S] [--soak MINUTES]`. It prints
and asserts nothing. A turn is everything of one round of the loop: events, effect, colour, codes,
circuit, light, drawing, widgets, flip. The floor printed beside it is, in the same run, one blit
of a picture of that size and one flip: what any window pays to show anything at all. On
Linux without a screen it draws into memory (SDL's dummy driver); with DISPLAY set, on that screen.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
    os.environ["SDL_VIDEODRIVER"] = "dummy"

import numpy as np
import pygame

from sim.app.state import actions as act
from sim.app.window import Window
from sim.app.work.turn import quick_switches

DEMO = Path(__file__).parents[2] / "demo"


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--house", default=str(DEMO / "townhouse/house.yaml"))
    ask.add_argument("--scheme", default=str(DEMO / "townhouse/christmas.scheme.yaml"))
    ask.add_argument("--size", default="1280x720")
    ask.add_argument("--seconds", type=float, default=20.0)
    ask.add_argument("--soak", type=float, default=0.0, metavar="MINUTES")
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    window = Window(given.house, given.scheme, scale=1.0, size_px=(width, height))
    try:
        window.do(act.ToggleDrawer())
        first_s = settle(window)
        assert window.state.facts is not None
        print(f"{given.house}, {window.state.facts.pixels} pixels, {width}x{height}, drawer open")
        print(f"first picture after {first_s:.1f} s")
        report(window, given.seconds)
        if given.soak:
            soak(window, given.soak)
    finally:
        window.close()


def settle(window: Window) -> float:
    """Wait for the first picture and for the work beside it; gives the first picture's time [s]."""
    begun_s = time.monotonic()
    first_s = 0.0
    while not (first_s and window.backstage.idle and window.state.ceiling is not None):
        window.step(1 / 60)
        if window.shown is not None and not first_s:
            first_s = time.monotonic() - begun_s
        time.sleep(0.002)
    return first_s


def turn(window: Window, clock: pygame.time.Clock) -> tuple[float, bool]:
    """One turn of the loop at its own pace: its work [s], and whether a new frame was made."""
    seconds = clock.tick(60) / 1000
    before = window.shown
    begun_s = time.perf_counter()
    window.step(seconds)
    return time.perf_counter() - begun_s, window.shown is not before


def report(window: Window, seconds: float) -> None:
    """Percentiles of a turn's work, and of those turns that made a new frame."""
    clock = pygame.time.Clock()
    end_s = time.monotonic() + seconds
    taken = []
    while time.monotonic() < end_s:
        taken.append(turn(window, clock))
    every = 1000 * np.array([one for one, _ in taken])
    new = 1000 * np.array([one for one, fresh in taken if fresh])
    print(f"{len(every)} turns in {seconds:.0f} s: {len(every) / seconds:.1f} a second")
    for name, times in (("turn", every), ("with a new frame", new)):
        p50, p95, p99 = np.percentile(times, (50, 95, 99))
        print(f"{name:>17}: 50 % {p50:.1f} ms, 95 % {p95:.1f} ms, 99 % {p99:.1f} ms, "
              f"most {times.max():.1f} ms")  # fmt: skip
    floor = floor_ms(window)
    print(f"{'floor':>17}: {floor:.2f} ms, one blit and one flip; "
          f"a turn at 95 % is {np.percentile(every, 95) / floor:.1f} x that")  # fmt: skip
    load = os.getloadavg()[0]
    print(f"{'load average':>17}: {load:.1f} on {os.cpu_count()} cores")


def floor_ms(window: Window, clock: Callable[[], float] = time.perf_counter) -> float:
    """The middle time of one blit of a whole picture and one flip [ms], by a clock [s]."""
    width, height = window.state.size_px
    image = pygame.image.frombuffer(bytes(3 * width * height), (width, height), "RGB")
    times = []
    for _ in range(100):
        begun_s = clock()
        window.surface.blit(image, (0, 0))
        pygame.display.flip()
        times.append(clock() - begun_s)
    return float(1000 * np.median(times))


def resident_mb() -> float:
    """Memory in use now, or at its most where the system tells no more [MB]."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
        return pages * resource.getpagesize() / 1e6
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def soak(window: Window, minutes: float) -> None:
    """Play and do what people do; memory every tenth of the time."""
    deeds = [act.ToggleOverlay("volts"), act.StepPixel(7), act.Set("brightness", 0.5),
             act.ToggleOverlay("wires"), act.Scroll(200, 900), act.Set("0.opacity", 0.7),
             act.ToggleOverlay("volts"), act.ToggleHelp(), act.ToggleHelp(), act.Revert(),
             act.ToggleOverlay("wires"), act.Scroll(-200, 900), act.Select(None),
             act.ToggleDrawer(), act.ToggleDrawer(), act.StepSeconds(7)]  # fmt: skip
    clock = pygame.time.Clock()
    begun_s = time.monotonic()
    every_s, done, told = 60 * minutes / 10, 0, 0
    start_mb = None
    while (now_s := time.monotonic() - begun_s) < 60 * minutes:
        turn(window, clock)
        if now_s > 2 * (done + 1):
            window.do(deeds[done % len(deeds)])
            done += 1
        if now_s >= told * every_s:
            held_mb = resident_mb()
            # The first round of deeds fills what is kept for good; growth counts after it.
            if start_mb is None and done >= len(deeds):
                start_mb = held_mb
            grown = f", {held_mb - start_mb:+.1f} MB since" if start_mb is not None else ""
            print(f"soak {now_s / 60:5.1f} min: {held_mb:.0f} MB{grown}", flush=True)
            told += 1


if __name__ == "__main__":
    with quick_switches():  # as the window itself does
        main()
