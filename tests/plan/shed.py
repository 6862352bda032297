"""A small invented house without wires, and parts whose prices can be added by hand."""

from pathlib import Path

HOUSE = """\
format: evenfall-house/1
name: Shed
drawing: {size: [6, 3], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: sk6812, path: [[0, 2], [2, 2]], profile: bare}
places: [{name: box, at: [0, 1], mains: true}]
outputs: [{name: A, chain: [eave]}]
"""
PARTS = """\
format: evenfall-parts/1
currency: EUR
note: invented
supplies:
  - {part: five, volts: 5, amps: 12, price: 22, ip: IP67}
  - {part: twelve, volts: 12, amps: 8, price: 31, ip: IP67}
wire:
  - {wire: 18 AWG, per_metre: 0.4}
  - {wire: 14 AWG, per_metre: 0.9}
kinds:
  sk6812: {reel: 5 m, price: 30}
  ws2815: {reel: 5 m, price: 40}
  ws2811-12v-group3: {nodes: 50, price: 20}
profiles: {bare: {part: saddle, clips_every: 0.5 m, clip: 0.1}}
fuse: {part: blade, price: 0.5}
fuse_holder: {part: holder, price: 2}
connectors:
  strip_joint: {part: joint, price: 0.6}
  feed_plug: {part: feed plug, price: 1.5}
  data_plug: {part: data plug, price: 1.8}
  junction: {part: lever, price: 0.7}
controllers: [{part: small, outputs: 4, pixels: 2000, price: 49}]
work: {hourly: 30, joint_min: 15, feed_min: 20, cut_min: 10, saw_min: 3, metre_min: 10}
spares: 0
slack: 0.3 m
"""


def write_shed(folder: Path, name: str = "house.yaml") -> Path:
    """The house and its parts file in `folder`; the path of the house."""
    (folder / "parts.yaml").write_text(PARTS)
    path = folder / name
    path.write_text(HOUSE)
    return path
