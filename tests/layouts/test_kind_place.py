"""A kind that cannot be computed with is told where its file writes it."""

from pathlib import Path

import pytest

from effects import Layer, Scheme
from layouts import house_from, load_house
from layouts.errors import EvenfallError, InputError, UnmixableKind
from sim.frame import rig_for

TEXT = """\
format: evenfall-house/1
name: Kinds
drawing: {size: [6, 4], viewer: 8, surfaces: []}
kinds:
  ours:
    like: ws2812b-v5
    channels:
      r: {ma: 12, vf: 2, nm: 625, fwhm_nm: 20, lm: 1}
      g: {ma: 12, vf: 3, nm: 525, fwhm_nm: 30, lm: 2}
      b: {ma: 12, vf: 3, nm: 465, fwhm_nm: 20, lm: 0.3}
runs:
  - {name: eave, pixels: ours, path: [[1, 2], [2, 2]]}
"""
STEADY = Scheme("steady", "steady.yaml", (Layer("steady", palette=("#ff8800",)),))


def refused(tmp_path: Path, old: str, new: str) -> str:
    file = tmp_path / "house.yaml"
    file.write_text(TEXT.replace(old, new), "utf-8")
    with pytest.raises(InputError) as error:
        rig_for(load_house(file), STEADY)
    return str(error.value).replace(f"{file}", "house.yaml")


def test_it_is_sound_as_it_stands(tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(TEXT, "utf-8")
    assert rig_for(load_house(file), STEADY).mixer.kinds[0].name == "ours"


def test_two_equal_channels(tmp_path: Path) -> None:
    told = refused(tmp_path, "nm: 625, fwhm_nm: 20", "nm: 525, fwhm_nm: 30")
    assert told.startswith("house.yaml:5:3: kind ours: r and g have the same colour")
    assert "dominant wavelengths" in told


def test_a_channel_without_light(tmp_path: Path) -> None:
    told = refused(tmp_path, "lm: 0.3", "lm: 0")
    assert told.startswith("house.yaml:10:7: kind ours: no light of b")
    assert "colour: raw" in told


def test_primaries_without_white(tmp_path: Path) -> None:
    told = refused(tmp_path, "nm: 525, fwhm_nm: 30", "nm: 600, fwhm_nm: 20")
    assert told.startswith("house.yaml:5:3: kind ours: ")
    assert "reference white" in told


def test_a_house_made_in_code_names_the_kind(tmp_path: Path) -> None:
    import yaml

    data = yaml.safe_load(TEXT)
    data["kinds"]["ours"]["channels"]["b"]["lm"] = 0
    with pytest.raises(UnmixableKind, match="kind ours: no light of b"):
        rig_for(house_from(data), STEADY)


def test_a_file_that_is_gone_meanwhile(tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(TEXT.replace("lm: 0.3", "lm: 0"), "utf-8")
    house = load_house(file)
    file.unlink()
    with pytest.raises(EvenfallError, match="kind ours: no light of b"):
        rig_for(house, STEADY)
