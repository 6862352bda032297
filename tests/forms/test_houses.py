"""Every form with everything that can be put to it: a house that loads, holds and can be lit."""

from __future__ import annotations

import functools
import itertools
import math
from typing import Any

import numpy as np
import pytest

from layouts import House, house_from, kinds
from layouts.files.document import parse
from layouts.forms import FormMeasures, drawn_form, house_of_form
from layouts.forms.usual import FORMS, TURNED
from layouts.new_file import house_text, rounded
from layouts.polygon import inside
from sim.report.check import check_report

FT = 0.3048


def combinations() -> dict[str, FormMeasures]:
    """Forms, sides, storeys, garages, porches and dormers, in turn with each other."""
    made: dict[str, FormMeasures] = {}
    turns = itertools.cycle(["none", "left", "right"])
    for form, facing in itertools.product(FORMS, ("gable", "eave")):
        if form not in TURNED and facing != FORMS[form]:
            continue
        sloped = form in ("cross-gable", "hip") or (form in TURNED and facing == "eave")
        for storeys, width, porch in itertools.product((1, 2, 3), (7.5, 12.0), (0.0, 2.6)):
            asked: dict[str, Any] = {
                **{"form": form, "facing": facing, "storeys": storeys, "width": width},
                **{"garage": next(turns), "chimney": next(turns), "porch": porch},
            }
            if form == "cross-gable" and porch and width < 8:
                asked["porch"] = 2.0
            if sloped and form != "shed":
                asked |= {"dormers": 1 if width < 8 else 2, "pitch": 10 / 12, "depth": 8.5}
                if form == "cross-gable":
                    asked["dormers"] = 1
            asked["units"] = "ft" if storeys == 2 else "m"
            made[" ".join(f"{key}={value}" for key, value in asked.items() if value)] = (
                FormMeasures(**asked)
            )
    return made


HOUSES = combinations()
every_house = pytest.mark.parametrize("measures", HOUSES.values(), ids=HOUSES.keys())


@functools.cache
def house_of(measures: FormMeasures) -> House:
    return house_from(house_of_form(measures))


def surfaces(measures: FormMeasures) -> dict[str, np.ndarray]:
    return {s.name: s.outline_m for s in house_of(measures).drawing.surfaces}


def test_there_are_many() -> None:
    assert len(HOUSES) >= 60
    assert {m.form for m in HOUSES.values()} == set(FORMS)


@every_house
def test_check_has_nothing_to_say_but_that_nothing_is_wired(measures: FormMeasures) -> None:
    found = check_report(house_of(measures), []).all
    assert {each.code for each in found} <= {"no-supplies", "figures-borrowed"}, found
    assert all(each.level == "note" for each in found)


@every_house
def test_no_outline_crosses_itself(measures: FormMeasures) -> None:
    for name, outline in surfaces(measures).items():
        assert not crosses_itself(outline), name
        assert area(outline) != 0, name


def test_the_test_of_crossing_knows_a_bow_tie() -> None:
    assert crosses_itself(np.array([[0, 0], [1, 1], [1, 0], [0, 1]], dtype=float))
    assert not crosses_itself(np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=float))


def crosses_itself(outline: np.ndarray) -> bool:
    """Whether two edges that are no neighbours meet within both."""
    count = len(outline)
    edges = [(outline[i], outline[(i + 1) % count]) for i in range(count)]

    def side(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> float:
        return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))

    for i, j in itertools.combinations(range(count), 2):
        if j - i in (1, count - 1):
            continue
        (a, b), (c, d) = edges[i], edges[j]
        if side(a, b, c) * side(a, b, d) < -1e-12 and side(c, d, a) * side(c, d, b) < -1e-12:
            return True
    return False


def area(outline: np.ndarray) -> float:
    x, y = outline.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


@every_house
def test_windows_and_doors_stand_within_their_walls(measures: FormMeasures) -> None:
    """Frames, with a hand's breadth to the wall's edges, and never one over another."""
    made = surfaces(measures)
    frames = {name: outline for name, outline in made.items() if name.endswith("-frame")}
    own = {
        name: outline
        for name, outline in frames.items()
        if name.startswith(("window", "door", "clerestory", "attic"))
    }
    assert "door-frame" in own
    for name, outline in own.items():
        assert inside(made["wall"], outline).all(), name
        clear = made["corner-left"][:, 0].max(), made["corner-right"][:, 0].min()
        assert outline[:, 0].min() > clear[0], name
        assert outline[:, 0].max() < clear[1], name
    for name, outline in frames.items():
        if name.startswith("gable-"):
            assert inside(made["gable-wall"], outline).all(), name
            assert outline[:, 0].min() > made["gable-corner-left"][:, 0].max(), name
        if name.startswith("garage-"):
            assert inside(made["garage-wall"], outline[2:]).all(), name
        if name.startswith("dormer-"):
            assert inside(made[name.replace("window-frame", "wall")], outline).all(), name
    for (one, a), (other, b) in itertools.combinations(own.items(), 2):
        apart = (a.min(axis=0) >= b.max(axis=0)) | (b.min(axis=0) >= a.max(axis=0))
        assert apart.any(), (one, other)
    if "gable-wall" in made:
        left, right = made["gable-wall"][:, 0].min(), made["gable-wall"][:, 0].max()
        for name, outline in own.items():
            assert outline[:, 0].max() < left or outline[:, 0].min() > right, name


@every_house
def test_storeys_are_aligned(measures: FormMeasures) -> None:
    made = surfaces(measures)
    heads = {
        round(float(o[:, 1].max()), 2)
        for n, o in made.items()
        if n.startswith("window-") and n[-1].isdigit()
    }
    assert len(heads) == measures.floors or (len(heads) == measures.floors - 1)
    for low, high in itertools.pairwise(sorted(heads)):
        assert high - low > 2.0


@every_house
def test_runs_hang_under_the_boards_of_the_roof(measures: FormMeasures) -> None:
    """Just below the edge, by the closed form of the roof, and in front of the wall."""
    house = house_of(measures)
    tolerance = 0.004  # 1/16 in of rounding, twice, and as much again for the slope
    runs = {run.name: run for run in house.runs}
    wall = surfaces(measures)["wall"]
    left = float(wall[:, 0].min()) - measures.overhang
    half = measures.width / 2 + measures.overhang
    for name, run in runs.items():
        path = run.path_m
        assert run.kind.name == "ws2815"
        if name.startswith("eave"):
            assert path[:, 1] == pytest.approx(measures.eave_m - 0.025, abs=tolerance)
            assert path[0, 0] >= left - tolerance
            assert path[-1, 0] <= left + 2 * half + tolerance
            assert run.standoff_m == pytest.approx(measures.overhang, abs=tolerance)
    gables = [run for name, run in runs.items() if name.split("-")[0] == "gable"]
    if measures.form == "gable" and measures.facing == "gable":
        total = sum(run.length_m for run in gables)
        slope = math.sqrt(1 + measures.slope**2)
        # Both rakes, without the 12 cm across that the run leaves free at either tip, and shorter
        # by p·d at the ridge because it hangs d below the edge.
        assert total == pytest.approx(2 * (half - 0.12) * slope, abs=0.01)
        high = max(float(run.path_m[:, 1].max()) for run in gables)
        ridge = measures.eave_m + measures.slope * half
        assert high == pytest.approx(ridge - 0.025 * slope, abs=tolerance)
    assert measures.form == "flat" or measures.rise > 0
    expected = {"gable": "gable", "gambrel": "gable", "shed": "rake"}.get(measures.form)
    if measures.facing == "gable" and expected:
        assert any(name.startswith(expected) for name in runs)
    else:
        assert any(name.startswith("eave") for name in runs)
    zones = house.zones  # a run that is longer than an output carries is a zone of its pieces
    assert ("garage-eave" in zones) == (measures.garage != "none")
    assert ("porch" in zones) == bool(measures.porch)
    assert sum(name.startswith("dormer-") for name in runs) == measures.dormers


@every_house
def test_zones_and_addresses(measures: FormMeasures) -> None:
    house = house_of(measures)
    made = house_of_form(measures)
    assert not made.get("supplies")
    assert not made.get("wires")
    assert all(place.xy_m[0] > 0 for place in house.places)
    assert any(place.mains and place.sheltered for place in house.places)
    chained = [name for output in house.outputs for name in output.chain]
    assert sorted(chained) == sorted(run.name for run in house.runs)


@every_house
def test_the_file_says_the_same_house(measures: FormMeasures) -> None:
    data, over = drawn_form(measures)
    assert parse(house_text(data, over=over), "house.yaml").data == {
        "format": "evenfall-house/1",
        **rounded(data),
    }
    assert set(over) <= {surface["name"] for surface in data["drawing"]["surfaces"]}


def test_measures_are_what_was_asked() -> None:
    """A front 40 ft wide, eaves at 9 ft, 6 in 12."""
    measures = FormMeasures(
        form="gable", width=40 * FT, eave=9 * FT, pitch=6 / 12, storeys=2, units="ft"
    )
    made = surfaces(measures)
    across = made["wall"][:, 0]
    assert across.max() - across.min() == pytest.approx(40 * FT, abs=0.002)
    assert made["bargeboard"][:, 1].min() == pytest.approx(9 * FT, abs=0.002)
    assert measures.floors == 1
    assert "attic-1-frame" in made


@pytest.mark.parametrize("kind", kinds())
def test_any_kind_of_pixel_is_chained_in_what_an_output_carries(kind: str) -> None:
    """40 frames a second, no address twice, no gap that data would not cross."""
    for form in ("cross-gable", "gambrel"):
        measures = FormMeasures(
            form=form, width=16.0, storeys=2, porch=4.0, garage="right", kind=kind
        )
        found = check_report(house_of(measures), []).all
        of_the_part = {"figures-borrowed", "lit-without-data", "levels-unused"}
        assert {each.code for each in found} <= {"no-supplies", *of_the_part}, found
        assert {each.level for each in found} == {"note"}
        assert {output.fps for output in house_of(measures).outputs} == {40}
