"""Houses made and changed in code: the same as reading the changed file would give."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from layouts import (
    House,
    InputError,
    addresses,
    change,
    house_data,
    house_from,
    kinds,
    load_house,
    with_kind,
)

ROOT = Path(__file__).resolve().parents[2]
DEMOS = sorted((ROOT / "demo").glob("*/house.yaml"))

HOUSE: dict[str, Any] = {
    "name": "Base",
    "drawing": {"size": [6, 4]},
    "kinds": {"rope": {"like": "ws2813", "mount": "string", "pitch": 0.1, "wire": "20 AWG"}},
    "runs": [
        {"name": "left", "pixels": "ws2813", "path": [[0, 2], [3, 3]], "cuts": [30, "1 m"]},
        {"name": "right", "pixels": "ws2813", "path": [[3, 3], [6, 2]], "aim": 45},
        {"name": "tree", "pixels": "rope", "path": [[0, 0], [2, 0]]},
    ],
    "zones": {"half": ["left[60:120]", "right"]},
    "supplies": [{"name": "box", "volts": 5, "amps": 20}],
    "wires": [
        {"from": "box", "to": "left[40]", "wire": "14 AWG", "length": "2 m", "fuse": 7.5},
        {"from": "box", "to": "right@1.5 m", "wire": "14 AWG", "length": 5},
        {"from": "box", "to": "tree.end", "wire": "14 AWG", "length": 5},
    ],
    "outputs": [{"name": "A", "chain": ["left", "right", "tree"], "universe": 1}],
}


def plain(value: Any) -> Any:
    """A record as data that can be compared, arrays and all."""
    if isinstance(value, np.ndarray):
        return value.tolist()
    if dataclasses.is_dataclass(value):
        return {each.name: plain(getattr(value, each.name)) for each in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {key: plain(each) for key, each in value.items()}
    return [plain(each) for each in value] if isinstance(value, tuple | list) else value


def edited(**sections: Any) -> House:
    return house_from({**HOUSE, **sections})


def with_run(name: str, **keys: Any) -> list[dict[str, Any]]:
    return [{**run, **keys} if run["name"] == name else run for run in HOUSE["runs"]]


@pytest.mark.parametrize("file", DEMOS, ids=[file.parent.name for file in DEMOS])
def test_a_mapping_makes_the_house_that_its_file_makes(file: Path) -> None:
    read = load_house(file)
    made = house_from(yaml.safe_load(file.read_text(encoding="utf-8")), file=str(file))
    assert plain(made) == plain(read)


@pytest.mark.parametrize("file", DEMOS, ids=[file.parent.name for file in DEMOS])
def test_a_house_as_data_makes_it_again(file: Path) -> None:
    read = load_house(file)
    assert plain(house_from(house_data(read), file=str(file))) == plain(read)


@pytest.mark.parametrize(
    ("changed", "sections"),
    [
        ({"temperature_c": "-10 °C"}, {"temperature_c": -10}),
        ({"runs": {"left": {"cuts": [75]}}}, {"runs": with_run("left", cuts=[75])}),
        ({"runs": {"left": {"path": [[0, 2], [2, 2]]}}},
         {"runs": with_run("left", path=[[0, 2], [2, 2]])}),
        ({"runs": {"right": {"count": 90, "aim": "wall"}}},
         {"runs": with_run("right", count=90, aim="wall")}),
        ({"runs": {"left": {"pixels": "ws2812b-v5", "standoff": "1 cm"}}},
         {"runs": with_run("left", pixels="ws2812b-v5", standoff="1 cm")}),
        ({"supplies": {"box": {"amps": 30}, "spare": {"volts": 5, "amps": 2, "at": [1, 1]}}},
         {"supplies": [{"name": "box", "volts": 5, "amps": 30},
                       {"name": "spare", "volts": 5, "amps": 2, "at": [1, 1]}]}),
        ({"zones": {"half": ["left[0:9]"], "more": ["tree"]}},
         {"zones": {"half": ["left[0:9]"], "more": ["tree"]}}),
        ({"zones": {"half": None}}, {"zones": {}}),
        ({"outputs": {"A": {"universe": 7}}},
         {"outputs": [{**HOUSE["outputs"][0], "universe": 7}]}),
        ({"places": {"loft": {"at": [3, 2], "mains": True}}},
         {"places": [{"name": "loft", "at": [3, 2], "mains": True}]}),
        ({"kinds": {"rope": {"like": "ws2813", "mount": "string", "pitch": 0.2, "wire": "18 AWG"}}},
         {"kinds": {"rope": {"like": "ws2813", "mount": "string", "pitch": 0.2,
                             "wire": "18 AWG"}}}),
        ({"drawing": {"size": [9, 9], "viewer": 20}}, {"drawing": {"size": [9, 9], "viewer": 20}}),
    ],
    ids=lambda value: str(value)[:60],
)  # fmt: skip
def test_changing_a_house_is_changing_its_file(
    changed: dict[str, Any], sections: dict[str, Any]
) -> None:
    assert plain(change(house_from(HOUSE), **changed)) == plain(edited(**sections))


def test_wires_are_given_whole_and_records_stay() -> None:
    made = house_from(HOUSE)
    new = {"from": "box", "to": "left.start", "wire": "12 AWG", "length": 1, "fuse": "10 A"}
    more = change(made, wires=[*made.wires, new])
    assert more.wires[:3] == made.wires
    assert (more.wires[3].label, more.wires[3].fuse_a) == ("box → left.start", 10)
    assert plain(more) == plain(edited(wires=[*HOUSE["wires"], new]))
    with pytest.raises(KeyError, match="give the whole list"):
        change(made, wires={"box → left[40]": None})


def test_a_run_taken_out_and_one_put_in_move_what_follows() -> None:
    made = house_from(HOUSE)
    gone = change(
        made, runs={"left": None}, zones={"half": None}, wires=list(made.wires[1:]),
        outputs={"A": {"chain": ["right", "tree"]}},
    )  # fmt: skip
    assert [run.first for run in gone.runs] == [0, gone.runs[0].count]
    right = made.run("right")
    np.testing.assert_array_equal(
        gone.pixels.xy_m[gone.runs[0].pixels], made.pixels.xy_m[right.pixels]
    )
    assert addresses(gone).universe[0] == 1
    assert set(gone.zones) == {"right", "tree", "all"}
    with pytest.raises(KeyError, match="attic"):
        change(made, runs={"attic": None})


def test_what_stays_is_taken_over() -> None:
    made = house_from(HOUSE)
    other = change(made, runs={"left": {"cuts": ["50 cm"]}}, temperature_c=30)
    assert other.run("left").cuts == (30,)
    assert other.pixels is made.pixels
    assert other.zones is made.zones
    assert other.drawing is made.drawing


def test_runs_exchanged_behind_the_pixels_are_refused() -> None:
    made = house_from(HOUSE)
    moved = dataclasses.replace(made.runs[0], standoff_m=0.4)
    with pytest.raises(ValueError, match=r"layouts\.change"):
        dataclasses.replace(made, runs=(moved, *made.runs[1:]))
    with pytest.raises(ValueError, match=r"layouts\.change"):
        dataclasses.replace(made, runs=made.runs[:1])
    # what does not move a pixel may be exchanged
    cut = dataclasses.replace(made.runs[0], cuts=(3,))
    assert dataclasses.replace(made, runs=(cut, *made.runs[1:])).runs[0].cuts == (3,)


def test_every_problem_is_told_at_once_by_its_path() -> None:
    with pytest.raises(InputError) as caught:
        house_from(
            {
                **HOUSE,
                "temperature": 3,
                "runs": [
                    *HOUSE["runs"],
                    {"name": "far", "pixels": "ws2183", "path": [[0, 0], ["9 miles", 0]]},
                ],
                "zones": {"half": ["lft"]},
                "supplies": [{"name": "box", "volts": "5 A", "amps": 20}],
            }
        )
    assert str(caught.value).splitlines() == [
        "runs[3].path[1][0]: '9 miles' is not a length; write it like '2.5 m', '40 mm' or"
        " '12 ft 6 in'",
        "supplies[0].volts: expected a number, found '5 A'; write the number alone, in V",
        "temperature: unknown key 'temperature'; did you mean 'temperature_c'?",
        "zones.half[0]: unknown run 'lft'; did you mean 'left'?",
    ]
    assert {problem.line for problem in caught.value.problems} == {0}


@pytest.mark.parametrize("data", [{}, {"name": 3}, {"runs": None}, {"runs": []}, {"format": "x"}])
def test_what_is_no_house_is_refused(data: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        house_from(data)


def test_units_count_in_code_as_in_a_file() -> None:
    feet = house_from(
        {
            "name": "Feet",
            "units": "ft",
            "drawing": {"size": [20, 10]},
            "runs": [{"name": "r", "pixels": "ws2813", "path": [[0, 8], ["12 ft 6 in", 8]]}],
        }
    )
    assert feet.runs[0].length_m == pytest.approx(12.5 * 0.3048)
    longer = change(feet, runs={"r": {"path": [[0, 8], [10, 8]]}})
    assert longer.runs[0].length_m == pytest.approx(3.048)
    assert (feet.units, longer.units) == ("ft", "ft")


def test_a_record_may_stand_for_a_name() -> None:
    dim = dataclasses.replace(kinds()["ws2813"], name="dim", min_v=2.0)
    made = edited(runs=with_run("left", pixels=dim), kinds={**HOUSE["kinds"], "own": dim})
    assert made.run("left").kind is dim
    assert made.kinds["own"] == dataclasses.replace(dim, name="own")
    # a variant under the catalogue's name is this run's alone
    same_name = dataclasses.replace(dim, name="ws2813")
    other = edited(runs=with_run("left", pixels=same_name))
    assert other.run("left").kind is same_name
    assert other.run("right").kind is kinds()["ws2813"]
    assert other.kinds["ws2813"] is kinds()["ws2813"]
    again = change(other, runs={"left": {"cuts": [7]}})
    assert again.run("left").kind is same_name


def test_another_kind_keeps_the_metres() -> None:
    made = house_from(HOUSE)
    half = dataclasses.replace(kinds()["ws2813"], name="half", pitch_m=1 / 30)
    other = with_kind(made, half, keep="metres")
    left = other.run("left")
    # 30 a metre on √10 m are 94 pixels; the cuts before 30 and at 1 m (60) are 15 and 30 there
    assert (left.count, left.pitch_m, left.cuts) == (94, 1 / 30, (15, 30))
    # pixel 40 of 60 a metre is centred at 0.675 m, which pixel 20 (0.667 to 0.7 m) covers
    assert [wire.end.text for wire in other.wires] == ["left[20]", "right@1.5 m", "tree.end"]
    assert other.wires[1].end.pad == 46  # 1.5 m / (1/30 m) = 45 pixels before it
    assert other.zones["half"].parts == ("left[30:60]", "right")
    assert other.zones["half"].pixels[:30].tolist() == list(range(30, 60))
    assert other.supplies == made.supplies


def test_spread_pixels_stay_spread_and_other_runs_stay() -> None:
    made = change(house_from(HOUSE), runs={"tree": {"count": 10}})
    tree = with_kind(made, kinds()["ws2813"], runs=["tree"])
    # 10 pixels of 10 cm are 60 of 1/60 m, evenly over the 2 m that the ten were spread over
    assert (tree.run("tree").count, tree.run("tree").pitch_m) == (60, 2 / 60)
    assert tree.run("left").cuts == made.run("left").cuts
    assert tree.wires[:2] == made.wires[:2]


def test_there_and_back_is_the_same_house() -> None:
    made = house_from(HOUSE)
    half = dataclasses.replace(kinds()["ws2813"], name="half", pitch_m=1 / 30)
    strips = ["left", "right"]
    back = with_kind(with_kind(made, half, runs=strips), kinds()["ws2813"], runs=strips)
    assert [run.count for run in back.runs] == [run.count for run in made.runs]
    assert back.run("left").cuts == made.run("left").cuts
    assert back.zones["half"].parts == made.zones["half"].parts
    np.testing.assert_array_equal(back.pixels.xy_m, made.pixels.xy_m)


@pytest.mark.parametrize("kind", kinds())
@pytest.mark.parametrize("file", DEMOS, ids=[file.parent.name for file in DEMOS])
def test_every_kind_fits_every_demo_house(file: Path, kind: str) -> None:
    made = load_house(file)
    other = with_kind(made, kinds()[kind], keep="metres")
    for run, old in zip(other.runs, made.runs, strict=True):
        assert run.count * run.pitch_m <= old.length_m + 1e-6
        assert run.count * run.pitch_m > old.length_m - run.pitch_m
    assert set(other.zones) == set(made.zones)


def test_wires_and_cuts_of_a_large_house_change_quickly() -> None:
    made = load_house(ROOT / "demo" / "townhouse" / "house.yaml")
    name = made.runs[0].name
    best = {}
    for what, sections in {
        "wires": {"wires": list(made.wires)},
        "supplies": {"supplies": {made.supplies[0].name: {"amps": 12}}},
        "cuts": {"runs": {name: {"cuts": [30, 60]}}},
    }.items():
        times = []
        for _ in range(20):
            start = time.perf_counter()
            change(made, **sections)
            times.append(time.perf_counter() - start)
        best[what] = min(times)
    # stated budget 2 ms; the margin is for a machine that others share
    assert max(best.values()) < 0.006, best


@pytest.fixture
def imperial(house: Callable[[str], House]) -> House:
    return house(
        "format: evenfall-house/1\nname: I\nunits: ft\ndrawing: {size: [20, 10]}\n"
        "runs: [{name: r, pixels: ws2813, path: [[-1, 8], [9, 8]], cuts: [3 ft 3 3/8 in]}]\n"
        "zones: {a: ['r[1:5]']}\n"
    )


def test_an_imperial_house_is_itself_again(imperial: House) -> None:
    assert imperial.units == "ft"
    assert imperial.pixels.xy_m[0, 0] < 0  # coordinates may be negative
    # 39.375 in = 1.000125 m; 60 a metre
    assert imperial.runs[0].cuts == (60,)
    assert plain(house_from(house_data(imperial), file=imperial.file)) == plain(imperial)
