"""A small invented house and what it is built of; sizes such that everything can be counted."""

from pathlib import Path

import pytest

from layouts import load_house

HOUSE = """\
format: evenfall-house/1
name: Shed
drawing: {size: [6, 3], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2812b, path: [[0, 2], [3, 2]], profile: channel-frosted}
  - name: door
    pixels: ws2812b
    path: [[0, 0], [0, 1.5], [1.2, 1.5]]
    aim: out
    profile: channel-frosted
supplies: [{name: box, volts: 5, amps: 10}]
wires:
  - {from: box, to: eave.start, wire: 14 AWG, length: 2 m, fuse: 7.5}
  - {from: eave.end, to: door.start, wire: 14 AWG, length: 0.4 m}
  - {from: box, to: joint, wire: 16 AWG, length: 1 m, fuse: 5}
  - {from: joint, to: door.end, wire: 16 AWG, length: 0.5 m}
outputs: [{name: A, chain: [eave, door]}]
"""
PARTS = """\
format: evenfall-parts/1
currency: EUR
note: invented
supplies:
  - {part: small, volts: 5, amps: 8, price: 10}
  - {part: right, volts: 5, amps: 12, price: 22, sheltered: true}
  - {part: large, volts: 5, amps: 40, price: 60, ip: IP67}
  - {part: other, volts: 12, amps: 20, price: 5}
wire:
  - {wire: 14 AWG, per_metre: 0.5, colours: [brown, blue], stock: [5 m]}
  - {wire: 16 AWG, per_metre: 0.4}
kinds: {ws2812b: {reel: 5 m, price: 30}}
profiles:
  channel-frosted:
    part: channel
    bars: [{length: 2 m, price: 8}]
    cover: 3
    end_cap: 0.5
    clips_every: 50 cm
    clip: 0.2
fuse: {part: fuse, price: 0.4}
fuse_holder: {part: holder, price: 2}
connectors:
  feed_plug: {part: plug, price: 1.5}
  data_plug: {part: data, price: 1.25}
  junction: {part: lever, price: 0.75}
enclosures: [{part: tin, price: 15}]
controllers:
  - {part: one, outputs: 1, pixels: 300, price: 20}
  - {part: two, outputs: 2, pixels: 500, price: 35}
work: {hourly: 30, feed_min: 20, saw_min: 3, metre_min: 10}
spares: 0.1
slack: 25 cm
kerf: 3 mm
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "parts.yaml").write_text(PARTS)
    return tmp_path


@pytest.fixture
def house(folder):
    return load_house(folder / "house.yaml")
