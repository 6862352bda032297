"""A small house of our own invention, its scheme, and a state that has read them."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sim.app.state import actions as act
from sim.app.state.actions import Loaded
from sim.app.state.record import Facts, LayerFacts, ParameterFacts, RunFacts, State
from sim.app.state.update import update
from sim.app.window import Window

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

HOUSE = """\
# Invented for a test.
format: evenfall-house/1
name: Shed
units: m
drawing:
  size: [6, 3.4]
  viewer: 8
  surfaces:
    - name: wall
      material: lap-siding-white
      depth: 0
      outline: [[1, 0], [5, 0], [5, 2.4], [1, 2.4]]
    - name: roof
      material: slate
      depth: 0.2
      outline: [[0.8, 2.4], [5.2, 2.4], [4.6, 3.2], [1.4, 3.2]]
runs:
  - name: eave
    pixels: ws2812b
    path: [[1, 2.35], [5, 2.35]]
    count: 40
    aim: 30
    standoff: 0.03
    profile: channel-frosted
  - name: door
    pixels: ws2812b
    path: [[2, 0.1], [2, 2.0]]
    count: 20
    aim: wall
    standoff: 0.03
    profile: channel-frosted
zones:
  both: [eave, door]
supplies:
  - {name: box, volts: 5, amps: 2, efficiency: 0.85, no_load_w: 0.3, source_ohm: 0.01}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 2 m, fuse: 3}
  - {from: box, to: door.start, wire: 18 AWG, length: 3 m, fuse: 3}
outputs:
  - {name: A, chain: [eave, door], universe: 1, fps: 40}
"""

SCHEME = """\
# A winter evening.
format: evenfall-scheme/1
name: Winter
brightness: 0.8   # as on the ladder
layers:
  - zones: [both]
    effect: chase
    palette: ["#ff2010", "#ffffff"]
    set: {speed: 0.5}
  - {zones: [door], effect: steady, palette: ["#3050ff"], opacity: 0.5}
"""


@pytest.fixture
def house_file(tmp_path: Path) -> Path:
    """A house file with one scheme beside it."""
    folder = tmp_path / "shed"
    folder.mkdir()
    (folder / "house.yaml").write_text(HOUSE)
    (folder / "winter.scheme.yaml").write_text(SCHEME)
    (folder / "plain.scheme.yaml").write_text(
        "# One colour.\nformat: evenfall-scheme/1\nname: Plain\n"
        'layers:\n  - {effect: steady, palette: ["3000 K"]}\n'
    )
    return folder / "house.yaml"


@pytest.fixture
def facts() -> Facts:
    """Facts as a file would give them: two layers, ten seconds at 40 frames a second."""
    speed = ParameterFacts("speed", 0.5, "m/s", 0.0, 4.0, help="how fast")
    count = ParameterFacts("count", 3.0, "", 1, 12, whole=True)
    palette = ParameterFacts("palette", "ember", choices=("ember", "frost", "leaf"))
    layers = (LayerFacts("chase", ("eaves",), (palette, speed, count)),
              LayerFacts("steady", ("all",), (palette,)))  # fmt: skip
    return Facts(
        house="Shed", scheme="winter", scheme_file="winter.scheme.yaml",
        schemes=(("plain.scheme.yaml", "plain"), ("winter.scheme.yaml", "winter")),
        kinds=("ws2812b", "ws2815", "sk6812-rgbw-warm"), own_kinds=("ws2812b",),
        runs=(RunFacts("eave", 0, 40), RunFacts("door", 40, 20)), layers=layers,
        brightness=0.8, colour="matched", white="most", fps=40.0, span_s=10.0, frames=400,
    )  # fmt: skip


@pytest.fixture
def state(facts: Facts) -> State:
    """The window after the files were read, standing still at the start."""
    read = update(State("house.yaml"), Loaded(facts))
    from dataclasses import replace

    return replace(read, playing=False)


SIZE = (960, 600)


@pytest.fixture(autouse=True)
def own_state_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing of a test is kept among what the person's own windows keep."""
    folder = tmp_path / "kept"
    monkeypatch.setattr("platformdirs.user_state_dir", lambda *_, **__: str(folder), raising=True)
    return folder


@pytest.fixture
def size_px() -> tuple[int, int]:
    """How large the window opens; tests to which it is all one take a smaller one."""
    return SIZE


@pytest.fixture
def window(
    house_file: Path, size_px: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> Iterator[Window]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.chdir(house_file.parent)
    one = Window(house_file, house_file.parent / "winter.scheme.yaml", scale=1.0, size_px=size_px)
    one.do(act.PlayPause())
    _until(one, lambda: one.shown is not None and one.backstage.idle)
    yield one
    assert _closed(one)


def _closed(window: Window) -> bool:
    """Close it; whether every thread ended, however long a loaded machine lets it wait."""
    return window.close() or any(window.backstage.close() for _ in range(60))


@pytest.fixture
def closed() -> Callable[[Window], bool]:
    """Closes a window and says whether every thread of it ended: `assert closed(window)`."""
    return _closed


def _until(window: Window, condition: Callable[[], bool]) -> None:
    wait(condition, lambda: window.step(0.02))
    for _ in range(3):
        window.step(0.5)  # messages, slides and sprites come to rest


@pytest.fixture
def until() -> Callable[..., None]:
    """Turns the loop of a window until something is so: `until(window, condition)`."""
    return _until
