"""Strip or string: what mending a pixel takes."""

from __future__ import annotations

import itertools

import pytest
import yaml

from layouts import house_from, kinds
from sim.parts import load_parts
from sim.upkeep import mending as module
from sim.upkeep.mending import SAID, dark_with_one, mending


def house_of(kind: str, counts: list[int], chains: list[list[str]]):
    runs = [
        {"name": f"r{i}", "pixels": kind, "count": n, "path": [["0 m", f"{i + 1} m"],
                                                              ["5 m", f"{i + 1} m"]]}
        for i, n in enumerate(counts)
    ]  # fmt: skip
    outputs = [{"name": f"o{i}", "chain": chain} for i, chain in enumerate(chains)]
    return house_from(
        {"name": "h", "drawing": {"size": ["6 m", "9 m"]}, "runs": runs, "outputs": outputs}
    )


def by_hand(counts: list[int]) -> float:
    """Every pixel of one chain dies in turn; itself and all behind it are dark."""
    n = sum(counts)
    return sum(n - k for k in range(n)) / n


@pytest.mark.parametrize("counts", [[1], [5], [3, 4], [2, 7, 5]])
def test_what_one_dead_pixel_takes_along(counts):
    chain = [f"r{i}" for i in range(len(counts))]
    assert dark_with_one(house_of("sk6812", counts, [chain])) == pytest.approx(by_hand(counts))
    # with a backup line only itself is lost, by the sheet of ws2813
    assert dark_with_one(house_of("ws2813", counts, [chain])) == 1.0


def test_runs_without_an_output_are_chains_of_their_own():
    # 4 and 6 pixels apart: (10 + 21)/10; together 5.5
    assert dark_with_one(house_of("sk6812", [4, 6], [])) == pytest.approx(3.1)
    assert dark_with_one(house_of("sk6812", [4, 6], [["r0", "r1"]])) == pytest.approx(5.5)


def test_both_say_the_same_things_and_where_they_are_from():
    with open(module.__file__.replace(".py", ".yaml"), encoding="utf-8") as file:
        table = yaml.safe_load(file)
    assert set(table) == {"strip", "string"}
    for mount, name in itertools.product(table, (*SAID, "minutes")):
        assert table[mount][name]["source"].endswith("]"), (mount, name)


def test_minutes_and_money_follow_the_parts_file(tmp_path, demo):
    from layouts import load_house

    house = load_house(demo / "cottage" / "house.yaml")
    path = tmp_path / "parts.yaml"
    path.write_text("format: evenfall-parts/1\ncurrency: USD\nwork: {hourly: 60, joint_min: 15}\n")
    parts = load_parts(path, house)
    strip = mending(kinds()["sk6812"], parts)
    string = mending(kinds()["ws2811-12v-group3"], parts)
    # two joints of 15 minutes, at 60 an hour
    assert strip.minutes[0] == 30
    assert strip.price == pytest.approx((30, 60))
    assert string.minutes[1] < strip.minutes[0]
