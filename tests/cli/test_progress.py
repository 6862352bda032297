"""What long verbs tell of their progress, on a terminal that is none; and that a stop in the middle
of it ends with its status and leaves nothing behind."""

from __future__ import annotations

import io
import signal
from itertools import count, pairwise
from types import SimpleNamespace

import pytest
from rich.console import Console

from sim.cli import bar, common
from sim.cli.ending import Ended
from sim.data import recorded

HOUSE = """\
format: evenfall-house/1
name: Shed
units: m
drawing: {size: [4, 3], viewer: 6}
runs:
  - {name: eave, pixels: ws2812b, path: [[1, 2], [2, 2]], count: 9}
  - {name: post, pixels: ws2812b, path: [[2.5, 2], [3.5, 2]], count: 9}
places:
  - {name: socket, at: [2, 1], mains: true, sheltered: true}
supplies:
  - {name: box, volts: 5, amps: 4, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005, at: socket}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 1, fuse: 2}
  - {from: box, to: post.start, wire: 18 AWG, length: 1, fuse: 2}
outputs:
  - {name: A, chain: [eave, post], universe: 1}
"""
SCHEME = """\
format: evenfall-scheme/1
name: Walk
layers:
  - {zones: [all], effect: chase, palette: ["#ff8000", "#00ff40"], set: {speed: 0.4}}
"""
#: Verbs and the labels of their bars, in order. Each writes a file.
VERBS = {
    "plan.yaml": (
        "plan bare.yaml a.scheme.yaml --out OUT",
        ["planning Shed", "checking the plan of Shed"],
    ),
    "given.html": (
        "handover house.yaml a.scheme.yaml --seconds 1 --date 2026-11-26 --out OUT",
        ["gathering the handover", "drawing the pages"],
    ),
    "amps.csv": ("power house.yaml --capture a.pcap --csv OUT", ["playing a.pcap"]),
}


class Told:
    """What a bar was asked for: a stand-in for rich's."""

    def __init__(self, label: str, at_update=lambda number: None):
        self.label, self.asked = label, []
        self._at_update = at_update

    def add_task(self, label, total):
        self.asked.append("task")
        return 7

    def start(self):
        self.asked.append("start")

    def update(self, task, completed, total):
        assert task == 7
        self.asked.append((completed, total))
        self._at_update(len(self.asked) - 2)

    def stop(self):
        self.asked.append("stop")


@pytest.fixture
def at_once(monkeypatch):
    """Every work takes long: two seconds go by at each look at the clock. stderr is a terminal."""
    clock = count(0, 2)
    monkeypatch.setattr(bar, "time", SimpleNamespace(monotonic=lambda: next(clock)))
    screen = SimpleNamespace(isatty=lambda: True)
    monkeypatch.setattr(bar, "sys", SimpleNamespace(stderr=screen))


@pytest.fixture
def folder(tmp_path, monkeypatch, run):
    """The files, a capture of two seconds of the scheme among them; the working folder."""
    (tmp_path / "house.yaml").write_text(HOUSE)
    (tmp_path / "bare.yaml").write_text(HOUSE[: HOUSE.index("supplies:")])
    (tmp_path / "a.scheme.yaml").write_text(SCHEME)
    monkeypatch.chdir(tmp_path)
    made = run("frames", "house.yaml", "a.scheme.yaml", "--seconds", "2", "--out", "a.pcap")
    assert made.exit_code == 0, made.stderr
    return tmp_path


def bars_of(monkeypatch, at_update=lambda number: None):
    """The stand-ins, as they come to be."""
    bars = []

    def made(label):
        bars.append(Told(label, at_update))
        return bars[-1]

    monkeypatch.setattr(bar, "_bar", made)
    return bars


@pytest.mark.parametrize("out", VERBS)
def test_each_bar_goes_from_its_start_to_its_end(out, folder, run, monkeypatch, at_once):
    bars = bars_of(monkeypatch)
    words, labels = VERBS[out]
    result = run(*words.replace("OUT", out).split())
    assert result.exit_code == 0, result.stderr
    assert (folder / out).exists()
    told = {one.label: one.asked for one in bars}
    assert [one.label for one in bars] == [label for label in labels if label in told]
    assert labels[0] in told  # what follows takes no time on a house of two runs
    for asked in told.values():
        assert asked[:2] == ["task", "start"]
        assert asked[-1] == "stop"
        shares = [done / total for done, total in asked[2:-1]]
        assert all(0.0 <= share <= 1.0 for share in shares)
        assert shares


@pytest.mark.parametrize("stderr", [None, io.StringIO()])
def test_without_a_terminal_there_is_no_bar(stderr, monkeypatch, at_once):
    monkeypatch.setattr(bar, "sys", SimpleNamespace(stderr=stderr))
    bars = bars_of(monkeypatch)
    with bar.progress("waiting") as report:
        report(1, 2)
    assert bars == []


def test_a_capture_played_is_told_from_beginning_to_end(folder, run, monkeypatch, at_once):
    monkeypatch.setattr(recorded, "_BATCH", 30)  # a batch is many seconds else
    bars = bars_of(monkeypatch)
    assert run("power", "house.yaml", "--capture", "a.pcap").exit_code == 0
    at = bars[0].asked[2:-1]
    size = (folder / "a.pcap").stat().st_size
    octets = [done for done, total in at if total == size]
    assert len(octets) > 1
    assert all(a <= b for a, b in pairwise(octets))
    assert octets[-1] == size


@pytest.mark.parametrize("out", VERBS)
@pytest.mark.parametrize("stop", ["SIGINT", "SIGTERM"])
def test_a_stop_at_its_first_word_leaves_nothing(out, stop, folder, run, monkeypatch, at_once):
    number = getattr(signal, stop)

    def end(_: int) -> None:
        raise KeyboardInterrupt if stop == "SIGINT" else Ended(number)

    bars = bars_of(monkeypatch, end)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    result = run(*VERBS[out][0].replace("OUT", out).split())
    assert result.exit_code == 128 + number
    assert result.stderr.splitlines()[-1] == "stopped"
    assert [one.asked[-1] for one in bars] == ["stop"]  # the terminal has its cursor again
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize("out", VERBS)
def test_a_terminal_shows_it_and_a_result_stays_pure(out, folder, run, monkeypatch, at_once):
    screen = io.StringIO()
    terminal = Console(file=screen, force_terminal=True, width=80, stderr=True)
    monkeypatch.setattr(common, "stderr", lambda: terminal)
    words, labels = VERBS[out]
    result = run(*words.replace("OUT", out).split())
    assert result.exit_code == 0
    assert labels[0] in screen.getvalue()
    assert " %" in screen.getvalue()
    assert "\x1b[?25l" in screen.getvalue()  # the cursor is hidden
    assert screen.getvalue().rindex("\x1b[?25h") > screen.getvalue().rindex("\x1b[?25l")
    assert labels[0] not in result.stdout
