"""Another kind of pixel on the same house."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layouts import (
    EvenfallError,
    addresses,
    change,
    house_data,
    kinds,
    load_house,
    with_kind,
)

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
kinds:
  sparse: {like: sk6812, per_metre: 30}
  dense: {like: sk6812, per_metre: 144}
runs:
  - {name: eave, pixels: sk6812, path: [[0, 3], [3, 3], [5, 4]], spare_first: 1}
  - {name: porch, pixels: sk6812, path: [[6, 3], [10, 3]], count: 60}
zones:
  corner: ["eave[120:200]", "porch[0:30]"]
supplies:
  - {name: box, volts: 5, amps: 40}
wires:
  - {from: box, to: eave.start, wire: 12 AWG, length: 1, fuse: 20}
  - {from: box, to: "eave[150]", wire: 12 AWG, length: 2, fuse: 20}
  - {from: box, to: eave@2 m, wire: 12 AWG, length: 2, fuse: 20}
  - {from: eave.end, to: porch.start, wire: 12 AWG, length: 1}
outputs:
  - {name: A, chain: [eave, porch], universe: 1}
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    path = tmp_path_factory.mktemp("change") / "house.yaml"
    path.write_text(HOUSE)
    return load_house(path)


@pytest.fixture(scope="module")
def written_so(tmp_path_factory):
    """written_so(kind): the house file with that kind written on every run."""

    def load(name: str, count: int):
        path = tmp_path_factory.mktemp("written") / "house.yaml"
        text = HOUSE.replace("pixels: sk6812,", f"pixels: {name},")
        path.write_text(text.replace("count: 60", f"count: {count}").split("zones:")[0])
        return load_house(path)

    return load


# 4 m of a run that is spread: 60 of 240 possible at 60 a metre, so 30 at 30 and 144 at 144.
@pytest.mark.parametrize(("name", "spread"), [("sparse", 30), ("dense", 144)])
def test_metres_are_kept(house, written_so, name, spread):
    changed = with_kind(house, house.kinds[name])
    fresh = written_so(name, spread)
    for field in ("xy_m", "aim", "run", "along_m", "spare", "standoff_m"):
        np.testing.assert_allclose(getattr(changed.pixels, field), getattr(fresh.pixels, field))
    assert [run.first for run in changed.runs] == [run.first for run in fresh.runs]
    assert len(addresses(changed).place) == len(changed.pixels)
    for run in ("eave", "porch", "all"):
        np.testing.assert_array_equal(changed.zones[run].pixels, fresh.zones[run].pixels)
        np.testing.assert_allclose(changed.zones[run].along_m, fresh.zones[run].along_m)


@pytest.mark.parametrize("name", ["sparse", "dense"])
def test_zones_and_wires_stay_where_they_are(house, name):
    changed = with_kind(house, house.kinds[name])
    pitch_m = max(run.pitch_m for run in changed.runs)
    before, after = (made.pixels.xy_m[made.zones["corner"].pixels] for made in (house, changed))
    for end in (0, -1):
        assert np.hypot(*(before[end] - after[end])) <= pitch_m
    assert changed.zones["corner"].length_m == pytest.approx(
        house.zones["corner"].length_m, abs=pitch_m
    )
    for old, new in zip(house.wires, changed.wires, strict=True):
        assert new.length_m == old.length_m
        for was, now in ((old.start, new.start), (old.end, new.end)):
            if was.kind != "run":
                assert now == was
                continue
            of, to = house.run(was.name), changed.run(now.name)
            if was.pad in (0, of.count + 1):
                assert now.pad == (0 if was.pad == 0 else to.count + 1)
                continue
            if "@" in was.text:  # so many metres along, as the file says: the pad nearest to that
                assert now.text == was.text
                continue
            assert (now.pad - 0.5) * to.pitch_m == pytest.approx(
                (was.pad - 0.5) * of.pitch_m, abs=0.5 * to.pitch_m + 1e-9
            )
    # What a report calls the end has to be the end.
    assert changed.wires[1].end.text == f"eave[{changed.wires[1].end.pad - 1}]"
    assert changed.wires[2].end.text == "eave@2 m"


def test_equal_density_keeps_every_pixel(house):
    changed = with_kind(house, kinds()["ws2813"])
    np.testing.assert_array_equal(changed.pixels.xy_m, house.pixels.xy_m)
    assert changed.wires == house.wires


def test_pixels_can_be_kept_instead(house):
    changed = with_kind(house, house.kinds["sparse"], keep="pixels")
    assert changed.pixels is house.pixels
    assert {run.kind.name for run in changed.runs} == {"sparse"}


def test_some_runs_alone(house):
    changed = with_kind(house, house.kinds["sparse"], runs=["eave"])
    assert [run.kind.name for run in changed.runs] == ["sparse", "sk6812"]
    np.testing.assert_allclose(
        changed.pixels.xy_m[changed.run("porch").pixels],
        house.pixels.xy_m[house.run("porch").pixels],
    )
    # The path is 3 + √5 = 5.236 m: 157 pixels at 30 a metre.
    assert changed.run("eave").count == 157
    assert changed.run("porch").first == 157


def test_too_many_pixels_are_refused(house):
    fine = replace(house.kinds["dense"], pitch_m=2e-5)
    with pytest.raises(EvenfallError, match="more than 200,000"):
        with_kind(house, fine)


def test_a_renamed_run_takes_its_zone_along(house):
    house = change(house, zones={"corner": None}, outputs=[])
    runs = [{**each, "name": "veranda"} if each["name"] == "porch" else each
            for each in house_data(house)["runs"]]  # fmt: skip
    wires = [wire for wire in house.wires if wire.end.name != "porch"]
    changed = change(house, runs=runs, wires=wires)
    assert list(changed.zones) == ["eave", "veranda", "all"]
