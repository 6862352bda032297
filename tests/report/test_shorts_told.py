"""Reports that look for far shorts tell how far that is: with very many fuses it takes minutes."""

import pytest

from effects import bind
from effects.load import scheme_from_text
from layouts import house_from
from sim.circuit import build, far_shorts, fuse_opening
from sim.frame import rig_for
from sim.report.power import power_report

HOUSE = {
    "format": "evenfall-house/1",
    "name": "Two feeds",
    "units": "m",
    "drawing": {"size": [4, 3], "viewer": 6, "surfaces": []},
    "runs": [{"name": "eave", "pixels": "ws2812b", "path": [[1, 2], [2, 2]], "count": 12}],
    "supplies": [{"name": "box", "volts": 5, "amps": 10}],
    "wires": [
        {"from": "box", "to": f"eave.{end}", "wire": "18 AWG", "length": 1, "fuse": 5}
        for end in ("start", "end")
    ],
}
SCHEME = """\
format: evenfall-scheme/1
name: Still
layers: [{zones: [all], effect: steady, palette: ["#ff8000"]}]
"""
#: Places of the stretch, 12 pixels and two end pads, of two fuses.
IN_ALL = 2 * 14


@pytest.fixture
def told():
    return []


def test_power(told):
    house = house_from(HOUSE)
    scheme = scheme_from_text(SCHEME, "still.scheme.yaml", house)
    rig = rig_for(house, scheme)
    power_report(rig, bind(house, scheme), seconds=1, progress=lambda *at: told.append(at))
    assert (IN_ALL, IN_ALL) in told


def test_they_are_looked_for_once(told, monkeypatch):
    network = build(house_from(HOUSE))
    found = far_shorts(network, lambda *at: told.append(at))
    assert told == [(IN_ALL, IN_ALL)]
    monkeypatch.setattr(fuse_opening, "_found", None)
    assert far_shorts(network) is found
