"""Time of a whole year's season and of a flash test, each beside a floor of the same run.

Run `python tests/bench/bench_season.py`; it prints and asserts nothing. The season's floor is the
bare sum of the sun's times by `astral`, that of the flash test one sparse product of its frames.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from effects import bind, load_scheme
from layouts import load_house
from sim.report.flashing import street, watch_flash
from sim.report.season_ics import ics
from sim.report.season_page import season_page
from sim.season import bill, load_season, measure, plan, warned
from sim.season.occasions import occasions

DEMO = Path(__file__).parents[2] / "demo"
YEAR, ROUNDS = 2026, 3


def best_ms(work: Callable[[], object]) -> float:
    """Least time of `work` [ms] over several rounds, after a first that compiles kernels."""
    work()
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times) * 1e3


def bare_sun(latitude: float, longitude: float) -> None:
    """Sunset, dusk, dawn and sunrise of every day, as the library gives them."""
    from astral import Observer
    from astral.sun import sun

    for day in range(365):
        with suppress(ValueError):  # the library misses some events near midnight UTC
            sun(Observer(latitude, longitude, 0), date=date(YEAR, 1, 1) + timedelta(days=day))


def main() -> None:
    """Print one line a step."""
    for name in ("cottage", "townhouse", "bungalow"):
        house = load_house(DEMO / name / "house.yaml")
        file = DEMO / name / "year.season.yaml"
        season = load_season(file, house, year=YEAR)
        measured = measure(house, season)
        planned = warned(plan(season, YEAR), measured)
        watts = measured.watts
        costs = bill(planned, watts)
        place = season.location
        floor = best_ms(lambda place=place: bare_sun(place.latitude, place.longitude))

        def read(house=house, file=file) -> None:
            occasions.cache_clear()
            load_season(file, house, year=YEAR)

        steps = {
            "read": best_ms(read),
            "plan": best_ms(lambda season=season: plan(season, YEAR)),
            "watts": best_ms(lambda house=house, season=season: measure(house, season)),
            "bill": best_ms(lambda planned=planned, watts=watts: bill(planned, watts)),
            "page": best_ms(
                lambda house=house, planned=planned, costs=costs: season_page(
                    house.name, planned, costs, ()
                )
            ),
            "ics": best_ms(lambda house=house, planned=planned: ics(house.name, planned)),
        }
        whole = sum(steps.values())
        told = ", ".join(f"{step} {spent:.0f}" for step, spent in steps.items())
        print(f"{name:10} year {whole:6.0f} ms = {whole / floor:4.1f} × the bare sun ({told})")
        for path in sorted((DEMO / name).glob("*.scheme.yaml"))[:2]:
            scheme = load_scheme(path, house)
            cells = street(house)
            seconds = watch_flash(house, scheme).seconds
            frames = round(seconds * bind(house, scheme).fps)
            light = np.ones((64, len(house.pixels), 4), np.float32)
            product = best_ms(lambda cells=cells, light=light: cells.cd_m2(light)) * frames / 64
            spent = best_ms(lambda house=house, scheme=scheme: watch_flash(house, scheme))
            print(
                f"{'':10} flash test of {path.name}, {seconds:.0f} s: {spent:.0f} ms"
                f" = {spent / product:.1f} × its sparse product"
            )


if __name__ == "__main__":
    main()
