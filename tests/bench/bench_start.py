"""How long the command takes to start, to check and measure a house, and to its first picture.

Run `python tests/bench/bench_start.py`; it prints and asserts nothing. The floor of `--help` is
`python -c "import numpy"`; its budget is twice that. With kernels compiled, `check` of the cottage
has a budget of 0.6 s, `power` of 2 s and a picture of 1.5 s; the very first picture, for which two
processes compile kernels, of 10 s on two cores.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
TOWNHOUSE = ROOT / "demo" / "townhouse"
COTTAGE = ROOT / "demo" / "cottage"
EVENFALL = (sys.executable, "-m", "sim.cli.main")
ROUNDS = 5


def least_s(*call: str | Path) -> float:
    """Least wall time of a process over several rounds, after a first that warms the caches [s]."""
    times = []
    for _ in range(ROUNDS + 1):
        began = time.perf_counter()
        done = subprocess.run(call, cwd=ROOT, check=False, capture_output=True)
        assert done.returncode in (0, 1), done.stderr  # 1: something is dangerous
        times.append(time.perf_counter() - began)
    return min(times[1:])


def with_nothing_kept_s(*call: str | Path) -> tuple[float, float]:
    """Wall time and time of all processors of a process that finds no kernel compiled [s]."""
    with tempfile.TemporaryDirectory() as kept:
        before, began = os.times(), time.perf_counter()
        env = {**os.environ, "NUMBA_CACHE_DIR": kept}
        subprocess.run(call, cwd=ROOT, check=True, capture_output=True, env=env)
        wall_s, after = time.perf_counter() - began, os.times()
    used = (after.children_user + after.children_system) - (
        before.children_user + before.children_system
    )
    return wall_s, used


def main() -> None:
    """Print one line a figure."""
    floor_s = least_s(sys.executable, "-c", "import numpy")
    help_s = least_s(*EVENFALL, "--help")
    print(f"--help {help_s:.3f} s, {help_s / floor_s:.2f} × import numpy ({floor_s:.3f} s)")
    cottage, scheme = COTTAGE / "house.yaml", COTTAGE / "christmas.scheme.yaml"
    check_s = least_s(*EVENFALL, "check", cottage)
    print(f"check of the cottage {check_s:.2f} s of 0.6 s, {check_s / floor_s:.2f} × import numpy")
    power_s = least_s(*EVENFALL, "power", cottage, scheme)
    print(f"power of the cottage {power_s:.2f} s of 2 s, {power_s / floor_s:.2f} × import numpy")
    files = TOWNHOUSE / "house.yaml", TOWNHOUSE / "christmas.scheme.yaml"
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "a.png"
        call = (*EVENFALL, "render", *files, "--at", "3s", "--out", out)
        picture_s = least_s(*call)
        first_s, used_s = with_nothing_kept_s(*call)
    print(f"first picture {picture_s:.2f} s of 1.5 s, 1280×720, town house")
    print(f"the same with no kernel compiled {first_s:.1f} s of 10 s, {used_s:.1f} s CPU")


if __name__ == "__main__":
    main()
