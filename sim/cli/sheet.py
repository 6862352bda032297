"""The contact sheet: every scheme of a house on one picture."""

from __future__ import annotations

import io
from pathlib import Path

from layouts.records import House
from sim.cli.common import Progress, fail

GROUND = (13, 17, 30)
WORDS = (232, 220, 200)


def contact_sheet(
    house_path: Path,
    house: House,
    size_px: tuple[int, int],
    hour: str,
    at_s: float,
    exposure_ev: float | None,
    report: Progress,
) -> bytes:
    """PNG of the schemes beside the house file, each at `at_s`, all at one exposure.

    `size_px` is that of one picture of the sheet before it is scaled to half. Ends with status 2
    where there is no scheme.
    """
    from PIL import Image, ImageDraw, ImageFont

    from effects import bind, load_scheme
    from sim.frame import frame, rig_for, scene
    from sim.light import picture

    files = sorted(house_path.parent.glob("*.scheme.yaml"))
    if not files:
        fail(f"there is no *.scheme.yaml beside {house_path}")
    night = scene(house, size_px, hour)
    columns = 1 if len(files) == 1 else 2 if len(files) <= 6 else 3
    rows = -(-len(files) // columns)
    width, height = size_px[0] // 2, size_px[1] // 2
    gap, foot = max(8, width // 40), max(20, width // 18)
    page = Image.new(
        "RGB",
        (columns * (width + gap) + gap, rows * (height + foot + gap) + gap),
        GROUND,
    )
    draw = ImageDraw.Draw(page)
    letters = ImageFont.load_default(foot * 0.62)
    for number, file in enumerate(files):
        scheme = load_scheme(file, house)
        light = frame(rig_for(house, scheme), bind(house, scheme), at_s).light
        image = Image.fromarray(picture(night, light, exposure_ev=exposure_ev))
        x = gap + (number % columns) * (width + gap)
        y = gap + (number // columns) * (height + foot + gap)
        page.paste(image.resize((width, height), Image.Resampling.LANCZOS), (x, y))
        draw.text((x, y + height + foot * 0.55), scheme.name, WORDS, letters, anchor="lm")
        report(number + 1, len(files))
    out = io.BytesIO()
    page.save(out, "PNG")
    return out.getvalue()
