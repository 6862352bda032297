"""All parts of a stage are of one content of the house file, whenever it was saved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from layouts import load_house
from sim.app.state.record import State
from sim.app.state.shown import Stage
from sim.app.work import stage
from sim.app.work.stage import Maker, StageWanted, wanted


def last(maker: Maker, asked: StageWanted) -> Stage:
    return [told for told in maker.stage(asked) if isinstance(told, Stage)][-1]


def asked_for(house_file: Path) -> StageWanted:
    scheme = str(house_file.parent / "winter.scheme.yaml")
    state = State(str(house_file), scheme, size_px=(64, 48))
    return wanted(state, (("house", 1, 1, 1), ("scheme", 1, 1, 1)))


def longer(house_file: Path) -> None:
    house_file.write_text(house_file.read_text().replace("count: 40", "count: 60"))


def test_a_house_saved_after_it_was_looked_at_is_read_with_the_scheme(house_file: Path) -> None:
    maker, asked = Maker(), asked_for(house_file)
    assert len(last(maker, asked).house.pixels) == 60
    longer(house_file)  # the scheme too was saved, and only that is noticed yet
    found = last(maker, replace(asked, stamp=(asked.stamp[0], ("scheme", 2, 1, 1))))
    assert len(found.house.pixels) == 80
    assert len(found.left.rig.house.pixels) == 80


def test_a_house_saved_while_it_is_read_is_read_again(
    house_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read = []

    def slow(path: str) -> object:
        house = load_house(path)
        read.append(house)
        if len(read) == 1:
            longer(house_file)
        return house

    monkeypatch.setattr(stage, "load_house", slow)
    found = last(Maker(), asked_for(house_file))
    assert len(read) == 2
    assert len(found.house.pixels) == len(found.left.rig.house.pixels) == 80
    assert found.digest == stage.digest_of(str(house_file))
