"""Watching a whole scheme: peaks, energy, ceiling, causes, interruption."""

from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from effects import Layer, Scheme, asked, bind
from effects.course import courses, frame_count, span_s
from layouts import House, Wire, WireEnd, load_house
from layouts.finding import Remedy
from sim.circuit import Ceiling, join, kirchhoff_residual_a, power, solve
from sim.colour import codes
from sim.frame import Rig, frame, on_wire, rig_for
from sim.report.power import power_report
from sim.report.power_text import power_blocks
from sim.report.wording import sentence
from sim.scan import Scan, blocks, causes, ceiling, scan

HOUSE = """
format: evenfall-house/1
name: Test
drawing: {size: [20, 6], viewer: 12, surfaces: []}
runs:
  - {name: eave, pixels: sk6812, path: [[1, 3], [5, 3]], aim: down, standoff: 0.1, profile: bare}
  - {name: porch, pixels: sk6812, path: [[6, 3], [8, 3]], aim: down, standoff: 0.1, profile: bare}
supplies:
  - {name: east, volts: 5, amps: 8, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.01}
  - {name: west, volts: 5, amps: 4, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0}
wires:
  - {from: east, to: eave.start, wire: 14 AWG, length: 2, fuse: 7.5}
  - {from: east, to: eave.end, wire: 14 AWG, length: 5, fuse: 7.5}
  - {from: west, to: "porch[60]", wire: 14 AWG, length: 2, fuse: 5}
"""

CHASE = Layer("chase", palette=("#ffffff", "#ff0000"))
TWINKLE = Layer("twinkle", palette=("#ffffff",), blend="add")


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("scan") / "house.yaml"
    path.write_text(HOUSE)
    return path


def joints_only(house: House) -> tuple[Wire, ...]:
    """The same wires, led from a joint where the supply was."""
    joint = WireEnd("junction", "joint", text="joint")
    return tuple(replace(wire, start=joint) for wire in house.wires)


def watch(file: Path, *layers: Layer, **how: object) -> Scan:
    """A scan of these layers at full brightness, and at 20 frames a second if not said."""
    house = load_house(file)
    scheme = Scheme("test", "test.yaml", layers, brightness=float(how.pop("level", 1.0)), fps=20)
    return scan(rig_for(house, scheme), bind(house, scheme), **how)


def test_every_figure_is_that_of_the_frames_themselves(file):
    watched = watch(file, CHASE, TWINKLE, seconds=20)
    rig, show = watched.rig, watched.show
    whole = frame(rig, show, watched.time_s)
    assert watched.frames == len(whole.time_s) == 400
    assert kirchhoff_residual_a(whole.solution).max() < 1e-9
    assert np.abs(power(whole.solution).imbalance_w).max() < 1e-7
    assert watched.loads.supply_a == pytest.approx(whole.supply_a, abs=1e-9)
    for s, use in enumerate(watched.supplies):
        assert use.peak_a == pytest.approx(whole.supply_a[:, s].max())
        assert use.peak_frame == whole.supply_a[:, s].argmax()
        assert use.mean_a == pytest.approx(whole.supply_a[:, s].mean())
    for use in watched.runs:
        volts = whole.volts[:, use.run.pixels]
        assert use.min_v == pytest.approx(volts.min(), abs=1e-9)
        assert volts[use.min_v_frame, use.min_v_pixel] == pytest.approx(use.min_v, abs=1e-9)
    assert watched.loads.copper_w == pytest.approx(power(whole.solution).copper_w, abs=1e-7)


def test_energy_of_both_supplies(file):
    watched = watch(file, CHASE, seconds=5)
    dc_w = watched.energy.dc_w_mean
    assert watched.energy.wall_w_mean == pytest.approx(dc_w / 0.85 + 2 * 0.5)
    assert watched.energy.idle_wall_w == pytest.approx(watched.energy.idle_dc_w / 0.85 + 1.0)
    pixels = len(watched.rig.house.pixels)
    # 1 mA a pixel (SK6812 data sheet, Rev 06), less what little is lost on the way
    assert watched.energy.idle_dc_w == pytest.approx(pixels * 0.001 * 5, rel=0.01)


def test_how_long_it_watches(file):
    steady = watch(file, Layer("steady"))
    assert (steady.frames, steady.whole_period) == (1, True)
    aperiodic = watch(file, TWINKLE, fps=1)
    assert (aperiodic.seconds, aperiodic.whole_period) == (600, False)
    assert watch(file, TWINKLE, seconds=0).frames == 1
    assert watch(file, TWINKLE, seconds=1.01).frames == 21
    chase = watch(file, CHASE)
    assert chase.whole_period
    assert chase.seconds == pytest.approx(chase.show.period_s, abs=1 / 20)
    assert not watch(file, CHASE, seconds=chase.show.period_s / 2).whole_period


def test_the_blocks_do_not_show(file, monkeypatch):
    one = watch(file, CHASE, TWINKLE, seconds=7)
    monkeypatch.setattr("sim.scan._BLOCK_PIXELS", 1)
    many = watch(file, CHASE, TWINKLE, seconds=7)
    assert many.loads.supply_a == pytest.approx(one.loads.supply_a, abs=1e-9)
    assert many.loads.run_v == pytest.approx(one.loads.run_v, abs=1e-9)


def test_pauses_change_nothing_and_come_before_every_piece(file):
    house = load_house(file)
    scheme = Scheme("test", "test.yaml", (CHASE, TWINKLE), fps=20)
    made, show = rig_for(house, scheme), bind(house, scheme)
    asked_for: list[int] = []
    whole = join(list(blocks(made, show, 100, 20.0, 0.7)))
    pieces = join(list(blocks(made, show, 100, 20.0, 0.7, lambda: asked_for.append(1))))
    assert len(asked_for) == 7  # 100 frames in sixteens
    for each in fields(whole):
        assert np.allclose(getattr(whole, each.name), getattr(pieces, each.name), atol=1e-9)


def test_progress_counts_every_frame(file, monkeypatch):
    monkeypatch.setattr("sim.scan._BLOCK_PIXELS", 1)
    told: list[tuple[float, float]] = []
    watch(file, CHASE, seconds=5, progress=lambda done, total: told.append((done, total)))
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert told[-1] == (100, 100)


@pytest.mark.parametrize("error", [KeyboardInterrupt, RuntimeError])
def test_an_interrupt_gets_through_at_once(file, monkeypatch, error):
    monkeypatch.setattr("sim.scan._BLOCK_PIXELS", 1)
    blocks: list[float] = []

    def interrupted(done: float, total: float) -> None:
        blocks.append(done)
        raise error

    with pytest.raises(error):
        watch(file, CHASE, seconds=600, progress=interrupted)
    assert len(blocks) == 1


def test_the_ceiling_holds_on_every_frame_and_is_not_too_low(file):
    watched = watch(file, Layer("steady"), Layer("twinkle", blend="add"), seconds=10)
    assert any(finding.level != "note" for finding in watched.load_findings)
    found = ceiling(watched)
    assert 0.2 < found.brightness < 1
    assert found.limit

    def exceeded(brightness: float) -> bool:
        seen = scan(watched.rig, watched.show, seconds=10, brightness=brightness)
        return any(finding.level != "note" for finding in seen.load_findings)

    assert not exceeded(found.brightness)
    assert exceeded(min(1.0, found.brightness + 0.02))


def test_the_ceiling_does_not_depend_on_the_brightness_watched(file):
    layers = (Layer("steady"), TWINKLE)
    found = [ceiling(watch(file, *layers, seconds=5, level=level)) for level in (1.0, 0.3)]
    assert found[0].brightness == pytest.approx(found[1].brightness, abs=2 / 1024)
    assert found[0].limit == found[1].limit


def test_frames_watched_at_full_brightness_too_are_those_of_a_scan_at_it(file, monkeypatch):
    dim, how = Layer("twinkle", palette=("#402000", "#400000")), {"seconds": 20, "level": 0.3}
    monkeypatch.setattr("sim.scan._BLOCK_PIXELS", 1)
    alone, both = watch(file, dim, **how), watch(file, dim, full=True, **how)
    at_full = watch(file, dim, seconds=20).loads
    assert alone.full is None
    for field in fields(at_full):
        assert np.array_equal(getattr(both.loads, field.name), getattr(alone.loads, field.name))
        assert np.array_equal(getattr(both.full, field.name), getattr(at_full, field.name))
    expected = ceiling(alone)
    monkeypatch.setattr("sim.scan._watch", None)  # nothing is watched again
    assert ceiling(both) == expected == Ceiling(1.0, "")


def test_no_more_frames_than_a_block_tell_whether_full_brightness_is_likely(file, monkeypatch):
    asked_for = []
    monkeypatch.setattr("sim.scan.on_wire", lambda rig, show, time_s, level: (
        asked_for.append(len(time_s)) or on_wire(rig, show, time_s, level)))  # fmt: skip
    monkeypatch.setattr("sim.scan._BLOCK_PIXELS", 1)
    watch(file, Layer("twinkle"), seconds=20, level=0.3, full=True)
    assert asked_for == [16]


def test_whether_full_brightness_was_likely_or_not_the_ceiling_is_the_same(file, monkeypatch):
    bright = (Layer("steady"), TWINKLE)
    seen = watch(file, *bright, seconds=5, level=0.3, full=True)
    assert seen.full is None  # a few frames tell that it keeps not every limit
    monkeypatch.setattr("sim.scan._full_is_likely", lambda *_: True)
    wrongly = watch(file, *bright, seconds=5, level=0.3, full=True)
    assert wrongly.full is not None
    assert ceiling(wrongly) == ceiling(seen) == ceiling(watch(file, *bright, seconds=5, level=0.3))
    assert watch(file, *bright, seconds=5, full=True).full is None  # it is what is watched


def test_a_strong_house_has_no_ceiling(file):
    assert ceiling(watch(file, Layer("steady", palette=("#200000",)))).brightness == 1


def test_who_causes_the_peak(file):
    """On the eave the steady layer draws most, on the porch the bright one on top of it."""
    base = Layer("steady", palette=("#303030",))
    top = Layer("steady", zones=("porch",), palette=("#ffffff",), blend="add")
    east, west = causes(watch(file, base, top))
    assert (east.run, east.layer) == ("eave", 0)
    assert (west.run, west.layer) == ("porch", 1)
    assert west.layer_a > 0
    assert east.run_a == pytest.approx(watch(file, base).supplies[0].peak_a, rel=1e-6)


def test_the_cause_where_supplies_are_joined_or_idle(tmp_path):
    """A run fed by two supplies is no share of one; a supply that gives nothing has no cause."""
    base = Layer("steady", palette=("#303030",))
    file = tmp_path / "house.yaml"
    idle = "supplies:\n  - {name: spare, volts: 5, amps: 8}"
    joined = "wires:\n  - {from: west, to: eave.end, wire: 14 AWG, length: 1, fuse: 5}"
    file.write_text(HOUSE.replace("supplies:", idle).replace("wires:", joined), "utf-8")
    spare, east, west = causes(watch(file, base))
    assert spare is None
    assert (east.run, east.alone) == ("eave", False)
    assert (west.run, west.alone) == ("eave", False)
    scheme = Scheme("test", "test.yaml", (base,), fps=20)
    house = load_house(file)
    report = power_report(rig_for(house, scheme), bind(house, scheme))
    shown = str(list(power_blocks(report)))
    assert "spare gives nothing" in shown
    assert "east peaks because of layer 1 (steady), most of it towards eave" in shown
    assert "% of it in eave" not in shown


def test_dither_is_that_of_the_numbered_frames(file):
    house = load_house(file)
    dim = Scheme("dim", "dim.yaml", (Layer("steady", palette=("#010203",)),), fps=20, dither=True)
    rig, show = rig_for(house, dim), bind(house, dim)
    watched = scan(rig, show, seconds=4)
    numbers = np.arange(80)
    on_wire = codes(rig.mixer, asked(show, numbers / 20), 1.0, numbers)
    assert len(np.unique(on_wire.sum(axis=(1, 2)))) > 1
    assert watched.loads.supply_a == pytest.approx(solve(rig.network, on_wire).supply_a, abs=1e-9)


@pytest.mark.parametrize("wires", [lambda house: (), joints_only], ids=["bare", "wired"])
def test_a_house_without_supplies_is_scanned_at_nominal_voltage(file, wires):
    house = replace(load_house(file), supplies=(), wires=wires(load_house(file)))
    scheme = Scheme("white", "white.yaml", (Layer("steady"),))
    rig: Rig = rig_for(house, scheme)
    watched = scan(rig, bind(house, scheme))
    assert watched.supplies == ()
    assert causes(watched) == ()
    assert ceiling(watched) is None  # there is no limit to keep to
    assert (watched.energy.wall_w_mean, watched.energy.idle_wall_w) == (None, None)
    (need,) = watched.needs
    assert need.peak_a == pytest.approx(float(watched.loads.run_a.sum(axis=1).max()))
    assert need.supply_a == pytest.approx(need.peak_a / 0.8)
    assert need.supply_w == pytest.approx(5 * need.supply_a)
    (finding,) = watched.findings
    assert (finding.level, finding.code) == ("note", "supply-needed")
    assert finding.remedies == (Remedy("add-supply", "5 V", need.supply_a, "A"),)
    assert [use.min_v for use in watched.runs] == [5, 5]
    assert all(use.peak_a == 0 for use in watched.wires)


def late_white(from_s: float | None, until_s: float | None = None) -> Layer:
    return Layer("steady", palette=("#ffffff",), from_s=from_s, until_s=until_s)


DIM = Layer("steady", palette=("#101010",))


def test_a_layer_that_comes_after_ten_minutes_is_seen(file):
    """Little is asked for 700 s; then everything is white, more than a supply gives for hours."""
    watched = watch(file, DIM, late_white(700), fps=1)
    assert watched.seconds == 701
    codes = {finding.code for finding in watched.findings}
    assert "supply-load" in codes
    assert "scheme-not-seen" not in codes
    dim = watch(file, DIM, fps=1)
    assert "supply-load" not in {finding.code for finding in dim.findings}
    assert watched.supplies[0].peak_frame == 700


def test_what_was_not_seen_is_a_danger(file):
    watched = watch(file, DIM, late_white(700), fps=1, seconds=600)
    (finding,) = [each for each in watched.findings if each.level == "danger"]
    assert (finding.code, finding.value, finding.limit) == ("scheme-not-seen", 600, 700)
    assert finding.detail["layers"] == ((1, "steady"),)
    assert finding.remedies == (Remedy("watch-longer", "test", 700, "s"),)
    assert "only the first 10m00s were watched" in sentence(finding)
    assert "of the 1m40s between" in sentence(finding)


@pytest.mark.parametrize(
    ("layers", "seconds"),
    [
        ((DIM, late_white(700, 720)), 721),  # gone: what stays stands still
        ((DIM, late_white(None, 700)), 701),
        ((DIM, late_white(720, 700)), 721),  # across the start, and again from 720
        ((TWINKLE, late_white(700)), 1300),  # and what stays never repeats: 600 s more
        ((DIM, late_white(9000)), 7200),  # no more than two hours
    ],
)
def test_how_long_it_watches_layers_come_and_go(file, layers, seconds):
    show = watch(file, *layers, fps=1, seconds=1).show
    assert frame_count(span_s(show), 1) == seconds


def test_a_layer_beyond_two_hours_is_told(file):
    show = watch(file, DIM, late_white(9000), fps=1, seconds=1).show
    assert [course.end_s for course in courses(show)] == [9000]
    assert watch(file, DIM, late_white(9000), fps=0.01).unseen


def test_a_layer_has_come_when_its_own_period_is_over(file):
    late = replace(CHASE, from_s=700.0, ease_s=2.0)
    watched = watch(file, late, fps=1, seconds=702)
    (course,) = courses(watched.show)
    assert course.end_s == pytest.approx(702 + watched.show.layers[0].period_s)
    assert watched.unseen
    assert not watch(file, late, fps=1).unseen


def test_a_scheme_that_starts_again_has_shown_all_in_one_period(file):
    house = load_house(file)
    scheme = Scheme("again", "a.yaml", (DIM, late_white(5, 8)), fps=1, seconds=10.0)
    watched = scan(rig_for(house, scheme), bind(house, scheme))
    assert watched.seconds == 10
    assert watched.unseen == ()
