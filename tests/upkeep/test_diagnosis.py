"""Diagnosis against the true model of a broken house, and on cases drawn at random."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from layouts import house_from, load_house
from layouts.faults import Fault
from layouts.sightings import Sightings, sightings_from_text
from sim.circuit.build import Network, with_values
from sim.circuit.changed import Change, changeable, solve_changes
from sim.circuit.solve import solve
from sim.frame import rig
from sim.upkeep.broken import broken, frame_of_broken
from sim.upkeep.diagnosis import Case, case, diagnose, load_priors
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.closer import closer
from sim.upkeep.diagnosis.predicted import LIT, Bench, predicted
from sim.upkeep.diagnosis.shown import still

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def cottage() -> Case:
    return case(rig(load_house(DEMO / "cottage/house.yaml")), load_priors())


def _seen(of: Case, *lines: str) -> Sightings:
    text = "format: evenfall-sightings/1\nseen:\n" + "".join(f"  - {line}\n" for line in lines)
    return sightings_from_text(text, "s.yaml", of.rig.house)


@pytest.fixture(scope="module")
def bench() -> Iterator[ModuleType]:
    """The bench of diagnosis, which draws houses and faults."""
    folder = str(Path(__file__).parents[1] / "bench")
    sys.path.insert(0, folder)
    try:
        yield importlib.import_module("bench_diagnosis")
    finally:
        sys.path.remove(folder)


def _stepping(kind: str, volts: float) -> Network:
    """A run of nodes with step-down regulators, fed at one end and again half its way on."""
    run = {"name": "eave", "pixels": kind, "path": [[1, 3], [19, 3]], "count": 240}
    feeds = [{"from": "box", "to": to, "wire": "18 AWG", "length": long}
             for to, long in (("eave.start", 4), ("eave[120]", 14))]  # fmt: skip
    supply = {"name": "box", "volts": volts, "amps": 30, "source_ohm": 0.02}
    head = {"format": "evenfall-house/1", "name": "Stepping", "drawing": {"size": [20, 4]}}
    return rig(house_from({**head, "runs": [run], "supplies": [supply], "wires": feeds})).network


def _demo(name: str) -> Network:
    return rig(load_house(DEMO / name / "house.yaml")).network


@pytest.mark.parametrize(
    "made",
    [
        lambda: _demo("cottage"),
        lambda: _demo("bungalow"),
        lambda: _stepping("bullet-12v-buck", 12.0),
    ],
    ids=["cottage", "bungalow", "step-down regulators"],
)
def test_changed_circuits_are_those_of_the_solver(made: Callable[[], Network]) -> None:
    """Opens and bad joints of either conductor, one at a time, beside the one circuit at a time."""
    net = made()
    able = changeable(net)
    plus, minus = able.net.values.plus_s, able.net.values.minus_s
    changes = []
    for edge in range(5, net.topology.first_pad, 131):
        changes.append(Change(edges=((edge, 0.0, float(minus[edge])),)))
        changes.append(Change(edges=((edge, float(plus[edge]), 0.0),)))
        changes.append(Change(edges=((edge, 1 / (1 / plus[edge] + 0.5), float(minus[edge])),)))
    codes = np.full((net.pixels, 4), 140, dtype=np.uint8)
    made = solve_changes(able, codes, changes)
    assert made.failed == 0
    for k, change in enumerate(changes):
        ((edge, p, m),) = change.edges
        now_p, now_m = net.values.plus_s.copy(), net.values.minus_s.copy()
        now_p[edge], now_m[edge] = p, m
        alone = solve(with_values(net, plus_s=now_p, minus_s=now_m), codes[None])
        # What an open leaks is 10 nS; single precision is kept: together less than 1 mV.
        np.testing.assert_allclose(made.node_v[k, : net.pixels], alone.volts[0], atol=1e-3)
        np.testing.assert_allclose(made.supply_a[k], alone.supply_a[0], atol=2e-3)


@pytest.mark.parametrize(
    "fault",
    [
        Fault("dead", "gable", 75),
        Fault("open", "gable", 300, "plus"),
        Fault("open", "gable", 20, "minus"),
        Fault("open", "eave-right", 10, "data"),
        Fault("joint", "porch", 100, ohm=0.5),
        Fault("blown", wire=1),
        Fault("off", supply="loft"),
        Fault("sag", supply="loft", volts=4.0),
        Fault("short", "gable", 120, ohm=0.06),
    ],
)
def test_what_is_predicted_is_what_the_broken_house_does(cottage: Case, fault: Fault) -> None:
    there = cottage.some_of([Breakage(fault.kind, (fault,), 1.0)], "white")
    frame = frame_of_broken(broken(cottage.rig, [fault]), cottage.sent["white"].codes[None])
    dark = (frame.light[0].max(axis=-1) < 1e-3) & cottage.sent["white"].visible
    # Garbage draws other currents than what was sent, which the prediction leaves out.
    np.testing.assert_allclose(there.node_v[there.row[0], : len(dark)], frame.volts[0], atol=0.12)
    assert ((there.looks[0] == 1) != dark).sum() <= 3


def test_resistors_on_more_than_their_volts_look_as_they_should() -> None:
    # At 13 V a node behind resistors gives more light than its kind is called by;
    # nothing is broken.
    run = {"name": "eave", "pixels": "bullet-12v-resistor", "path": [[1, 3], [3, 3]]}
    feed = {"from": "box", "to": "eave.start", "wire": "14 AWG", "length": 1}
    supply = {"name": "box", "volts": 13, "amps": 12}
    head = {"format": "evenfall-house/1", "name": "Small", "drawing": {"size": [6, 4]}}
    net = rig(house_from({**head, "runs": [run], "supplies": [supply], "wires": [feed]})).network
    sent = still(net.house, np.full((net.pixels, 4), 128, np.uint8))
    there = predicted(Bench.of(net), [Breakage("none", (), 1.0)], sent)
    assert (there.looks == LIT).all()


def test_first_pixel_after_a_stroke(cottage: Case) -> None:
    seen = _seen(cottage, "{dark: gable}", "{dark: eave-right}", "{lit: eave-left}", "{lit: porch}")
    found = diagnose(cottage, seen.seen)
    assert found.suspects[0].fault == Fault("dead", "gable", 0)
    assert found.next is not None
    assert sum(o.probability for o in found.next.outcomes) == pytest.approx(1, abs=0.05)
    assert found.suspects[0].unexplained == ()


def test_what_contradicts_is_told(cottage: Case) -> None:
    """One sighting that does not go with the others is named, and does not take the lead."""
    lines = ("{dark: 'gable[75]', onwards: true}", "{lit: 'gable[0:75]'}", "{lit: porch}")
    clear = diagnose(cottage, _seen(cottage, *lines).seen)
    assert clear.suspects[0].fault == Fault("dead", "gable", 75)
    odd = diagnose(cottage, _seen(cottage, *lines, "{lit: eave-right}").seen)
    assert odd.suspects[0].unexplained or odd.none > clear.none
    assert odd.suspects[0].probability < clear.suspects[0].probability


def test_two_at_once(cottage: Case) -> None:
    """Two runs that share neither supply nor chain: no one cause explains both."""
    lines = ("{dark: 'gable[75]', onwards: true}", "{lit: 'gable[0:75]'}")
    more = ("{dark: 'porch[30:162]'}", "{lit: 'porch[0:30]'}", "{lit: eave-left}")
    found = diagnose(cottage, _seen(cottage, *lines, *more).seen)
    faults = {*found.suspects[0].causes[0].faults}
    assert {(f.run, f.position) for f in faults} == {("gable", 75), ("porch", 30)}
    assert found.suspects[0].unexplained == ()


def test_priors_are_a_file(tmp_path: Path, cottage: Case) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("format: evenfall-priors/1\nweights: {dead-first: 0.0001, output: 500}\n")
    mine = load_priors(path)
    assert mine.weights["output"] == 500
    assert mine.weights["dead"] == load_priors().weights["dead"]
    seen = _seen(cottage, "{dark: gable}", "{dark: eave-right}", "{lit: eave-left}", "{lit: porch}")
    found = diagnose(case(cottage.rig, mine), seen.seen, test=False)
    assert found.suspects[0].causes[0].kind == "output"


def test_priors_refused(tmp_path: Path) -> None:
    from layouts import InputError

    path = tmp_path / "mine.yaml"
    path.write_text("format: evenfall-priors/1\nweights: {deed: 1}\nerrors: {lit: 0.5}\n")
    with pytest.raises(InputError) as refused:
        load_priors(path)
    assert "2:" in str(refused.value)
    assert "deed" in str(refused.value)
    assert len(refused.value.problems) == 2


def test_a_fuse_found_blown_settles_it(cottage: Case) -> None:
    # The last feed of the gable also feeds the right eave.
    wire = cottage.rig.house.wires[2]
    seen = _seen(cottage, "{lit: eave-left}", f"{{fuse: '{wire.label}', then: blown}}")
    found = diagnose(cottage, seen.seen)
    top = found.suspects[0].causes[0]
    assert top.kind in ("blown", "short", "short-wire", "two")
    assert any(c.kind == "blown" for s in found.suspects[:3] for c in s.causes)


def test_cases_drawn_at_random(bench: ModuleType) -> None:
    """Most causes are found within four tests; the bench counts more cases, on all houses.

    By the priors, on small houses nobody tuned anything on.
    """
    random = np.random.default_rng(23)
    priors = load_priors()
    first = three = cases = 0
    while cases < 7:
        made = bench.random_house(random)
        if len(made.house.pixels) > 130:
            continue
        of = case(made, priors)
        real = bench.drawn(of, random, tries=6)
        if real is None:
            continue
        cases += 1
        *_, (found, _) = bench.followed(of, real, random)
        first += bench.is_right(found.suspects[0], real)
        three += any(bench.is_right(each, real) for each in found.suspects[:3])
    assert first >= 5
    assert three >= 6


@pytest.fixture(scope="module")
def small(bench: ModuleType) -> Case:
    """A house of a few runs, in order."""
    random = np.random.default_rng(3)
    while True:
        made = bench.random_house(random)
        if 40 < len(made.house.pixels) < 130 and len(made.house.runs) > 1:
            return case(made, load_priors())


@pytest.mark.parametrize("kind", ["dead", "short", "joint-wire", "blown", "sag", "open-wire"])
def test_the_likeliest_are_as_in_the_broken_house(small: Case, kind: str) -> None:
    """What stands for a cause in the end is a frame of the true model, to the last digit."""
    cause = next(each for each in small.causes if each.kind == kind)
    there = small.exact_of([cause], "white", 1)
    frame = frame_of_broken(broken(small.rig, cause.faults), small.sent["white"].codes[None])
    pixels = len(small.rig.house.pixels)
    np.testing.assert_allclose(there.node_v[there.row[0], :pixels], frame.volts[0], atol=1e-5)
    dark = frame.light[0].max(axis=-1) == 0
    assert (there.looks[0][dark & small.sent["white"].visible] == 1).all()
    assert set(np.flatnonzero(there.opened[0])) == set(frame.opened)


def test_degrees_are_tried_where_it_matters(small: Case) -> None:
    """A joint is narrowed down to its place; the weights of what is split stay in sum."""
    p = np.zeros(len(small.causes))
    at = next(f for f, each in enumerate(small.causes) if each.kind == "joint" and each.last > 1)
    p[at] = 1.0
    gone, fresh = closer(small.rig.house, small.causes, p)
    assert sum(each.weight for each in fresh) == pytest.approx(
        sum(small.causes[f].weight for f in gone)
    )
    places = {each.faults[0].position for each in fresh}
    assert places == set(range(small.causes[at].first, small.causes[at].last + 1))
    assert all(each.first == each.last == each.faults[0].position for each in fresh)


def test_continuity_tells_plus_from_minus(small: Case) -> None:
    run = small.rig.house.runs[0]
    text = f"{run.name}[{run.count - 10}"
    lines = (
        f"{{dark: '{text}:{run.count}]'}}",
        f"{{continuity: minus, at: '{text}]', then: open}}",
    )
    found = diagnose(small, _seen(small, *lines).seen)
    fault = found.suspects[0].fault
    assert (fault.kind, fault.conductor, fault.position) == ("open", "minus", run.count - 10)


def test_a_new_fuse_that_holds_rules_a_short_out(cottage: Case) -> None:
    wire = cottage.rig.house.wires[2].label
    blown = ("{lit: eave-left}", f"{{fuse: '{wire}', then: blown}}")
    holds = diagnose(cottage, _seen(cottage, *blown, f"{{new_fuse: '{wire}', then: holds}}").seen)
    again = diagnose(cottage, _seen(cottage, *blown, f"{{new_fuse: '{wire}', then: blows}}").seen)
    assert holds.suspects[0].causes[0].kind == "blown"
    assert "short" in again.suspects[0].causes[0].kind


def test_costs_decide_between_tests(cottage: Case) -> None:
    """A test that costs a hundred times as much is not asked for."""
    seen = _seen(cottage, "{dark: gable}", "{dark: eave-right}", "{lit: eave-left}", "{lit: porch}")
    found = diagnose(cottage, seen.seen)
    assert found.next is not None
    kind = found.next.test
    keys = [key for key in cottage.priors.costs if key.split("-")[0] == kind]
    dear = replace(cottage.priors, costs={**cottage.priors.costs, **dict.fromkeys(keys, 5000.0)})
    other = diagnose(replace(cottage, priors=dear), seen.seen)
    assert other.next is None or other.next.test != kind
