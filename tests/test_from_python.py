"""The face for notebooks: the README's lines run, and what they return is what the parts return."""

from __future__ import annotations

import ast
import doctest
import io
import re
import subprocess
import sys
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import sim
from effects import bind
from layouts import EvenfallError
from sim.frame import frame, rig_for
from sim.report.check import check_report

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
NAMES = [
    "House",
    "Picture",
    "Played",
    "Scheme",
    "contact_sheet",
    "film",
    "load_house",
    "load_scheme",
    "picture",
    "play",
    "power",
]
SIZE_PX = (96, 54)


@pytest.fixture(scope="module")
def house():
    return sim.load_house(ROOT / "demo/cottage/house.yaml")


@pytest.fixture(scope="module")
def scheme(house):
    return sim.load_scheme(ROOT / "demo/cottage/christmas.scheme.yaml", house)


def test_the_lines_of_the_readme_run(monkeypatch):
    monkeypatch.chdir(ROOT)
    section = README.split("## From Python")[1].split("\n## ")[0]
    lines = re.search(r"```python\n(.*?)```", section, re.DOTALL)[1]
    test = doctest.DocTestParser().get_doctest(lines, {}, "From Python", "README.md", 0)
    assert len(test.examples) == 5
    told = io.StringIO()
    result = doctest.DocTestRunner().run(test, out=told.write)
    assert result.failed == 0, told.getvalue()


def test_the_public_names():
    assert sim.__all__ == NAMES
    assert set(NAMES) <= set(dir(sim))
    for name in NAMES:
        assert callable(getattr(sim, name))
    told = ast.parse((ROOT / "sim" / "__init__.pyi").read_text(encoding="utf-8"))
    assert [node.names[0].asname for node in told.body] == NAMES
    with pytest.raises(AttributeError, match="no attribute 'plya'"):
        sim.plya  # noqa: B018


def test_importing_it_costs_nothing():
    heavy = "('numpy', 'numba', 'PIL', 'sim.notebook')"
    probe = f"import sys, sim; sys.exit(any(name in sys.modules for name in {heavy}))"
    assert subprocess.run([sys.executable, "-c", probe], check=False).returncode == 0


def test_volts_and_amps_by_run_are_those_of_the_frame(house, scheme):
    times_s = np.array([0.0, 2.5])
    lit = sim.play(house, scheme, times_s)
    whole = frame(rig_for(house, scheme), bind(house, scheme), times_s)
    assert list(lit.volts) == list(lit.amps) == [run.name for run in house.runs]
    for run in house.runs:
        assert lit.volts[run.name].shape == (2, run.count)
    joined = np.concatenate(list(lit.volts.values()), axis=-1)
    np.testing.assert_array_equal(joined, whole.volts)
    joined = np.concatenate(list(lit.amps.values()), axis=-1)
    np.testing.assert_array_equal(joined, whole.amps)
    assert list(lit.supply_a) == [supply.name for supply in house.supplies]
    np.testing.assert_array_equal(np.stack(list(lit.supply_a.values()), -1), whole.supply_a)
    brighter = sim.play(house, scheme, 0.0, brightness=1.0)
    assert sum(each.sum() for each in brighter.amps.values()) > whole.amps[0].sum()


def test_a_picture_is_a_png(house, scheme, tmp_path):
    lit = sim.play(house, scheme, 3.0)
    picture = lit.picture(SIZE_PX)
    assert picture.size_px == SIZE_PX
    with Image.open(io.BytesIO(picture._repr_png_())) as read:
        np.testing.assert_array_equal(np.asarray(read), picture.rgb)
    assert picture.save(tmp_path / "a.png").read_bytes() == picture.png()
    np.testing.assert_array_equal(sim.picture(house, scheme, 3.0, size_px=SIZE_PX).rgb, picture.rgb)
    dark = sim.picture(house, size_px=SIZE_PX).rgb
    assert dark.mean() < picture.rgb.mean()
    # Of several times the first is shown.
    several = sim.play(house, scheme, np.array([3.0, 4.0])).picture(SIZE_PX)
    np.testing.assert_array_equal(several.rgb, picture.rgb)


def test_a_film_from_code(house, scheme, tmp_path):
    out = sim.film(house, scheme, 0.4, tmp_path / "a.webp", size_px=SIZE_PX)
    with Image.open(out) as read:
        assert read.size == SIZE_PX
        assert read.n_frames > 1
    for seconds, name, said in ((1, "a.bmp", "cannot write"), (9999, "a.gif", "at most 600 s")):
        with pytest.raises(EvenfallError, match=said):
            sim.film(house, scheme, seconds, tmp_path / name)


def test_a_contact_sheet_from_code(house, scheme):
    page = sim.contact_sheet(house, [scheme, scheme, scheme], (64, 48))
    one = sim.contact_sheet(house, [scheme], (64, 48))
    assert page.size_px[0] == one.size_px[0] == 1600
    # two columns of 64 × 48, less than half as wide as one alone, in two rows
    assert 0.9 * one.size_px[1] < page.size_px[1] < 1.3 * one.size_px[1]
    with pytest.raises(EvenfallError, match="needs a scheme"):
        sim.contact_sheet(house, [], (64, 48))


def test_power_from_code(house, scheme):
    told = sim.power(house, scheme, seconds=1.0)
    assert told.scan.seconds == 1.0


@pytest.mark.parametrize("package", ["layouts", "effects", "sim"])
def test_packages_say_that_they_are_typed(package):
    assert (ROOT / package / "py.typed").is_file()


def test_reports_show_themselves_in_a_notebook() -> None:
    """A frame of its own, whose page holds what the terminal says."""
    house = sim.load_house(ROOT / "demo/cottage/house.yaml")
    scheme = sim.load_scheme(ROOT / "demo/cottage/evening.scheme.yaml", house)
    for report in (sim.power(house, scheme), check_report(house, [scheme])):
        shown = report._repr_html_()
        assert shown.startswith("<iframe srcdoc=")
        assert shown.endswith("</iframe>")
        page = unescape(shown.split('"')[1])  # an unescaped quote would end it here
        assert page.rstrip().endswith("</html>")
        assert "Warm evening" in page
        assert "licensed electrician" in page
