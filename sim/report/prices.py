"""What pixels cost, from `prices.yaml` or `parts.yaml` beside the house file.

A parts file gives the price of a reel or string; where both stand, `prices.yaml` counts.

format: evenfall-prices/1
currency: EUR
note: where the prices are from, and of when
kinds:
  sk6812: {per_metre: 7.50}      # strip, at the kind's own pitch
  ws2811-12v-group3: {per_pixel: 0.35}
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from layouts.errors import InputError
from layouts.file_names import PRICES
from layouts.files.names import did_you_mean
from layouts.records import House, Kind

if TYPE_CHECKING:
    from pydantic import BaseModel


@dataclass(frozen=True)
class Prices:
    """Prices of pixels by kind; per pixel, in `currency`."""

    file: str
    currency: str
    note: str
    per_pixel: Mapping[str, float]

    def of(self, house: House) -> float | None:
        """What the pixels of a house cost, or None where a kind has no price."""
        if any(run.kind.name not in self.per_pixel for run in house.runs):
            return None
        return sum(self.per_pixel[run.kind.name] * run.present for run in house.runs)


def load_prices(house: House, kinds: Mapping[str, Kind]) -> Prices | None:
    """The prices beside the house file, or None where there is neither file.

    `kinds` are those a price may name. Raises InputError with every problem of the file.
    """
    from layouts.files.document import check, read

    path = Path(house.file).with_name(PRICES)
    if not path.exists():
        return _of_parts(house, kinds)
    document = read(path)
    model: Any = check(document, _model())
    problems = []
    per_pixel = {}
    for name, price in model.kinds.items():
        given = [each for each in (price.per_pixel, price.per_metre) if each is not None]
        if name not in kinds:
            what, do = f"unknown kind '{name}'", did_you_mean(name, kinds)
            problems.append(document.problem(("kinds", name), what, do, key=True))
        elif len(given) != 1:
            what = f"'{name}' has {'two prices' if given else 'no price'}"
            do = "write per_pixel or per_metre"
            problems.append(document.problem(("kinds", name), what, do, key=True))
        else:
            share = 1.0 if price.per_metre is None else kinds[name].pitch_m
            per_pixel[name] = given[0] * share
    if problems:
        raise InputError(problems)
    return Prices(document.file, model.currency, model.note, per_pixel)


def _of_parts(house: House, kinds: Mapping[str, Kind]) -> Prices | None:
    from sim.parts.load import parts_beside
    from sim.parts.pixels import on_one

    parts = parts_beside(house)
    per_pixel = {
        name: part.price / on_one(kinds[name], part)
        for name, part in parts.strips.items()
        if part.price is not None and name in kinds
    }
    return Prices(parts.file, parts.currency, parts.note, per_pixel) if per_pixel else None


def prices_schema() -> dict[str, Any]:
    """The JSON Schema of a price file, for editors that complete and check keys."""
    return _model().model_json_schema()


def _model() -> type[BaseModel]:
    """The shape of the file; pydantic is imported only when one is read."""
    from sim.report.prices_schema import PriceFile

    return PriceFile
