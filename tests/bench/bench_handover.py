"""How long the document of the town house with its season takes, beside a floor of the same run.

The floor: every frame of its schemes solved once, and one picture of the night; below that no
document that tells peaks and shows the house can go. The command's start, some two seconds of
imports and kernels read, comes on top. Asked for: 8 s of wall time on two quiet cores.

Run `python tests/bench/bench_handover.py`; it prints and asserts nothing.
"""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path

from effects import bind
from layouts import load_house
from sim.frame import frame, rig_for, scene
from sim.light import picture
from sim.parts import parts_beside
from sim.report.handover import handover_of
from sim.report.handover.cover import AT_S, LARGE
from sim.report.handover.facts import Subject, seconds_of
from sim.report.handover.page import handover_html
from sim.scan import scan
from sim.season import load_season

FOLDER = Path(__file__).parents[2] / "demo" / "townhouse"


def timed(work) -> tuple[float, float]:
    """Seconds of wall and of the processor."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


def main() -> None:
    house = load_house(FOLDER / "house.yaml")
    season = load_season(FOLDER / "year.season.yaml", house, year=2026)
    parts = parts_beside(house)
    rigs = {name: rig_for(house, scheme) for name, scheme in season.schemes.items()}
    shows = {name: bind(house, scheme) for name, scheme in season.schemes.items()}

    def floor() -> None:
        for name, scheme in season.schemes.items():
            scan(rigs[name], shows[name], seconds=seconds_of(scheme, house, None))
        name = next(iter(rigs))
        picture(scene(house, LARGE, "evening"), frame(rigs[name], shows[name], AT_S).light)

    def document() -> None:
        facts = handover_of(house, parts, Subject(date(2026, 3, 1), (), season))
        handover_html(facts)

    timed(floor)  # kernels compiled, files read
    least, whole = timed(floor), timed(document)
    print(f"floor     {least[0]:6.2f} s wall  {least[1]:6.2f} s processor")
    print(f"document  {whole[0]:6.2f} s wall  {whole[1]:6.2f} s processor")
    print(f"ratio     {whole[0] / least[0]:6.2f}         {whole[1] / least[1]:6.2f}")


if __name__ == "__main__":
    main()
