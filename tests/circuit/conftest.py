"""Houses for the circuit tests, made in code: no file, no drawing."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import Channel, House, Kind, Supply, Wire, WireEnd, WireSize, house_from

SIZES = {
    "18 AWG": (0.8230, 7),
    "16 AWG": (1.3087, 10),
    "14 AWG": (2.0809, 15),
    "12 AWG": (3.3088, 20),
    "10 AWG": (5.2612, 30),
}


def make_kind(name: str = "5v", **changes: object) -> Kind:
    """A 5 V RGB kind with round numbers, changed as asked."""
    channels = tuple(
        Channel(c, ma, vf, 1.0, dominant_nm=nm, fwhm_nm=20.0)
        for c, ma, vf, nm in (("r", 12.0, 2.0, 620), ("g", 13.0, 3.2, 525), ("b", 11.0, 3.3, 470))
    )
    values: dict = {
        "name": name,
        "channels": channels,
        "supply_v": 5.0,
        "law": "parallel",
        "headroom_v": 0.5,
        "idle_ma": 1.0,
        "min_v": 3.7,
        "bits": 24,
        "bit_us": 1.25,
        "reset_us": 80.0,
        "order": "grb",
        "pwm_hz": 1200.0,
        "backup_data": False,
        "pitch_m": 1 / 60,
        "rail_ohm_per_m": 0.1,
        "mount": "strip",
    }
    return Kind(**(values | changes))


def make_series_kind(**changes: object) -> Kind:
    """A 12 V kind whose dies are in series, 15 mA."""
    channels = tuple(
        Channel(c, 15.0, vf, 1.0, dominant_nm=nm, fwhm_nm=20.0)
        for c, vf, nm in (("r", 2.0, 620), ("g", 3.2, 525), ("b", 3.2, 470))
    )
    values = {"channels": channels, "supply_v": 12.0, "law": "series", "min_v": 9.5}
    return make_kind("12v", **(values | {"idle_ma": 2.1} | changes))


def end(text: str, counts: dict[str, int], supplies: Sequence[Supply]) -> WireEnd:
    """`supply`, `junction`, `run.start`, `run.end` or `run[75]`."""
    if text in {supply.name for supply in supplies}:
        return WireEnd("supply", text, text=text)
    name, pad = text, None
    if "." in text:
        name, where = text.split(".")
        pad = 0 if where == "start" else counts[name] + 1
    elif "[" in text:
        name, index = text[:-1].split("[")
        pad = int(index) + 1
    if pad is None:
        return WireEnd("junction", text, text=text)
    return WireEnd("run", name, pad, text)


def make_house(
    runs: dict[str, tuple[Kind, int]],
    supplies: Sequence[Supply],
    wires: Sequence[tuple],
    temperature_c: float = 20.0,
    cuts: Mapping[str, tuple[int, ...]] | None = None,
) -> House:
    """A house of runs at their kind's pitch; a wire is (from, to, size, length_m[, fuse_a]).

    A size is a name of SIZES or a WireSize. `cuts` are positions before which + is interrupted.
    Supplies and wires are put in as records: a file could not hold mains voltage, or a run that
    nothing feeds, and the circuit has to deal with both.
    """
    house = house_from(
        {
            "name": "test",
            "temperature_c": temperature_c,
            "drawing": {"size": [10, 6]},
            "runs": [
                {
                    "name": name,
                    "pixels": kind,
                    "path": [[0, 3], [count * kind.pitch_m, 3]],
                    "cuts": list((cuts or {}).get(name, ())),
                }
                for name, (kind, count) in runs.items()
            ],
        },
        file="test.yaml",
    )
    counts = {run.name: run.count for run in house.runs}
    cables = tuple(
        Wire(
            end(start, counts, supplies),
            end(finish, counts, supplies),
            WireSize(size, *SIZES[size]) if isinstance(size, str) else size,
            length_m,
            fuse[0] if fuse else None,
        )
        for start, finish, size, length_m, *fuse in wires
    )
    return replace(house, supplies=tuple(supplies), wires=cables)


def make_supply(
    name: str = "psu", volts: float = 5.0, ohm: float = 0.0, rated_a: float = 60.0
) -> Supply:
    """A supply of 87 % efficiency."""
    return Supply(name, volts, rated_a, 0.87, 1.0, ohm)


def wire_of(ohm_per_m: float, ampacity_a: float = 1000.0) -> WireSize:
    """A conductor of this resistance at 20 °C: copper at 58 MS/m (IEC 60028)."""
    return WireSize("made to measure", 1 / (58 * ohm_per_m), ampacity_a)


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    """The makers above under one name."""
    return SimpleNamespace(
        kind=make_kind,
        series_kind=make_series_kind,
        house=make_house,
        supply=make_supply,
        wire=wire_of,
    )


@pytest.fixture(scope="session")
def white() -> Callable[..., np.ndarray]:
    """white(house, code=255) → (1, N, 4) codes with every channel at `code`."""
    return lambda house, code=255: np.full((1, len(house.pixels), 4), code, dtype=np.uint8)
