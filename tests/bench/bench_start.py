"""How long the command takes to start, and to its first headless picture.

Run `python tests/bench/bench_start.py`; it prints and asserts nothing. The floor of `--help` is
`python -c "import numpy"`; its budget is three times that. The first picture, kernels compiled,
has a budget of 2.5 s.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
TOWNHOUSE = ROOT / "demo" / "townhouse"
EVENFALL = (sys.executable, "-m", "sim.cli.main")
ROUNDS = 5


def least_s(*call: str | Path) -> float:
    """Least wall time of a process over several rounds, after a first that warms the caches [s]."""
    times = []
    for _ in range(ROUNDS + 1):
        began = time.perf_counter()
        subprocess.run(call, cwd=ROOT, check=True, capture_output=True)
        times.append(time.perf_counter() - began)
    return min(times[1:])


def main() -> None:
    """Print one line a figure."""
    floor_s = least_s(sys.executable, "-c", "import numpy")
    help_s = least_s(*EVENFALL, "--help")
    print(f"--help {help_s:.3f} s, {help_s / floor_s:.2f} × import numpy ({floor_s:.3f} s)")
    files = TOWNHOUSE / "house.yaml", TOWNHOUSE / "christmas.scheme.yaml"
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "a.png"
        picture_s = least_s(*EVENFALL, "render", *files, "--at", "3s", "--out", out)
    print(f"first picture {picture_s:.2f} s of 2.5 s, 1280×720, town house")


if __name__ == "__main__":
    main()
