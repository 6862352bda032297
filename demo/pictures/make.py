"""Makes the README's pictures and its power report anew: `.venv/bin/python demo/pictures/make.py`.

Every picture is what a command of Evenfall wrote, only packed as JPEG; `window.py` makes those of
the window, `forms.py` the sheet of houses from measurements. The report is what `evenfall power`
prints, without its wires, findings and cautions.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent
ROOT = DEMO.parent
LEFT_OUT = ("Wires", "Findings", "Cautions")
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
    "years": (
        "render",
        COTTAGE / "house.yaml",
        COTTAGE / "evening.scheme.yaml",
        *("--age", "3", "--size", "800x450"),
    ),
    "plan": ("plan", COTTAGE / "house.yaml", "--anew"),
    "options": (
        "plan",
        COTTAGE / "house.yaml",
        COTTAGE / "christmas.scheme.yaml",
        *("--kinds", "ws2812b-v5", "ws2815", "sk6812-rgbw-warm", "ws2811-12v-group3"),
    ),
}


def evenfall(*arguments: str | Path) -> str:
    """What the command prints on 84 columns."""
    call = [sys.executable, "-m", "sim.cli.main", *map(str, arguments)]
    wide = os.environ | {"COLUMNS": "84"}
    done = subprocess.run(call, cwd=ROOT, env=wide, check=True, text=True, stdout=subprocess.PIPE)
    return done.stdout


def report() -> None:
    """Put what `evenfall power` prints now into the README."""
    readme = ROOT / "README.md"
    text = readme.read_text(encoding="utf-8")
    command = re.search(r"^\$ evenfall (power .*)$", text, re.MULTILINE)
    assert command is not None
    printed = "\n".join(line.rstrip() for line in evenfall(*command[1].split()).splitlines())
    sections = re.split(r"\n\n(?=\w)", printed)
    kept = [part for part in sections if part.split("\n")[0] not in LEFT_OUT]
    shown = "\n\n".join([*kept, f"{', '.join(LEFT_OUT)} …"])
    end = text.index("\n```", command.end())
    readme.write_text(f"{text[: command.end()]}\n{shown}{text[end:]}", encoding="utf-8")


def main() -> None:
    """Write every picture beside this file, and the report into the README."""
    report()
    subprocess.run([sys.executable, HERE / "forms.py"], cwd=ROOT, check=True)
    for name, command in PICTURES.items():
        with tempfile.TemporaryDirectory() as folder:
            drawn = Path(folder) / "drawn.png"
            evenfall(*command, "--out", drawn)
            Image.open(drawn).convert("RGB").save(HERE / f"{name}.jpg", quality=88, optimize=True)
        print(HERE / f"{name}.jpg")


if __name__ == "__main__":
    main()
