"""What a window knows of packets that arrive: the last codes, the worst instant, the panel."""

import numpy as np
import pytest

from layouts import house_from
from sim.app.state.listening import Listened, looks_at_worst, panel, shown_now, told
from sim.circuit import build
from sim.data.packets import DataPacket
from sim.data.patch import patch_of
from sim.data.receiver import Receiver, received
from sim.data.taking import TakenFrame
from sim.report.listen import LiveSecond, live_load, live_universes

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
    assert panel(state)[0].look == "quiet"


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
    lines = panel(told(Listened(), second(1.0, 255)))
    assert "1 of 1 universes live" in lines[0].text
    assert any(line.look == "bad" and "supply-overload" in line.text for line in lines)
    assert lines[-1].look == "quiet"
    assert "desk at 192.0.2.7, priority 100" in lines[-1].text
