"""Whatever is done to a house file, it is read or refused in words: never a traceback."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layouts import (
    InputError,
    addresses,
    house_data,
    house_findings,
    house_from,
    kinds,
    load_house,
    with_kind,
)

ROOT = Path(__file__).resolve().parents[2]
STARTER = yaml.safe_load(
    (ROOT / "layouts" / "starter_files" / "house.yaml").read_text(encoding="utf-8")
)
NAMES = ["", "all", "box", "left gable", "left gable[0:-1]", "left gable[9", "left gable@"]
WORDS = ["left gable@1e400 m", "box.x", ".start", "[0]", "16 AWG", "12' 6\"", "1e9 m", "down", "\0"]
ODD = [None, True, [], {}, [1], {"a": 1}, [[0, 0], [0, 0]], 1e-320, 1e308, 10**17, -1, 0]
VALUES = st.one_of(
    st.sampled_from([*NAMES, *WORDS]),
    st.sampled_from(ODD),
    st.integers(),
    st.floats(allow_nan=True),
    st.text(max_size=8),
)


def places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The paths of all that is in `value`."""
    if isinstance(value, dict):
        steps: list[Any] = list(value)
    elif isinstance(value, list):
        steps = list(range(len(value)))
    else:
        return [path]
    return [path, *(each for step in steps for each in places(value[step], (*path, step)))]


@given(data=st.data())
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_any_change_is_read_or_refused(data: st.DataObject, tmp_path: Path) -> None:
    changed = copy.deepcopy(STARTER)
    for _ in range(data.draw(st.integers(1, 3))):
        *parents, last = data.draw(st.sampled_from(places(changed)[1:]))
        holder = changed
        for step in parents:
            holder = holder[step]
        if data.draw(st.booleans()):
            holder[last] = data.draw(VALUES)
        elif len(changed) > 1:
            del holder[last]
    file = tmp_path / "house.yaml"
    file.write_text(yaml.safe_dump(changed, allow_unicode=True), encoding="utf-8")
    try:
        house = load_house(file)
    except InputError as error:
        files = {problem.file for problem in error.problems}
    else:
        files = {str(file)}
        assert len(addresses(house).output) == len(house.pixels)
        house_findings(with_kind(house, kinds()["ws2815"], keep="pixels"))
        again = house_from(house_data(house), file=house.file)
        assert (again.placed, again.wires) == (house.placed, house.wires)
    assert files == {str(file)}


def test_the_unchanged_starter_is_read(tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(yaml.safe_dump(STARTER), encoding="utf-8")
    assert house_findings(load_house(file)) == ()


@pytest.mark.parametrize("units", [[], {}, 5, None, "M", "inch"])
def test_units_of_any_shape(units: object, tmp_path: Path) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(yaml.safe_dump({**STARTER, "units": units}), encoding="utf-8")
    with pytest.raises(InputError):
        load_house(file)


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_any_change_in_code_is_taken_or_refused_by_its_path(data: st.DataObject) -> None:
    changed = copy.deepcopy(STARTER)
    for _ in range(data.draw(st.integers(1, 3))):
        *parents, last = data.draw(st.sampled_from(places(changed)[1:]))
        holder = changed
        for step in parents:
            holder = holder[step]
        holder[last] = data.draw(VALUES)
    try:
        house = house_from(changed)
        with_kind(house, kinds()["ws2815"])
    except InputError as error:
        told = error.problems
    else:
        told = ()
    assert all(problem.line == 0 and problem.file for problem in told)
