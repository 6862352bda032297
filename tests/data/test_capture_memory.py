"""Memory of a recorded show played on a house does not grow with its length."""

import tracemalloc

import numpy as np
import pytest

from layouts import house_from
from sim.circuit import build, join, loads, run_uses, supply_uses, wire_uses
from sim.data.packets import DataPacket
from sim.data.pcap import pcap_header, put_times, universe_records
from sim.report.capture import capture_report
from sim.report.extremes import Extremes

HOUSE = {
    "format": "evenfall-house/1",
    "name": "Short",
    "drawing": {"size": [6, 4], "viewer": 8, "surfaces": []},
    "runs": [
        {"name": "eave", "pixels": "ws2812b", "path": [[1, 3], [1.1, 3]], "count": 4,
         "aim": "down", "standoff": 0.1}
    ],
    "supplies": [{"name": "box", "volts": 5, "amps": 2, "efficiency": 0.85}],
    "wires": [{"from": "box", "to": "eave.start", "wire": "18 AWG", "length": 1, "fuse": 3}],
    "outputs": [{"name": "A", "chain": ["eave"], "universe": 1}],
}  # fmt: skip


def capture_of(path, frames, block=5000):
    """Levels that change in every frame, a frame each 25 ms, written block by block."""
    packet = DataPacket(b"A" * 16, 1, 0, b"", "desk")
    with path.open("wb") as file:
        file.write(pcap_header())
        for first in range(0, frames, block):
            number = np.arange(first, min(first + block, frames))
            levels = (number[:, None] * 7 + np.arange(12)) % 251
            rows = universe_records(packet, levels.astype(np.uint8), first)
            put_times(rows, number * 25_000_000)
            file.write(rows.tobytes())
    return path


def test_memory_is_bounded(tmp_path):
    house = house_from(HOUSE)
    capture_report(house, capture_of(tmp_path / "warm.pcap", 100))
    peaks = []
    for frames in (5_000, 30_000):
        path = capture_of(tmp_path / f"{frames}.pcap", frames)
        tracemalloc.start()
        report = capture_report(house, path)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert report.frames == frames
    # 25 000 frames of 9 figures of 8 octets would be 1.8 MB, and twice that while joined
    assert peaks[1] - peaks[0] < 400_000, peaks


@pytest.mark.parametrize("block", [1, 7, 64])
def test_extremes_are_those_of_all_frames(block):
    network = build(house_from(HOUSE))
    random = np.random.default_rng(3)
    codes = random.integers(0, 256, (200, 4, 4), dtype=np.uint8)
    codes[:, :, 3] = 0
    time_s = np.cumsum(random.uniform(0.01, 0.1, 200))
    hold_s = np.append(np.diff(time_s), np.median(np.diff(time_s)))
    parts = [loads(network, codes[k : k + block]) for k in range(0, 200, block)]
    whole, seen = join(parts), Extremes(network)
    for number, part in enumerate(parts):
        seen.add(time_s[number * block : number * block + len(part)], part)
    means = seen.means()
    assert seen.frames == 200
    assert len(seen.kept) < 20
    assert means.total_a == pytest.approx(np.average(whole.run_a.sum(axis=1), weights=hold_s))
    assert means.dc_w == pytest.approx(np.average(whole.dc_w, weights=hold_s))
    for uses in (supply_uses, wire_uses, run_uses):
        for kept, every in zip(uses(network, seen.kept), uses(network, whole), strict=True):
            assert kept.peak_a == every.peak_a
            assert seen.time_s[kept.peak_frame] == time_s[every.peak_frame]
    kept, every = run_uses(network, seen.kept)[0], run_uses(network, whole)[0]
    assert (kept.min_v, kept.min_dim, kept.min_v_pixel) == (
        every.min_v, every.min_dim, every.min_v_pixel
    )  # fmt: skip
