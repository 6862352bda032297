"""Makes the README's pictures and its power report: `.venv/bin/python demo/pictures/make.py`.

With names, as `make.py scheme sheet`, only those of PICTURES.

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
from pathlib import Path

from PIL import Image

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent
ROOT = DEMO.parent
LEFT_OUT = ("Wires", "Findings", "Cautions")
COTTAGE, TOWNHOUSE, LODGE = DEMO / "cottage", DEMO / "townhouse", DEMO / "lodge"

#: How much of the handover's page is photographed [px].
SHEET = (1000, 1340)

#: Programs beside this one, and which of their pictures the README shows.
OWN: tuple[tuple[str, ...], ...] = (
    ("forms.py",),
    ("window.py", "drawer", "volts", "card", "schemes", "palettes"),
    ("dialogue.py",),
    ("first_house.py",),
)

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
    done = subprocess.run(call, cwd=ROOT, env=wide, check=True, text=True, stdout=subprocess.PIPE)
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
    print(HERE / "handover.jpg")


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
    """Write every picture beside this file, and the report into the README, or those named."""
    if sys.argv[1:]:
        pictures(sys.argv[1:])
        return
    report()
    for own in OWN:
        subprocess.run([sys.executable, HERE / own[0], *own[1:]], cwd=ROOT, check=True)
    pictures(list(PICTURES))
    handover()


def pictures(names: list[str]) -> None:
    """Write these of PICTURES beside this file."""
    for name in names:
        command = PICTURES[name]
        with tempfile.TemporaryDirectory() as folder:
            drawn = Path(folder) / "drawn.png"
            evenfall(*command, "--out", drawn)
            # 4:4:4, so that thin lines of saturated light keep their colour
            packed = {"quality": 86, "subsampling": 0, "optimize": True}
            Image.open(drawn).convert("RGB").save(HERE / f"{name}.jpg", **packed)
        print(HERE / f"{name}.jpg")


if __name__ == "__main__":
    main()
