"""What files of every format look like when they are sound: small, and each with much in it.

Invented for tests; the larger ones are the demo's.
"""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path

from trial import DEMO, ROOT

HOUSE = """\
format: evenfall-house/1
name: Shed
units: m
measures: {width: 4 m, high: 2.4 m, n: 3}
temperature_c: 12
location: {latitude: 44.9, longitude: -93.2, timezone: America/Chicago, country: US}
drawing:
  size: [6, 3.4]
  viewer: 8
  bounces: 0
  surfaces:
    - name: wall
      material: lap-siding-white
      outline: [[1, 0], ["= 1 m + width", 0], [5, 2.4], [1, "= high"]]
    - name: roof
      material: slate
      depth: 0.2
      outline: [[0.8, 2.4], [5.2, 2.4], [4.6, 3.2], [1.4, 3.2]]
    - {name: pane, material: glass-lit, depth: 0.02, outline: [[2, 1], [3, 1], [3, 2], [2, 2]]}
runs:
  - name: eave
    pixels: ws2812b
    path: [[1, 2.35], [5, 2.35]]
    count: 40
    aim: 30
    standoff: 0.03
    profile: channel-frosted
  - name: door
    pixels: own-5v
    path: [[2, 0.1], [2, 2.0]]
    count: 20
    aim: wall
    standoff: 3 cm
kinds:
  own-5v: {like: sk6812-rgbw-warm, idle_ma: 0.8}
zones:
  both: [eave, door]
  part: ["eave[10:30]"]
supplies:
  - {name: box, volts: 5, amps: 4, efficiency: 0.85, no_load_w: 0.3, source_ohm: 0.01, at: [0.5, 1]}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 2 m, fuse: 5}
  - {from: box, to: knot, wire: 16 AWG, length: 1 m, fuse: 5}
  - {from: knot, to: door.start, wire: 18 AWG, length: "= n * 1 m"}
outputs:
  - {name: A, chain: [eave, door], universe: 1, fps: 40}
places:
  - {name: corner, at: [0.5, 1], mains: true, sheltered: true}
routes:
  - {name: pipe, path: [[1, 0.3], [1, 2.4]]}
"""

SCHEME = """\
format: evenfall-scheme/1
name: Winter
brightness: 0.6
layers:
  - {zones: [both], effect: chase, palette: ["#ff2010", "#ffffff"], set: {speed: 0.5}}
  - {zones: [part], effect: steady, palette: ["2700 K"], opacity: 50 %, blend: lighten}
  - zones: door
    effect: glint
    palette: embers
    set: {rate: 0.8}
"""

SEASON = """\
format: evenfall-season/1
name: A year
location: {latitude: 44.9, longitude: -93.2, timezone: America/Chicago, country: US}
tariff: {per_kwh: 0.17, currency: USD}
evening: {on: dusk, off: 22:45}
otherwise: test.scheme.yaml
nights:
  - {when: Easter, scheme: test.scheme.yaml, before: 2, after: 1}
  - {when: first Saturday of October..Thanksgiving Day, scheme: test.scheme.yaml}
  - {when: 12-01..01-06, scheme: test.scheme.yaml}
"""

PRICES = """\
format: evenfall-prices/1
currency: USD
note: invented
kinds:
  ws2812b: {per_metre: 6.40}
  sk6812: {per_pixel: 0.12}
"""

FAULTS = """\
format: evenfall-faults/1
note: invented
faults:
  - {dead: "eave[3]"}
  - {dark: "eave[5:8]"}
  - {stuck: "door[2]", colour: "#ff0000"}
  - {open: data, at: "door[4]"}
  - {joint: "box → eave.start", ohm: 400 mΩ}
  - {sag: box, volts: 4.4 V}
"""

SIGHTINGS = """\
format: evenfall-sightings/1
note: invented
scheme: test.scheme.yaml
seen:
  - {dark: "eave[12]", onwards: true}
  - {lit: "eave[0:12]"}
  - {volts: 4.6 V, at: "eave[20]"}
  - {continuity: data, at: "eave[12]", then: open}
"""

READINGS = """\
format: evenfall-readings/1
note: invented
meter: {share: 3 %, watts: 0.5}
readings:
  - {lit: unplugged, watts: 0.4}
  - {lit: off, watts: 1.2}
  - {lit: all, watts: 9 W}
  - {lit: test.scheme.yaml, brightness: 50 %, watts: 5.5}
"""

RATES = """\
format: evenfall-rates/1
channels:
  r: {vf_mv_per_k: 1.7, t1_k: [90, 100], nm_per_k: [0.04, 0.1]}
rated: {ws2812b: [-20, 70]}
led: {alpha_per_mh: [3, 12], b: 1.0, hours_per_year: 1500}
coat: {yi_per_year: [0.5, 3], mm: 1.5}
dirt: {share_per_year: [0.01, 0.05]}
sources: {"led.*": "invented"}
"""

PRIORS = """\
format: evenfall-priors/1
source: invented
weights: {dead: 2.0, short: 0.1, "off": 3}
errors: {lit: [0.97, 0.01, 0.01, 0.01], miscount: 0.05}
"""

SWEEP = "".join(
    json.dumps({"key": f"{k:08x}", "status": "fine", "kind": "ws2812b", "price": 120.5}) + "\n"
    for k in range(3)
)

UNSAVED = json.dumps(
    {
        "format": "evenfall-unsaved/1",
        "scheme_file": "/a/winter.scheme.yaml",
        "whole": [["brightness", 0.31]],
        "values": [],
        "layers": [],
        "order": [],
    },
    indent=1,
)
DRAWING = json.dumps(
    {
        "format": "evenfall-drawing/1",
        "house_file": "/a/house.yaml",
        "digest": "0" * 64,
        "text": HOUSE,
        "newer": False,
    },
    indent=1,
)


@dataclass(frozen=True)
class Text:
    """What a file of a format is called, and sound ones."""

    file: str
    sound: tuple[str, ...]


def _demo(name: str) -> str:
    return (DEMO / name).read_text(encoding="utf-8")


_STARTER = (ROOT / "layouts" / "starter_files" / "house.yaml").read_text(encoding="utf-8")
TEXTS = {
    "house": Text("house.yaml", (HOUSE, _STARTER, _demo("photo/house.yaml"),
                                 _demo("template/house.yaml"), _demo("unwired/house.yaml"))),
    "scheme": Text("mutant.scheme.yaml", (SCHEME,)),
    "season": Text("year.season.yaml", (SEASON,)),
    "prices": Text("prices.yaml", (PRICES,)),
    "parts": Text("parts.yaml", (_demo("cottage/parts.yaml"),)),
    "faults": Text("a.faults.yaml", (FAULTS,)),
    "sightings": Text("a.sightings.yaml", (SIGHTINGS,)),
    "readings": Text("a.readings.yaml", (READINGS,)),
    "rates": Text("rates.yaml", (RATES,)),
    "priors": Text("priors.yaml", (PRIORS,)),
    "svg": Text("house.svg", (_demo("drawing/house.svg"),)),
    "sweep": Text("results.jsonl", (SWEEP,)),
    "unsaved": Text("unsaved.json", (UNSAVED,)),
    "drawing": Text("drawing.json", (DRAWING,)),
}  # fmt: skip


def written_beside(folder: Path) -> None:
    """What the others name: a sound house and scheme, and the demo's photograph."""
    (folder / "sound.yaml").write_text(HOUSE, encoding="utf-8")
    (folder / "test.scheme.yaml").write_text(SCHEME, encoding="utf-8")
    if not (folder / "house.jpg").exists():
        shutil.copyfile(DEMO / "photo" / "house.jpg", folder / "house.jpg")
