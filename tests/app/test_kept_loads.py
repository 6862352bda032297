"""Curves are measured once: what depends on them, what is kept, and what never starts it again."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from effects import Show, bind, load_scheme
from layouts import House, kinds, load_house, with_kind
from layouts.faults import Fault
from sim.app.state import actions as act
from sim.app.state.actions import Loaded
from sim.app.state.record import State
from sim.app.state.ribbon import CeilingAmps, Load
from sim.app.state.ribbon_actions import InstantFound, PointAtTime
from sim.app.state.shown import Side, Stage
from sim.app.state.update import update
from sim.app.work import load_desk, measure
from sim.app.work.backstage import Backstage
from sim.app.work.file_facts import facts_of
from sim.app.work.instant import instant
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_desk import LoadDesk
from sim.app.work.load_keys import LoadKeys
from sim.frame import frame, on_wire, rig, rig_for
from sim.report.watched import Watched, watched_of
from sim.scan import Scan, scan
from sim.upkeep import broken, frame_of_broken

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait


@pytest.fixture
def house(house_file: Path) -> House:
    return load_house(house_file)


@pytest.fixture
def show(house: House) -> Show:
    return bind(house, load_scheme(Path(house.file).parent / "winter.scheme.yaml", house))


@pytest.fixture
def state(house: House, show: Show) -> State:
    read = State(house.file, facts=facts_of(house, show.scheme, show), playing=False)
    return replace(read, time_s=0.0)


def stage_of(house: House, show: Show, other: House | None = None) -> Stage:
    """As the maker makes one anew for every wish; nothing here looks at scenes."""
    sides = [Side(None, rig_for(one, show.scheme), None) for one in (house, other) if one]
    return Stage(house, show.scheme, sides[0], sides[1] if other else None, 0.0)


class Bench:
    """A desk, and the state that it tells."""

    def __init__(self, state: State) -> None:
        self.desk, self.state = LoadDesk(), state

    def turn(self, stage: Stage, show: Show) -> None:
        told, failed = self.desk.taken()
        assert not failed
        for action in (*told, *self.desk.follow(self.state, stage, show)):
            self.state = update(self.state, action)

    def settle(self, stage: Stage, show: Show) -> None:
        wait(lambda: self.desk.idle, lambda: self.turn(stage, show), rest_s=0.002)
        self.turn(stage, show)


@pytest.fixture
def bench(state: State, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setattr(load_desk, "REST_S", 0.0)
    one = Bench(state)
    yield one
    while not one.desk.close():
        pass


def test_the_curve_is_that_of_the_report_and_so_is_the_ceiling(
    bench: Bench, house: House, show: Show
) -> None:
    bench.settle(stage_of(house, show), show)
    watched = scan(rig_for(house, show.scheme), show)
    load = bench.desk.loads["left"]
    np.testing.assert_allclose(load.supply_a, watched.loads.supply_a, atol=1e-9)
    assert bench.state.ceiling == load.ceiling.brightness
    assert bench.state.ceiling_limit == load.ceiling.held_by
    assert not load.ceiling.limit or load.ceiling.bound
    at_ceiling = scan(rig_for(house, show.scheme), show, brightness=load.ceiling.brightness)
    assert load.ceiling.most_a == pytest.approx(at_ceiling.loads.supply_a.sum(axis=1).max())
    assert bench.state.ribbon.marks


def test_the_curve_of_a_broken_house_is_that_of_its_frames_and_kept_as_the_sound_one_is(
    bench: Bench, house: House, show: Show
) -> None:
    stage, desk = stage_of(house, show), bench.desk
    bench.settle(stage, show)
    whole, ceiling, watched = desk.loads["left"], bench.state.ceiling, desk.watched["left"]
    faults = (Fault("open", "eave", 12, "plus"), Fault("joint", wire=1, ohm=0.8))
    sound = bench.state
    ill = replace(sound, mending=replace(sound.mending, faults=faults))
    bench.state = ill
    bench.turn(stage, show)
    first = desk.loads["left"]
    assert first.broken == 2
    assert first.guessed.all()  # what is known of the sound house, marked as no more than that
    np.testing.assert_array_equal(first.total_a, whole.total_a)
    bench.settle(stage, show)
    load, rig = desk.loads["left"], stage.left.rig
    assert load.whole
    assert (load.broken, load.ceiling) == (2, None)
    assert bench.state.ceiling == ceiling  # that of the sound house
    assert desk.watched["left"] is watched
    hurt = broken(rig, faults)
    for number in (0, len(load.total_a) // 3, len(load.total_a) - 1):
        codes = on_wire(rig, show, np.array([number / show.fps]))
        alone = frame_of_broken(hurt, codes, number=number).solution
        np.testing.assert_allclose(load.supply_a[number], alone.supply_a[0], atol=1e-7)
    assert not np.allclose(load.supply_a, whole.supply_a)
    begun = desk.begun
    for now, kept in ((sound, whole), (ill, load), (sound, whole)):
        bench.state = now
        bench.settle(stage, show)
        assert desk.loads["left"].total_a is kept.total_a
    assert desk.loads["left"].ceiling == whole.ceiling
    assert desk.begun == begun


def test_another_stage_of_the_same_house_and_scheme_measures_nothing(
    bench: Bench, house: House, show: Show, house_file: Path
) -> None:
    bench.settle(stage_of(house, show), show)
    first = bench.desk.loads["left"]
    assert bench.desk.begun == 1
    # another size, hour or drawer makes a stage anew; the file may even be read anew
    for again in (stage_of(house, show), stage_of(load_house(house_file), show)):
        bench.settle(again, show)
    bench.settle(stage_of(house, show), bind(house, show.scheme))
    assert bench.desk.begun == 1
    assert bench.desk.loads["left"].total_a is first.total_a


def test_comparing_measures_the_other_side_alone_and_leaving_measures_nothing(
    bench: Bench, house: House, show: Show
) -> None:
    bench.settle(stage_of(house, show), show)
    left = bench.desk.loads["left"]
    other = with_kind(house, kinds()["sk6812-rgbw-warm"], keep="pixels")
    bench.settle(stage_of(house, show, other), show)
    assert bench.desk.begun == 2
    assert bench.desk.loads["left"].total_a is left.total_a
    assert bench.desk.loads["right"].whole
    bench.settle(stage_of(house, show), show)
    assert set(bench.desk.loads) == {"left"}
    # the other kind alone: its curve is there at once; its ceiling is looked for beside
    bench.turn(stage_of(other, show), show)
    assert bench.desk.loads["left"].whole
    bench.settle(stage_of(other, show), show)
    bench.settle(stage_of(house, show), show)
    assert bench.desk.loads["left"].total_a is left.total_a


def test_another_brightness_is_there_about_right_at_once_and_then_exactly(
    bench: Bench, house: House, show: Show
) -> None:
    stage = stage_of(house, show)
    bench.settle(stage, show)
    ceiling, before = bench.state.ceiling, bench.desk.loads["left"]
    bench.state = update(bench.state, act.Set("brightness", 0.4))
    bench.turn(stage, show)
    about = bench.desk.loads["left"]
    assert about.guessed.all()
    assert bench.state.ribbon.marks == ()  # what is only about right is no place to go to
    bench.settle(stage, show)
    exact = bench.desk.loads["left"]
    assert exact.whole
    assert not np.array_equal(exact.total_a, about.total_a)
    # 8-bit codes: half a step of 255 in each of some 60 × 3 channels of 20 mA at the very most
    np.testing.assert_allclose(about.total_a, exact.total_a, rtol=0.05, atol=0.01)
    assert bench.state.ceiling == ceiling  # one for every brightness: not looked for again
    bench.state = update(bench.state, act.Set("brightness", 0.8))
    bench.turn(stage, show)
    assert bench.desk.loads["left"].total_a is before.total_a
    assert bench.desk.begun == 2


def test_what_every_part_is_asked_is_known_at_every_brightness_and_kept(
    bench: Bench, house: House, show: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(seen: Scan) -> Watched:  # as it is of a large house
        time.sleep(0.05)
        return watched_of(seen)

    monkeypatch.setattr(measure, "watched_of", slow)
    stage, levels = stage_of(house, show), (0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
    for level in levels:
        bench.state = update(bench.state, act.Set("brightness", level))
        bench.settle(stage, show)
        told = bench.desk.watched["left"]
        alone = scan(rig_for(house, show.scheme), show, brightness=level)
        assert told.scan.brightness == level
        assert told.scan.supplies == alone.supplies
    for level in levels:
        bench.state = update(bench.state, act.Set("brightness", level))
        bench.turn(stage, show)
        assert bench.desk.watched["left"].scan.brightness == level
    assert bench.desk.begun == len(levels)


def test_what_a_curve_depends_on_changes_its_key(house: House, show: Show) -> None:
    keys = LoadKeys()

    def key(one: House, what: Show, bright: float = 0.8, **mixing: object) -> object:
        return keys.key(rig(one, **mixing), what, bright)  # type: ignore[arg-type]

    layers = show.scheme.layers
    fewer = bind(house, replace(show.scheme, layers=layers[:1]))
    paler = bind(house, replace(show.scheme, layers=(replace(layers[0], opacity=0.5), layers[1])))
    named = bind(house, replace(show.scheme, name="Other", file="elsewhere", brightness=0.1))
    other = with_kind(house, kinds()["ws2815"], keep="pixels")
    one = key(house, show)
    assert key(house, named) == one
    differing = {
        one, key(house, show, 0.7), key(house, fewer), key(house, paler), key(other, show),
        key(house, show, white="off"), key(house, show, colour="raw"),
        key(house, show, colour="raw", gamma=1.8),
    }  # fmt: skip
    assert len(differing) == 8


def test_memory_is_bounded_and_the_oldest_goes_first(house: House, show: Show) -> None:
    keys, made = LoadKeys(), rig_for(house, show.scheme)
    kept = KeptLoads(most_bytes=10 * 1000 * 8 * 3)
    nothing = np.zeros(1000)
    for number in range(40):
        load = Load(nothing, nothing[:, None], nothing, "", np.ones(1), ("box",), 40.0)
        kept.keep(keys.key(made, show, number / 40), load)
        kept.load(keys.key(made, show, 0.0))  # asked for all the time
    assert kept.octets <= 10 * 1000 * 8 * 3
    assert keys.key(made, show, 0.0) in kept
    assert keys.key(made, show, 39 / 40) in kept
    assert keys.key(made, show, 1 / 40) not in kept
    family = keys.key(made, show, 0.0).family
    assert not kept.has_ceiling(family)
    kept.keep_ceiling(family, CeilingAmps(0.5, 1.0, "a fuse"))
    assert kept.ceiling(family) == CeilingAmps(0.5, 1.0, "a fuse")


def test_a_layer_asks_what_is_drawn_less_without_it(bench: Bench, house: House, show: Show) -> None:
    made = rig_for(house, show.scheme)
    told = instant(made, show, 11, 0.8)

    # outside the function: each scheme bound by itself, each frame solved by itself
    def drawn_a(layers: tuple) -> float:
        alone = bind(house, replace(show.scheme, layers=layers))
        return float(frame(made, alone, 11 / 40, 0.8).supply_a.sum())

    chase, steady = show.scheme.layers
    whole_a = drawn_a((chase, steady))
    assert told.total_a == pytest.approx(whole_a)
    assert dict(told.layers) == pytest.approx(
        {
            "chase on both": whole_a - drawn_a((steady,)),
            "steady on door": whole_a - drawn_a((chase,)),
        }
    )
    assert told.idle_a == pytest.approx(drawn_a(()))
    # and the desk works it out for what is pointed at
    bench.state = update(bench.state, PointAtTime(11 / 40))
    bench.settle(stage_of(house, show), show)
    assert bench.state.ribbon.instant == told
    assert isinstance(InstantFound(told), InstantFound)


# --- facts of the files, and newer wishes ---


def until(condition: Callable[[], bool]) -> None:
    wait(condition, rest_s=0.002)


@pytest.mark.parametrize("broken", [False, True])
def test_what_the_files_say_is_heard_though_a_newer_wish_has_come(
    house_file: Path, broken: bool
) -> None:
    scheme = house_file.parent / "winter.scheme.yaml"
    if broken:
        scheme.write_text("format: evenfall-scheme/1\nname: Winter\nlayers: 3\n")
    state = State(str(house_file), str(scheme), size_px=(320, 200))
    backstage = Backstage()
    try:
        backstage.follow(state)
        until(lambda: backstage.made_all)  # what it told waits to be taken
        smaller = replace(state, size_px=(330, 200))
        heard = backstage.follow(smaller)  # asks anew, before it takes what was told
        until(lambda: backstage.made_all)
        heard += backstage.follow(smaller)
        wanted = act.Refused if broken else Loaded
        assert [type(one) for one in heard].count(wanted) == 1
        backstage.follow(replace(state, size_px=(340, 200)))
        until(lambda: backstage.made_all)
        again = backstage.follow(replace(state, size_px=(340, 200)))
        assert not any(isinstance(one, wanted) for one in again)  # once heard, not again
    finally:
        while not backstage.close():
            pass
