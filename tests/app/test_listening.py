"""What a window knows of packets that arrive: the last codes, the worst instant, the panel."""

from dataclasses import replace

import numpy as np
import pytest

from layouts import house_from
from sim.app.state.listening import (
    LEAST_SPAN_S,
    Listened,
    heard_load,
    looks_at_worst,
    shown_now,
    told,
)
from sim.app.state.listening_keys import LISTENING_BINDINGS, is_taken
from sim.app.state.listening_panel import panel
from sim.circuit import build
from sim.data.packets import DataPacket
from sim.data.patch import patch_of
from sim.data.receiver import Receiver, received
from sim.data.taking import TakenFrame
from sim.report.listen import LiveSecond, as_lines, live_load, live_universes

HOUSE = {
    "format": "evenfall-house/1",
    "name": "Heard",
    "drawing": {"size": [6, 4], "viewer": 8, "surfaces": []},
    "runs": [
        {"name": "eave", "pixels": "sk6812", "path": [[1, 3], [3, 3]], "aim": "down",
         "standoff": 0.1}
    ],
    "supplies": [{"name": "box", "volts": 5, "amps": 2, "efficiency": 0.85}],
    "wires": [{"from": "box", "to": "eave.start", "wire": "14 AWG", "length": 1, "fuse": 7.5}],
    "outputs": [{"name": "A", "chain": ["eave"], "universe": 1}],
}  # fmt: skip


@pytest.fixture(scope="module")
def second():
    """second(time, *levels) -> what is told of frames with all slots at those levels."""
    house = house_from(HOUSE)
    network, patch = build(house), patch_of(house)

    def made(time_s, *levels):
        frames = [TakenFrame(time_s, {1: bytes([level]) * 360}) for level in levels]
        packet = DataPacket(b"A" * 16, 1, 0, bytes(360), "desk")
        receiver = received(Receiver(), packet, "192.0.2.7", time_s)
        universes = live_universes(patch, Receiver(), receiver, 1.0)
        load = live_load(network, patch, frames) if frames else None
        return LiveSecond(time_s, load, universes, {"shown": len(levels)}, 0, 1.0, 0.0, 0.0)

    return made


def test_before_anything_came():
    state = Listened()
    assert state.shown is None
    assert looks_at_worst(state, True).at_worst is False
    assert panel(state, "Heard")[-1].look == "quiet"


def test_the_last_codes_are_on_show(second):
    state = told(Listened(), second(1.0, 10, 200, 30))
    assert state.shown[:, :3].min() == state.shown[:, :3].max() == 30
    later = shown_now(state, np.full_like(state.codes, 7))
    assert later.shown.max() == 7
    assert state.shown.max() == 30  # as it was


def test_the_worst_instant_is_kept(second):
    state = told(Listened(), second(1.0, 10, 200, 30))
    state = told(state, second(2.0, 20))
    assert state.worst_s == 1.0
    assert looks_at_worst(state, True).shown.max() == 200
    assert looks_at_worst(looks_at_worst(state, True), False).shown.max() == 20
    state = told(state, second(3.0, 255))
    assert (state.worst_s, state.worst_codes.max()) == (3.0, 255)
    assert told(state, second(4.0)).worst_codes.max() == 255


def test_the_panel_says_what_is_over_a_limit(second):
    lines = panel(told(Listened(), second(1.0, 255)), "Heard")
    texts = [line.text for line in lines]
    assert texts[:2] == ["Heard", "1 of 1 universes live; listening for 1s"]
    # 90 SK6812 of 4 channels at full on a supply of 2 A
    assert any(
        line.look == "bad" and line.text.startswith("danger: box: supply box") for line in lines
    )
    bar = next(line for line in lines if line.form == "bar")
    assert bar.text == "box"
    assert bar.share > 1
    assert "over: " in bar.value
    assert next(line for line in lines if line.text == "ceiling").look == "warn"
    # fed at one end alone: of its 5 V a tenth may be lost, as limits.yaml has it
    limit = "the voltage along run eave (at most 10 % of 5 V may be lost)"
    assert f"held by {limit}" in texts
    assert f"of these levels: {limit}" in as_lines(second(1.0, 255))[0]
    load = heard_load(told(Listened(), second(1.0, 255)), ("box",), np.array([2.0]))
    assert load.limit == limit
    assert "desk at 192.0.2.7, priority 100: universes 1" in texts


def test_a_name_cannot_command_the_panel(second):
    made = second(1.0, 1)
    universe = replace(made.universes[0], sources=(("desk\x1b[2J\n", "192.0.2.7", 100),))
    lines = panel(told(Listened(), replace(made, universes=(universe,))), "Heard")
    assert all(line.text.isprintable() for line in lines)


def test_the_ribbon_holds_every_second(second):
    state = told(Listened(), second(1.0))
    assert heard_load(state, ("box",), np.array([2.0])) is None
    state = told(told(told(state, second(2.0, 10)), second(3.0, 255)), second(4.0, 20))
    load = heard_load(state, ("box",), np.array([2.0]))
    assert len(load.total_a) == LEAST_SPAN_S
    assert np.isnan(load.total_a[0])
    assert load.peak == (pytest.approx(state.worst_a), 2.0)
    assert load.over.tolist()[:4] == [False, False, True, False]
    assert load.ready == 1


def test_keys_of_a_listening_window():
    assert all(is_taken(one.action) for one in LISTENING_BINDINGS)
    labels = [one.label for one in LISTENING_BINDINGS]
    assert "volts along the runs" in labels
    assert not any("scheme" in label or "feeds" in label for label in labels)
