"""Makes the README's pictures and its power report: `.venv/bin/python demo/pictures/make.py`.

With names, as `make.py scheme window-card`, only those: of PICTURES, of the programs in OWN, of the
window, `report` or `handover`. Two are made at a time. What fails is told at the end, and does not
keep the others from being made.

Every picture is what a command of Evenfall wrote, only packed as JPEG; those of the windows and the
sheet of houses from measurements have programs of their own. Of the handover three parts are
photographed by headless Chromium (Debian `chromium`). The report is what `evenfall power` prints,
without its wires, findings and cautions.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent
ROOT = DEMO.parent
LEFT_OUT = ("Wires", "Findings", "Cautions")
COTTAGE, TOWNHOUSE, LODGE = DEMO / "cottage", DEMO / "townhouse", DEMO / "lodge"

#: How much of the handover's page is photographed [px].
SHEET = (1000, 1340)

#: Programs beside this one, and which of the window's pictures the README shows.
OWN = ("first_house", "forms", "same_eave", "nights", "dialogue")
WINDOW = ("drawer", "volts", "card", "schemes", "palettes", "mend", "sighted")

#: Name of the picture -> the command that writes it, without `--out`.
PICTURES: dict[str, tuple[str | Path, ...]] = {
    "scheme": (
        "render",
        TOWNHOUSE / "house.yaml",
        TOWNHOUSE / "christmas.scheme.yaml",
        *("--at", "4s", "--size", "1280x720", "--hour", "late"),
    ),
    "sheet": (
        *("render", LODGE / "house.yaml", "--sheet"),
        *("--at", "4s", "--size", "960x600", "--hour", "late"),
    ),
    "compare": (
        "compare",
        COTTAGE / "house.yaml",
        COTTAGE / "evening.scheme.yaml",
        *("--kinds", "ws2812b-v5", "sk6812-rgbw-warm"),
    ),
    "fault": (
        "fault",
        COTTAGE / "house.yaml",
        COTTAGE / "christmas.scheme.yaml",
        COTTAGE / "after-the-storm.faults.yaml",
        *("--at", "4s", "--size", "1280x720"),
    ),
    "suspects": (
        "diagnose",
        COTTAGE / "house.yaml",
        COTTAGE / "after-the-storm.sightings.yaml",
    ),
    "found": (
        "diagnose",
        COTTAGE / "house.yaml",
        COTTAGE / "after-the-storm-2.sightings.yaml",
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
    done = subprocess.run(call, cwd=ROOT, env=wide, check=True, text=True, capture_output=True)
    return done.stdout


def handover() -> None:
    """Three parts of the town house's document side by side, as a browser shows them."""
    sheet = Image.new("RGB", (3 * SHEET[0], SHEET[1]), "white")
    with tempfile.TemporaryDirectory() as folder:
        page, shot = Path(folder) / "house.html", Path(folder) / "shot.png"
        call = ("handover", TOWNHOUSE / "house.yaml", TOWNHOUSE / "year.season.yaml")
        evenfall(*call, "--date", "2026-03-01", "--out", page)
        whole = page.read_text("utf-8")
        for number, kept in enumerate(("", "wiring", "commissioning")):
            left_out = rf'<section id="(?!{kept}")[^>]*>.*?</section>|<nav.*?</nav>'
            if kept:
                left_out += '|<header class="cover">.*?</header>'
            else:
                left_out = r"<section.*?</section>"
            page.write_text(re.sub(left_out, "", whole, flags=re.DOTALL), "utf-8")
            size = f"--window-size={SHEET[0]},{SHEET[1]}"
            subprocess.run(
                ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                 size, f"--screenshot={shot}", page.as_uri()],
                check=True, capture_output=True,
            )  # fmt: skip
            sheet.paste(Image.open(shot).convert("RGB"), (number * SHEET[0], 0))
    small = sheet.resize((1600, round(1600 * SHEET[1] / (3 * SHEET[0]))), Image.Resampling.LANCZOS)
    small.save(HERE / "handover.jpg", quality=86, optimize=True)


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


def own(program: str, *words: str) -> None:
    """What a program beside this one makes."""
    call = [sys.executable, str(HERE / f"{program}.py"), *words]
    subprocess.run(call, cwd=ROOT, check=True, text=True, capture_output=True)


def picture(name: str) -> None:
    """One of PICTURES, beside this file."""
    with tempfile.TemporaryDirectory() as folder:
        drawn = Path(folder) / "drawn.png"
        evenfall(*PICTURES[name], "--out", drawn)
        # 4:4:4, so that thin lines of saturated light keep their colour
        packed = {"quality": 86, "subsampling": 0, "optimize": True}
        Image.open(drawn).convert("RGB").save(HERE / f"{name}.jpg", **packed)


JOBS: dict[str, Callable[[], None]] = {
    **{name: partial(own, name) for name in OWN},
    **{f"window-{name}": partial(own, "window", name) for name in WINDOW},
    "handover": handover,
    **{name: partial(picture, name) for name in PICTURES},
    "report": report,
}


def done(name: str) -> str | None:
    """Make it; why it could not be made."""
    begin_s = time.monotonic()
    try:
        JOBS[name]()
    except subprocess.CalledProcessError as error:
        return f"{name}: {' '.join(map(str, error.cmd))}\n{error.stderr or error.stdout or ''}"
    except (OSError, AssertionError) as error:
        return f"{name}: {error!r}"
    print(f"{name}: {time.monotonic() - begin_s:.0f} s", flush=True)
    return None


def main() -> None:
    """Every picture beside this file, and the report into the README, or those named."""
    names = sys.argv[1:] or list(JOBS)
    unknown = [name for name in names if name not in JOBS]
    if unknown:
        sys.exit(f"no {', '.join(unknown)}; there are: {', '.join(JOBS)}")
    with ThreadPoolExecutor(2) as two:
        failed = [why for why in two.map(done, names) if why]
    if failed:
        sys.exit("\n".join(failed))


if __name__ == "__main__":
    main()
