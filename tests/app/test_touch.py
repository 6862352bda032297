"""What is under a point, what a card says, how touching goes; without a display."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from effects import bind, load_scheme
from layouts import House, load_house
from sim.app.state import actions as act
from sim.app.state.keys import Press, action_for
from sim.app.state.mending_record import OpenSheet
from sim.app.state.record import State
from sim.app.state.touch import things_of
from sim.app.state.touch_buttons import buttons_of
from sim.app.state.touch_card import MEASURING, CardFacts, card_of, fitting
from sim.app.state.touch_places import REACH, TouchPlaces, along, placed
from sim.app.state.touch_pointer import CardPlaces, Touchable, pointed, touched
from sim.app.state.touch_record import LookCloser, OpenThing, PointAt, StepTouch, Thing
from sim.app.state.touch_words import few
from sim.app.state.update import update
from sim.app.state.window_layout import Rect, layout
from sim.frame import frame, rig_for
from sim.plan.boxes import hung
from sim.report.power import power_report
from sim.report.text import amps, percent
from sim.report.watched import watched_of
from sim.scan import scan

EAVE, DOOR = Thing("run", 0, "eave"), Thing("run", 1, "door")
BOX = Thing("supply", 0, "box")
UP, DOWN = Thing("wire", 0, "box → eave.start"), Thing("wire", 1, "box → door.start")


@pytest.fixture
def house(house_file: Path) -> House:
    return load_house(house_file)


@pytest.fixture
def known(house_file: Path, house: House) -> CardFacts:
    from types import SimpleNamespace
    from typing import Any, cast

    scheme = load_scheme(house_file.parent / "winter.scheme.yaml", house)
    made = rig_for(house, scheme)
    show = bind(house, scheme)
    lies = hung(house)
    side: Any = SimpleNamespace(kind=None, rig=made, scene=None, hung=lies)
    watched = watched_of(scan(made, show))
    return CardFacts(cast(Any, side), show, frame(made, show, 1.0), watched, lies.supposed)


@pytest.fixture
def places(house: House) -> TouchPlaces:
    """100 px a metre, y down from 400."""

    def to_px(xy: np.ndarray) -> np.ndarray:
        return np.asarray(xy, dtype=float) * (100, -100) + (0, 400)

    lines = {EAVE: to_px(house.runs[0].path_m), DOOR: to_px(house.runs[1].path_m),
             UP: np.array([[300.0, 300], [300, 200], [100, 165]]),
             DOWN: np.array([[300.0, 300], [200, 390]])}  # fmt: skip
    return placed(house, lines, {BOX: (300.0, 300.0)}, None, to_px(house.pixels.xy_m), 1.0)


@pytest.fixture
def there(state: State, house: House) -> State:
    return update(state, things_of(house))


def test_the_nearest_within_reach_is_under_a_point(places: TouchPlaces) -> None:
    # the eave lies level at y 400 − 235 = 165, from x 100 to 500
    assert places.under(450, 165 + REACH - 1, wires=True) == EAVE
    assert places.under(450, 165 - REACH - 1, wires=True) is None
    assert places.under(195, 320, wires=True) == DOOR
    assert places.under(300, 230, wires=True) == UP
    assert places.under(300, 230, wires=False) is None
    assert places.under(305, 305, wires=True) == BOX
    assert places.under(305, 305, wires=False) is None


def test_it_agrees_with_a_search_among_points_laid_densely_along_the_lines(
    places: TouchPlaces,
) -> None:
    trees = {thing: cKDTree(along(line, 0.1)) for thing, line in places.lines.items()
             if thing.form == "run"}  # fmt: skip
    for x, y in np.random.default_rng(5).uniform((0, 0), (600, 400), (300, 2)):
        far = {thing: tree.query((x, y))[0] for thing, tree in trees.items()}
        nearest = min(far, key=lambda thing: far[thing])
        others = [d for thing, d in far.items() if thing != nearest]
        if min([abs(far[nearest] - REACH), *(abs(d - far[nearest]) for d in others)]) > 0.1:
            expected = nearest if far[nearest] <= REACH else None
            assert places.under(x, y, wires=False) == expected


def test_to_find_it_takes_less_than_a_millisecond() -> None:
    """60 wires of 12 corners and 30 runs; the best of many, as the machine may be busy."""
    rng = np.random.default_rng(3)
    lines = {Thing("wire", n, str(n)): rng.uniform(0, 1000, (12, 2)) for n in range(60)}
    lines |= {Thing("run", n, str(n)): rng.uniform(0, 1000, (4, 2)) for n in range(30)}
    from types import SimpleNamespace
    from typing import Any

    made: Any = SimpleNamespace(runs=())
    many = placed(made, lines, {BOX: (5.0, 5.0)}, None, np.zeros((0, 2)), 1.0)
    best_s = np.inf
    for x in range(200):
        start_s = time.perf_counter()
        many.under(x, 2 * x, wires=True)
        best_s = min(best_s, time.perf_counter() - start_s)
    assert best_s < 1e-3


def test_hover_open_closer_and_back(there: State, places: TouchPlaces) -> None:
    parts, touch = layout(there), Touchable(places)
    for action in pointed(there, parts, touch, (450, 160)):
        there = update(there, action)
    assert there.touch.lit == EAVE
    assert list(pointed(there, parts, touch, (451, 160))) == []  # nothing new: no new state
    for _ in range(2):
        for action in touched(there, parts, touch, 450, 160):
            there = update(there, action)
    pixel = places.pixel(EAVE, 450, 160)
    assert pixel is not None
    assert pixel == there.selection
    assert there.touch.card == EAVE
    there = update(there, act.Back())
    assert (there.selection, there.touch.card) == (None, EAVE)
    there = update(there, act.Back())
    assert there.touch.card is None
    assert list(pointed(there, parts, touch, None)) == [PointAt(None)]


def test_a_card_is_not_touched_through(there: State, places: TouchPlaces) -> None:
    card = CardPlaces(Rect(440, 150, 100, 100), ((Rect(450, 160, 30, 30), act.Select(3)),),
                      Rect(510, 150, 28, 28))  # fmt: skip
    touch, parts = Touchable(places, card), layout(there)
    lit = update(there, PointAt(EAVE))
    assert list(pointed(lit, parts, touch, (445, 165))) == [PointAt(None)]
    assert card.at(455, 165) == act.Select(3)
    assert card.at(511, 151) == OpenThing(None)


def test_keys_go_through_all_there_is(there: State) -> None:
    for press, action in ((Press("t"), StepTouch(1)), (Press("t", shift=True), StepTouch(-1)),
                          (Press("return"), LookCloser())):  # fmt: skip
        assert action_for(there, press) == action
    order = [EAVE, DOOR, BOX, UP, DOWN]
    seen = []
    state = there
    for _ in range(6):
        state = update(state, StepTouch(1))
        seen.append(state.touch.lit)
    assert seen == [*order, EAVE]
    assert update(there, StepTouch(-1)).touch.lit == DOWN
    opened = update(update(state, StepTouch(1)), LookCloser())
    assert (opened.touch.card, opened.touch.pixel) == (DOOR, 40)
    assert update(opened, LookCloser()).selection == 40
    assert update(opened, StepTouch(1)).touch.card == BOX
    shut = update(update(opened, act.Back()), act.Back())
    assert (shut.touch.card, shut.touch.lit) == (None, None)


def test_what_is_gone_from_the_house_is_not_open(there: State, house: House) -> None:
    opened = update(there, OpenThing(DOWN))
    fewer = things_of(replace(house, wires=house.wires[:1]))
    assert update(opened, fewer).touch.card is None
    assert update(opened, things_of(house)).touch.card == DOWN


def rows(known: CardFacts, thing: Thing) -> dict[str, str]:
    card = card_of(thing, known)
    assert card is not None
    return {row.label: " / ".join(row.values) for row in card.rows}


def test_cards_say_what_the_power_report_says(known: CardFacts) -> None:
    assert known.show is not None
    report = power_report(known.side.rig, known.show)
    run, wire, supply = report.scan.runs[0], report.scan.wires[0], report.scan.supplies[0]
    told = rows(known, EAVE)
    assert told["least in all"].startswith(f"{run.min_v:.2f} V at [{run.min_v_pixel}]")
    assert told["most lost"] == f"{percent(run.drop)} of 5 V"
    assert told["draws"].endswith(f"peak {amps(run.peak_a)}")
    assert told["lit by"] == "1 chase"  # the steady layer lights the door alone
    assert told["wires"] == "box → eave.start"
    # 40 pixels of three channels from address 1 on: the last begins at 1 + 39 · 3
    assert told["address"] == "output A · 1 / 1 to 1 / 118"
    of_wire = rows(known, UP)
    assert of_wire["peak"].startswith(amps(wire.peak_a))
    assert of_wire["drop"].startswith(f"{wire.drop_v:.2f} V")
    assert of_wire["fuse"] == "3 A"
    assert of_wire["feeds"] == "eave"
    assert "not stated" in of_wire["lies"]
    of_supply = rows(known, BOX)
    assert of_supply["peak"].startswith(amps(supply.peak_a))
    assert of_supply["feeds"] == "eave, door"
    assert "not stated" in of_supply["hangs"]
    assert report.findings  # of the same scan: what the card warns of is among them
    warned = card_of(BOX, known)
    assert warned is not None
    about = [f for f in report.findings if f.where == "box" and f.level != "note"]
    assert len(warned.notes) == min(len(about), 2)


def test_wall_watts_of_a_supply_follow_its_efficiency(known: CardFacts) -> None:
    # 0.3 W without load, and what leaves its terminals over 0.85 (the file's own figures)
    now_a = float(known.frame.supply_a[0])
    wall_w = 0.3 + now_a * (5 - 0.01 * now_a) / 0.85
    assert float(rows(known, BOX)["from the wall"].split()[0]) == pytest.approx(wall_w, abs=0.006)


def test_nothing_of_another_scheme_or_brightness_is_told(known: CardFacts) -> None:
    side, show = known.side, known.show
    assert fitting(known.watched, side, show, 0.8) is known.watched
    assert fitting(known.watched, side, show, 0.5) is None
    assert fitting(known.watched, side, None, 0.8) is None
    told = rows(replace(known, watched=None), EAVE)
    assert told["in the scheme"] == MEASURING
    assert "least in all" not in told


def test_buttons_come_from_the_table(there: State) -> None:
    opened = update(there, OpenThing(EAVE, 7))
    breaks = ("Break", OpenSheet("break"))
    assert buttons_of(opened, "run", EAVE) == (("This pixel", act.Select(7)), breaks)
    closer = update(opened, act.Select(7))
    assert buttons_of(closer, "pixel", EAVE) == (("The whole run", act.Back()), breaks)
    assert buttons_of(there, "wire", UP) == (breaks,)


def test_names_stand_side_by_side_and_none_is_lost_unsaid() -> None:
    assert few(["eave", "door"]) == ("eave, door",)
    assert few([]) == ()
    long = [f"a-run-with-a-long-name-{n}" for n in range(5)]
    assert few(long) == (long[0], long[1], "and 3 more")
    assert few(long[:3]) == tuple(long[:3])
