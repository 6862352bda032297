"""The shipped spectra are what the script makes of the library's tables."""

from __future__ import annotations

import numpy as np
import pytest

from sim.colour.tables import make

pytestmark = pytest.mark.filterwarnings("ignore")  # the library warns of its optional parts


def _read(text: str) -> np.ndarray:
    return np.loadtxt([line for line in text.splitlines() if line[0].isdigit()], delimiter=",")


@pytest.mark.parametrize("name", ["observer.csv", "phosphor.csv"])
def test_remade_tables_are_the_shipped_ones(name, tmp_path):
    make.write(tmp_path)
    remade, shipped = (tmp_path / name).read_text(), (make.HERE / name).read_text()
    assert remade.splitlines()[3:4] == shipped.splitlines()[3:4]
    np.testing.assert_allclose(_read(remade), _read(shipped), rtol=1e-6, atol=1e-9)


@pytest.mark.parametrize("name", ["observer.csv", "phosphor.csv"])
def test_every_table_names_its_source_and_tag(name):
    text = (make.HERE / name).read_text()
    assert "# source: CIE" in text
    assert "# tag: " in text
