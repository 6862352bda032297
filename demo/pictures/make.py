"""Makes the README's pictures anew: `.venv/bin/python demo/pictures/make.py`.

Every picture is what a command of Evenfall wrote, only packed as JPEG. Those of the window
(`window-*.png`) are its own screenshots (F12).
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent
COTTAGE, TOWNHOUSE = DEMO / "cottage", DEMO / "townhouse"

#: Name of the picture -> the command that writes it, without `--out`.
PICTURES: dict[str, tuple[str | Path, ...]] = {
    "scheme": (
        "render",
        TOWNHOUSE / "house.yaml",
        TOWNHOUSE / "christmas.scheme.yaml",
        *("--at", "4s", "--size", "1280x720"),
    ),
    "sheet": ("render", COTTAGE / "house.yaml", "--sheet", "--at", "4s", "--size", "640x400"),
    "compare": (
        "compare",
        COTTAGE / "house.yaml",
        COTTAGE / "evening.scheme.yaml",
        *("--kinds", "ws2812b-v5", "sk6812-rgbw-warm"),
    ),
}


def main() -> None:
    """Write every picture beside this file."""
    for name, command in PICTURES.items():
        with tempfile.TemporaryDirectory() as folder:
            drawn = Path(folder) / "drawn.png"
            call = [sys.executable, "-m", "sim.cli.main", *map(str, command), "--out", str(drawn)]
            subprocess.run(call, cwd=DEMO.parent, check=True, stdout=subprocess.DEVNULL)
            Image.open(drawn).convert("RGB").save(HERE / f"{name}.jpg", quality=88, optimize=True)
        print(HERE / f"{name}.jpg")


if __name__ == "__main__":
    main()
