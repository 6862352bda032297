"""A small invented house with three schemes, and seasons written beside them."""

from pathlib import Path
from types import MappingProxyType

import pytest

from effects import Layer, Scheme
from layouts import load_house
from layouts.records import Location
from sim.season.records import Night, Season, Tariff
from sim.season.schema import moment
from sim.season.when import parse

HOUSE = """\
format: evenfall-house/1
name: Shed
location: {latitude: 39.742476, longitude: -105.1786, timezone: America/Denver, country: US}
drawing: {size: [6, 3], viewer: 10, surfaces: []}
runs: [{name: eave, pixels: ws2815, path: [[0, 2], [5, 2]], aim: down, standoff: 0.03}]
supplies: [{name: box, volts: 12, amps: 10, efficiency: 0.87, no_load_w: 0}]
wires: [{from: box, to: eave.start, wire: 14 AWG, length: 1, fuse: 10}]
"""
SCHEME = """\
format: evenfall-scheme/1
name: {name}
layers: [{{effect: steady, palette: "{colour}"}}]
"""
DENVER = Location(39.742476, -105.1786, "America/Denver", "US")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "house.yaml").write_text(HOUSE)
    for name, colour in (("warm", "3000 K"), ("spooky", "#ff6a00"), ("frost", "#5aa0ff")):
        text = SCHEME.format(name=name.capitalize(), colour=colour)
        (tmp_path / f"{name}.scheme.yaml").write_text(text)
    return tmp_path


@pytest.fixture
def house(folder):
    return load_house(folder / "house.yaml")


@pytest.fixture
def write(folder):
    """Writes a season file; the body follows the format line."""

    def write(body: str) -> Path:
        path = folder / "year.season.yaml"
        path.write_text("format: evenfall-season/1\n" + body)
        return path

    return write


def make_season(
    *nights, on="dusk", off="23:00", otherwise="warm", location=DENVER, tariff=None
) -> Season:
    """A season from (when, scheme, before, after) rows, without files."""
    rows = [(*night, *(0, 0)[len(night) - 2 :]) for night in nights]
    entries = tuple(
        Night(parse(when), when, scheme, before, after, line)
        for line, (when, scheme, before, after) in enumerate(rows, 1)
    )
    names = {scheme for _, scheme, _, _ in rows} | ({otherwise} if otherwise else set())
    schemes = {name: Scheme(name.capitalize(), name, (Layer("steady"),)) for name in names}
    return Season(
        name="A year",
        file="year.season.yaml",
        location=location,
        on=moment(on),
        off=moment(off),
        otherwise=otherwise,
        nights=entries,
        tariff=Tariff(*tariff) if tariff else None,
        schemes=MappingProxyType(schemes),
    )


@pytest.fixture
def season():
    return make_season
