"""How sure the currents of the window are: shares of peaks, drawn, told and hidden."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from sim.app.state.actions import ToggleOverlay
from sim.app.state.keys import BINDINGS
from sim.app.state.record import State
from sim.app.state.ribbon import CeilingAmps, Load, PeakBand
from sim.app.state.update import update
from sim.app.view import theme
from sim.app.view.plot import curve_image
from sim.app.view.ribbon import band_of, summary
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_keys import Family
from sim.app.work.peak_bands import peak_band
from sim.frame import rig_for
from sim.scan import scan

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2815, path: [[0.5, 3], [1.5, 3]], count: 60}
supplies:
  - {name: box, volts: 12, amps: 2, efficiency: 0.85, source_ohm: 0}
wires:
  - {from: box, to: eave.start, wire: 14 AWG, length: 0.2, fuse: 5}
spread:
  factors:
    current_each: {exact: 1}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test white
brightness: 1
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""
BAND = PeakBand((0.9, 1.1), ((0.9, 1.1),))


def load_of(amps: float, band: PeakBand | None = BAND) -> Load:
    total = np.full(4, amps)
    return Load(
        total, total[:, None], np.full(4, 0.5), "", np.array([10.0]), ("box",), 10.0,
        ceiling=CeilingAmps(1.0, 8.0, "", band),
    )  # fmt: skip


def test_the_band_of_a_peak_is_that_of_the_current(tmp_path):
    """A current that is rectangular from 0.92 to 1.08 and alike in all pixels, in a 12 V part that
    draws it whatever it is fed with: 95 % lie within ±0.076, but for what the idle logic draws."""
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "white.scheme.yaml").write_text(SCHEME)
    house = layouts.load_house(tmp_path / "house.yaml")
    scheme = load_scheme(tmp_path / "white.scheme.yaml", house)
    found = peak_band(scan(rig_for(house, scheme), bind(house, scheme)))
    for low, high in (found.total, *found.supplies):
        assert 1 - low == pytest.approx(0.076, rel=0.15)
        assert high - 1 == pytest.approx(0.076, rel=0.15)
    assert found.total == pytest.approx(found.supplies[0])


def test_the_soft_area_lies_about_the_curve():
    """5 A of 10 on 100 rows: 90 to 110 % are the rows from 45 to 55."""
    plain, soft = (
        curve_image(load_of(5.0), None, (4, 100), 10.0, 1, None, sure)
        for sure in (None, band_of(State("house.yaml"), load_of(5.0)))
    )
    changed = (plain != soft).any(axis=2)
    rows = 100 - np.flatnonzero(changed.any(axis=0))  # counted from the base line
    assert (rows.min(), rows.max()) == (46, 55)
    line = (soft == theme.WARM).all(axis=2)
    assert np.array_equal(line, (plain == theme.WARM).all(axis=2))
    assert changed.sum() == 4 * (10 - 1)  # all of it but the line itself


def test_it_is_told_and_can_be_hidden():
    assert summary([load_of(5.0)], 1.0)[0][0].startswith("peak 5.0 A (4.5 to 5.5) ")
    assert "(" not in summary([load_of(5.0)], 1.0, bands=False)[0][0]
    assert "(" not in summary([load_of(5.0, None)], 1.0)[0][0]
    shown = State("house.yaml")
    assert band_of(shown, load_of(5.0)) == (0.9, 1.1)
    press = next(each for each in BINDINGS if each.action == ToggleOverlay("bands"))
    hidden = update(shown, press.action)
    assert band_of(hidden, load_of(5.0)) is None
    assert hidden.overlays == shown.overlays  # nothing is laid over the house
    assert update(hidden, press.action) == shown


def test_it_is_kept_beside_its_ceiling():
    kept, family = KeptLoads(), Family("house", "matched", "scheme")
    kept.keep_band(family, BAND)
    assert kept.ceiling(family) is None  # without a ceiling there is nothing to put it beside
    kept.keep_ceiling(family, CeilingAmps(1.0, 8.0, ""))
    kept.keep_band(family, BAND)
    assert kept.ceiling(family) == replace(CeilingAmps(1.0, 8.0, ""), band=BAND)
