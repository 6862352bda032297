"""A recorded show as a second curve of the ribbon."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from layouts import load_house
from sim.app.state.record import Facts
from sim.app.state.ribbon import RecordedLoad
from sim.app.view.ribbon import summary
from sim.app.window import Window
from sim.app.work.recorded_course import RecordedCourse
from sim.circuit import build, loads
from sim.data.packets import DataPacket, data_bytes
from sim.data.pcap import pcap_header, pcap_record, udp_frame
from sim.plan.loadcase import full_codes

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait


@pytest.fixture
def capture(tmp_path: Path) -> Path:
    """Dark from 0 s, full for one packet at 0.51 s, dark from 0.52 s on, the last at 1 s."""
    path = tmp_path / "show.pcap"
    with path.open("wb") as file:
        file.write(pcap_header())
        for number, (at_s, level) in enumerate([(0, 0), (0.51, 255), (0.52, 0), (1, 0)]):
            packet = DataPacket(b"A" * 16, 1, number, bytes([level]) * 180, "desk")
            frame = udp_frame(data_bytes(packet), ("192.0.2.1", 5568), ("192.0.2.2", 5568))
            file.write(pcap_record(round(at_s * 1e9), frame))
    return path


def facts(fps: float, frames: int) -> Facts:
    return Facts("", "", "", (), (), (), (), (), 1.0, "matched", "most", fps, frames / fps, frames)


def test_no_peak_is_lost_along_the_schemes_time(house_file: Path, capture: Path) -> None:
    house = load_house(house_file)
    course = RecordedCourse(house, capture)
    network = build(house)
    full_a = float(loads(network, full_codes(house, 1.0)).supply_a.sum())
    dark_a = float(loads(network, np.zeros((1, network.pixels, 4), np.uint8)).supply_a.sum())
    load = course.load(facts(10.0, 30))
    assert load.peak == (pytest.approx(full_a), pytest.approx(0.51))
    assert load.total_a[5] == pytest.approx(full_a)  # it stood for a hundredth of a second
    assert load.total_a[[0, 4, 6, 10]] == pytest.approx(dark_a)
    assert np.isnan(load.total_a[20:]).all()  # the capture is over
    assert course.load(facts(10.0, 30)) is load
    assert course.load(facts(20.0, 60)) is not load


def test_the_ribbon_names_it(house_file: Path, capture: Path, monkeypatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Window(house_file, size_px=(960, 540))
    try:
        window.recorded = RecordedCourse(load_house(house_file), capture)
        wait(lambda: "left" in window.backstage.loads and window.backstage.idle,
             lambda: window.step(0.02))  # fmt: skip
        window.step(0.02)
        recorded = window.backstage.loads["recorded"]
        assert isinstance(recorded, RecordedLoad)
        sides = [window.backstage.loads["left"], recorded]
        assert any(text.startswith("recorded peak") for text, _ in summary(sides, 1.0))
        assert window.state.fault == ""
    finally:
        window.close()
