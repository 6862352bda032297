"""`spread:` of a house file: read strictly, told by line and column, written back."""

from pathlib import Path

import pytest

from layouts import change, house_data, house_from, load_house
from layouts.errors import InputError
from layouts.spread import Distribution

GOOD = """\
spread:
  factors:
    rail_ohm: {rectangular: [0.95, 1.05]}
    supply_v: {normal: [1.0, 0.002]}
    current: {exact: 1.03}
    vf_g: {triangular: [-0.1, 0.1]}
    flux_r: {log_uniform: [0.9, 1.1]}
  correlations: [{between: [vf_g, vf_b], r: 0.9}]
  reels: [[eave], [side]]
"""
BAD = (
    ("rail_ohm: {rectangular: [1.2, 0.9]}", "negative spread"),
    ("supply_v: {normal: [1.0, -0.1]}", "negative"),
    ("rail_ohm: {rectangluar: [0.9, 1.2]}", "did you mean 'rectangular'"),
    ("rail_ohms: {rectangular: [0.9, 1.2]}", "did you mean 'rail_ohm'"),
    ("rail_ohm: {rectangular: [0.9, 1.2], exact: 1}", "one distribution is needed"),
    ("rail_ohm: {}", "one distribution is needed"),
    ("rail_ohm: {rectangular: [-0.5, 1.2]}", "it would reach -0.5"),
    ("supply_v: {normal: [1.0, 0.3]}", "it would reach -0.5"),
    ("flux_r: {log_uniform: [0, 1.2]}", "more than 0"),
    ("flux_r: {rectangular: [.nan, 1.2]}", "number"),
)


def written(files: tuple[Path, Path], folder: Path, text: str) -> Path:
    path = folder / "house.yaml"
    path.write_text(files[0].read_text() + text)
    return path


def test_what_is_said_is_read(files: tuple[Path, Path], tmp_path: Path) -> None:
    house = load_house(written(files, tmp_path, GOOD))
    said = house.spread
    assert said.shapes["rail_ohm"] == Distribution("rectangular", 0.95, 1.05)
    assert said.shapes["supply_v"] == Distribution("normal", 1.0, 0.002)
    assert said.shapes["current"] == Distribution("exact", 1.03, 1.03)
    assert said.correlations == (("vf_g", "vf_b", 0.9),)
    assert said.reels == (("eave",), ("side",))
    assert house_from(house_data(house)).spread == said


def test_a_change_keeps_it_and_drops_runs_that_are_gone(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    house = load_house(written(files, tmp_path, GOOD))
    less = change(house, runs={"side": None}, wires=house.wires[:1])
    assert less.spread.reels == (("eave",),)
    assert less.spread.shapes == house.spread.shapes


@pytest.mark.parametrize(("line", "told"), BAD)
def test_what_makes_no_sense_is_told_by_its_place(
    files: tuple[Path, Path], tmp_path: Path, line: str, told: str
) -> None:
    path = written(files, tmp_path, f"spread:\n  factors:\n    {line}\n")
    with pytest.raises(InputError) as caught:
        load_house(path)
    lines = len(path.read_text().splitlines())
    assert f"house.yaml:{lines}:" in str(caught.value)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("[{between: [vf_g, vf_q], r: 0.5}]", "unknown factor 'vf_q'"),
        ("[{between: [vf_g, supply_v], r: 0.5}]", "vf_g is of a reel, supply_v of a supply"),
        ("[{between: [vf_g, vf_b], r: 1.5}]", "at most 1"),
        ("[{between: [vf_g, vf_g], r: 0.5}]", "told already"),
        (
            "[{between: [vf_r, vf_g], r: 0.9}, {between: [vf_g, vf_b], r: 0.9},"
            " {between: [vf_r, vf_b], r: -0.9}]",
            # eigenvalues of [[1, .9, −.9], [.9, 1, .9], [−.9, .9, 1]]: 1.9, 1.9, −0.8
            "least eigenvalue is -0.8",
        ),
    ],
)
def test_correlations_that_cannot_be(
    files: tuple[Path, Path], tmp_path: Path, said: str, told: str
) -> None:
    path = written(files, tmp_path, f"spread:\n  correlations: {said}\n")
    with pytest.raises(InputError, match=r"house\.yaml:12:") as caught:
        load_house(path)
    assert told in str(caught.value)


def test_reels_are_of_runs_there_are(files: tuple[Path, Path], tmp_path: Path) -> None:
    path = written(files, tmp_path, "spread:\n  reels: [[eave, sied], [eave]]\n")
    with pytest.raises(InputError) as caught:
        load_house(path)
    assert "unknown run 'sied'" in str(caught.value)
    assert "'eave' is of a reel already" in str(caught.value)
