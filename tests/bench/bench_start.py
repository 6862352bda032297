"""How long the command takes to start, to check and measure a house, and to its first picture.

Run `python tests/bench/bench_start.py`; it prints and asserts nothing. The floor of `--help` is
`python -c "import numpy"`; its budget is twice that. With kernels compiled, `check` of the cottage
has a budget of 0.6 s, `power` of 2 s and a picture of 1.5 s.
"""

from __future__ import annotations

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
        picture_s = least_s(*EVENFALL, "render", *files, "--at", "3s", "--out", out)
    print(f"first picture {picture_s:.2f} s of 1.5 s, 1280×720, town house")


if __name__ == "__main__":
    main()
