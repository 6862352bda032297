"""Turns of the window while a run is dragged, how often its light follows, how soon it is exact.

Run `python tests/bench/bench_drag.py [--house F] [--size WxH] [--seconds S]`. It prints and asserts
nothing. A turn is everything of one round of the loop; the floor printed beside it is, in the same
run, one blit of a picture of that size and one flip. On Linux without a screen it draws into memory
(SDL's dummy driver).
"""

from __future__ import annotations

import argparse
import math
import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
    os.environ["SDL_VIDEODRIVER"] = "dummy"

import numpy as np
import pygame
from bench_window import floor_ms, settle

from sim.app.state import drawing_actions as draw
from sim.app.window import Window

DEMO = Path(__file__).parents[2] / "demo"


def main() -> None:
    """Measure and print."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--house", default=str(DEMO / "cottage/house.yaml"))
    ask.add_argument("--size", default="1280x720")
    ask.add_argument("--seconds", type=float, default=10.0)
    given = ask.parse_args()
    width, height = map(int, given.size.split("x"))
    with tempfile.TemporaryDirectory() as folder:
        house = Path(folder) / "house"
        shutil.copytree(Path(given.house).parent, house)
        window = Window(house / "house.yaml", scale=1.0, size_px=(width, height))
        try:
            report(window, given.seconds, (width, height))
        finally:
            window.close()


def report(window: Window, seconds: float, size: tuple[int, int]) -> None:
    """Drag the first run round and round, let go, and print."""
    window.do(draw.OpenBoard())
    settle(window)
    board = window.state.board
    assert board is not None
    run = board.house.runs[0]
    start = tuple(float(value) for value in run.path_m[0])
    middle = (start[0] + run.length_m / 3, start[1])
    window.do(draw.PressAt(middle, 0.05))
    clock, taken, own, fresh, lags = pygame.time.Clock(), [], [], 0, []
    seen, moved_s = window.backstage.stage, {}
    begun_s = time.monotonic()
    while (now_s := time.monotonic() - begun_s) < seconds:
        turn = 2 * math.pi * now_s / 2.5
        at = (middle[0] + 0.8 * math.sin(turn), middle[1] + 0.5 * (1 - math.cos(turn)))
        window.do(draw.PointTo(at, 0.05))
        seconds_past = clock.tick(60) / 1000
        before_s, own_s = time.perf_counter(), time.thread_time()
        window.step(seconds_past)
        taken.append(time.perf_counter() - before_s)
        own.append(time.thread_time() - own_s)
        stage = window.backstage.stage
        if stage is not seen and stage is not None:
            seen, fresh = stage, fresh + 1
            xy = tuple(np.round(stage.left.rig.house.runs[0].path_m[0], 4))
            if xy in moved_s:
                lags.append(now_s - moved_s[xy])
        held = window.state.board
        if held is not None and held.grab is not None:
            dx, dy = (a - b for a, b in zip(held.cross_m, held.grab.from_m, strict=True))
            moved_s[tuple(np.round((start[0] + dx, start[1] + dy), 4))] = now_s
    let_go_s = time.monotonic()
    window.do(draw.LetGo())
    exact_s, ceiling_s = None, None
    while exact_s is None or ceiling_s is None:
        window.step(1 / 60)
        now_s = time.monotonic() - let_go_s
        stage = window.backstage.stage
        if exact_s is None and stage is not None and not stage.held and window.backstage.made_all:
            exact_s = now_s
        if exact_s is not None and window.backstage.idle and window.state.ceiling is not None:
            ceiling_s = now_s
        time.sleep(0.002)
    ms = 1000 * np.array(taken)
    p50, p95, p99 = np.percentile(ms, (50, 95, 99))
    floor = floor_ms(window)
    print(
        f"{size[0]}x{size[1]}, {len(board.house.pixels)} pixels, {len(ms)} turns in {seconds:.0f} s"
    )
    print(f"{'turn':>14}: 50 % {p50:.1f} ms, 95 % {p95:.1f} ms, 99 % {p99:.1f} ms, "
          f"most {ms.max():.1f} ms")  # fmt: skip
    print(f"{'its own work':>14}: 50 % {np.percentile(own, 50) * 1000:.1f} ms, "
          f"95 % {np.percentile(own, 95) * 1000:.1f} ms of a core")  # fmt: skip
    print(f"{'within 33 ms':>14}: {100 * (ms <= 33).mean():.1f} % of turns")
    print(f"{'floor':>14}: {floor:.2f} ms; a turn at 95 % is {p95 / floor:.1f} x that")
    print(f"{'light follows':>14}: {fresh / seconds:.1f} times a second, "
          f"{1000 * float(np.median(lags)) if lags else float('nan'):.0f} ms behind")  # fmt: skip
    print(f"{'let go':>14}: light exact after {exact_s:.2f} s, ceiling after {ceiling_s:.2f} s")
    load = os.getloadavg()[0]
    print(f"{'load average':>14}: {load:.1f} on {os.cpu_count()} cores")


if __name__ == "__main__":
    main()
