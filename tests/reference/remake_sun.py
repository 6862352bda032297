"""Remakes sun.json: times of sunset, dusk, dawn and sunrise by a program outside the project.

Run it with an interpreter that has pvlib; it needs nothing of this project:

    python -m venv somewhere
    somewhere/bin/pip install pvlib==0.16.1
    somewhere/bin/python tests/reference/remake_sun.py

pvlib's `spa_python` is the Solar Position Algorithm (I. Reda, A. Andreas, NREL/TP-560-34302,
±0.0003° for the years −2000 to 6000). Its true elevation, without refraction, is followed from
noon to noon by the minute; where it crosses −0.833° and −6° the time is found by halving.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib

OUT = Path(__file__).with_name("sun.json")
DEGREES = {"sunset": -0.833, "dusk": -6.0, "dawn": -6.0, "sunrise": -0.833}
#: name: latitude, longitude [°]
PLACES = {
    "Ushuaia": (-54.8, -68.3),
    "Auckland": (-36.85, 174.76),
    "Quito": (-0.18, -78.47),
    "Honolulu": (21.31, -157.86),
    "Denver": (39.742476, -105.1786),
    "Tokyo": (35.68, 139.69),
    "London": (51.5, -0.12),
    "Edinburgh": (55.95, -3.19),
    "Oslo": (59.91, 10.75),
    "Tromsø": (69.65, 18.96),
}
EVENINGS = [
    f"{year}-{day}"
    for year, days in {
        1950: ("03-20", "10-31"),
        2003: ("10-16", "12-21"),
        2026: ("01-15", "02-14", "03-29", "04-20", "05-10", "06-21", "07-25", "08-20", "09-22",
               "10-31", "11-26", "12-21"),
        2100: ("02-03", "11-05"),
    }.items()
    for day in days
]  # fmt: skip


def elevation_deg(times: pd.DatetimeIndex, place: tuple[float, float]) -> np.ndarray:
    """True elevation of the sun's centre [°] at sea level."""
    found = pvlib.solarposition.spa_python(times, *place, altitude=0, delta_t=None)
    return found["elevation"].to_numpy()


def crossing(
    place: tuple[float, float], begins: pd.Timestamp, degrees: float, sign: int
) -> str | None:
    """When the sun goes down (sign −1) or up through `degrees` in the day from `begins`, UTC."""
    times = pd.date_range(begins, periods=24 * 60 + 1, freq="min")
    above = elevation_deg(times, place) - degrees
    at = np.flatnonzero((above[:-1] * sign < 0) & (above[1:] * sign >= 0))
    if not len(at):
        return None
    low, high = times[at[0]], times[at[0] + 1]
    while high - low > pd.Timedelta("20ms"):
        middle = low + (high - low) / 2
        before = (elevation_deg(pd.DatetimeIndex([middle]), place)[0] - degrees) * sign < 0
        low, high = (middle, high) if before else (low, middle)
    return low.round("100ms").isoformat(timespec="milliseconds")


def main() -> None:
    """Writes the table; the evening's day begins at the mean sun's noon."""
    rows = []
    for name, place in PLACES.items():
        for evening in EVENINGS:
            noon = pd.Timestamp(f"{evening}T12:00", tz="UTC") - pd.Timedelta(hours=place[1] / 15)
            signs = {"sunset": -1, "dusk": -1, "dawn": 1, "sunrise": 1}
            times = {
                event: crossing(place, noon.round("s"), degrees, signs[event])
                for event, degrees in DEGREES.items()
            }
            rows.append({"place": name, "evening": evening} | times)
    made = {
        "origin": f"pvlib {pvlib.__version__}, spa_python (NREL/TP-560-34302), remake_sun.py",
        "places": PLACES,
        "degrees": DEGREES,
        "rows": rows,
    }
    lines = [f"{json.dumps(key)}: {json.dumps(made[key], ensure_ascii=False)}" for key in made]
    lines[-1] = '"rows": [\n' + ",\n".join(json.dumps(r, ensure_ascii=False) for r in rows) + "\n]"
    OUT.write_text("{\n" + ",\n".join(lines) + "\n}\n", "utf-8")


if __name__ == "__main__":
    main()
