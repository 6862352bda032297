"""The window on a real X screen, worked from outside with mouse and keys, on the demo house."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait

MISSING = [name for name in ("Xvfb", "xdotool") if shutil.which(name) is None]
pytestmark = pytest.mark.skipif(
    bool(MISSING) and not os.environ.get("CI"), reason=f"needs {' and '.join(MISSING)}"
)

DEMO = Path(__file__).parents[2] / "demo" / "cottage"
#: Opens the window; afterwards says which threads are left.
CHILD = """
import sys, threading
from sim.app import run_window
run_window(sys.argv[1], sys.argv[2])
print("left:", [one.name for one in threading.enumerate() if one is not threading.main_thread()])
"""
SIZE = (1280, 720)
#: Inside the ribbon's curve, on the track of the brightness slider, on a button; at 100 %.
RIBBON_Y, TRACK_Y, SETTINGS = 640, 147, (1234, 702)


@pytest.fixture
def screen(tmp_path: Path) -> Iterator[dict[str, str]]:
    """An X server of its own; gives the environment to reach it."""
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "1366x800x24", "-nolisten", "tcp"],
        pass_fds=[write], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    os.close(write)
    with os.fdopen(read) as told:
        number = told.readline().strip()
    plain = {key: value for key, value in os.environ.items() if key != "SDL_VIDEODRIVER"}
    plain["XDG_STATE_HOME"] = str(tmp_path / "kept")
    yield {**plain, "DISPLAY": f":{number}", "SDL_VIDEO_X11_XRANDR": "0"}
    server.terminate()
    server.wait(60)


class Hands:
    """Mouse and keys of the X screen, and the pictures that F12 saves."""

    def __init__(self, environment: dict[str, str], folder: Path):
        self._environment, self._folder = environment, folder
        self.window = ""

    def tool(self, *words: str) -> str:
        made = subprocess.run(["xdotool", *words], env=self._environment, capture_output=True,
                              text=True, timeout=300, check=False)  # fmt: skip
        return made.stdout.strip()

    def find(self) -> bool:
        self.window = self.tool("search", "--class", "^evenfall$").partition("\n")[0]
        if self.window:
            self.tool("windowfocus", self.window)
        return bool(self.window)

    def key(self, *names: str) -> None:
        for name in names:
            self.tool("key", name)
            time.sleep(0.15)

    def drag(self, start: tuple[int, int], end: tuple[int, int]) -> None:
        where = ["--window", self.window]
        self.tool("mousemove", *where, *map(str, start), "mousedown", "1")
        for share in (0.25, 0.5, 0.75, 1.0):
            x, y = (round(a + (b - a) * share) for a, b in zip(start, end, strict=True))
            self.tool("mousemove", *where, str(x), str(y))
            time.sleep(0.08)
        self.tool("mouseup", "1")
        time.sleep(0.2)

    def click(self, x: int, y: int) -> None:
        self.tool("mousemove", "--window", self.window, str(x), str(y), "click", "1")
        time.sleep(0.3)

    def away(self) -> None:
        """Take the pointer off everything."""
        self.tool("mousemove", "--window", self.window, "40", "40")
        time.sleep(0.2)

    def look(self) -> np.ndarray:
        """(H, W, 3) what the window shows, as its own saved picture."""
        before = set(self._folder.glob("*.png"))

        def made() -> list[Path]:  # a name is taken first, then filled
            new = set(self._folder.glob("*.png")) - before
            return [path for path in new if path.stat().st_size > 0]

        self.key("F12")
        until(lambda: bool(made()))
        return np.asarray(Image.open(made()[0]).convert("RGB")).astype(int)

    def at_rest(self) -> np.ndarray:
        """The first whose house is as in the one before: nothing slides or is reckoned any more.

        It is made after all that was pressed before was met.
        """
        shots = [self.look()]

        def same() -> bool:
            shots.append(self.look())
            return amount(shots[-1], shots[-2]) == 0

        until(same)
        return shots[-1]


def until(condition: Callable[[], bool]) -> None:
    """Wait for what is to come; the time is for what hangs, not for how fast it is."""
    wait(condition, rest_s=0.1)


def playhead(shot: np.ndarray) -> int:
    """The column of the amber line in the ribbon."""
    amber = np.abs(shot[RIBBON_Y - 4 : RIBBON_Y + 4] - np.array([242, 169, 59])).sum(axis=2) < 12
    return int(np.flatnonzero(amber.all(axis=0)).mean())


def amount(a: np.ndarray, b: np.ndarray, upto: int = 400) -> float:
    """The share of the house's part that differs clearly; below it is told where pictures went."""
    return float((np.abs(a[:upto] - b[:upto]).max(axis=2) > 24).mean())


def test_a_whole_session(screen: dict[str, str], tmp_path: Path) -> None:
    folder = tmp_path / "cottage"
    shutil.copytree(DEMO, folder)
    house, scheme = folder / "house.yaml", folder / "halloween.scheme.yaml"
    child = subprocess.Popen(
        [sys.executable, "-W", "error", "-c", CHILD, str(house), str(scheme)], cwd=tmp_path,
        env=screen, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    hands = Hands(screen, folder)
    try:
        until(hands.find)
        first = _when_lit(hands)
        hands.key("space")

        # drag the ribbon: the playhead follows the mouse
        hands.drag((200, RIBBON_Y), (900, RIBBON_Y))
        until(lambda: abs(playhead(hands.look()) - 900) <= 3)

        # every overlay on and off again; the ribbon tells of what is under the pointer
        hands.away()
        plain = hands.at_rest()
        for key in "vnwz":
            hands.key(key)
            until(lambda: amount(hands.look(), plain) > 0.002)
            hands.key(key)
        until(lambda: amount(hands.look(), plain) == 0)

        # broken on disk, and mended
        good = house.read_text()
        house.write_text(good.replace("profile:", "profil:", 1))
        until(lambda: _banner(hands.look()))
        house.write_text(good)
        until(lambda: not _banner(hands.look()))

        # two kinds side by side; the divider follows the mouse
        hands.key("c")
        until(lambda: _divider(hands.look()) is not None)
        hands.drag((640, 300), (320, 300))
        until(lambda: abs((_divider(hands.look()) or 0) - 320) <= 3)
        hands.key("c")

        # the drawer by its button; brightness by a press on its track, by its knob, by keys
        hands.click(*SETTINGS)
        until(lambda: _knob(hands.look()) is not None)
        hands.at_rest()  # the drawer slides
        hands.click(1000, TRACK_Y)
        hands.away()
        until(lambda: abs((_knob(hands.look()) or 0) - 1000) <= 3)
        hands.drag((1000, TRACK_Y), (1180, TRACK_Y))
        hands.away()
        until(lambda: abs((_knob(hands.look()) or 0) - 1180) <= 4)
        hands.key("Tab", "Tab", "Left", "Left", "Escape")
        until(lambda: 3 <= 1180 - (_knob(hands.look()) or 0) <= 9)

        # written to the file: that line and no other
        before = scheme.read_text().splitlines()
        hands.key("ctrl+s")
        until(lambda: scheme.read_text().splitlines() != before)
        after = scheme.read_text().splitlines()
        assert [line.partition(":")[0] for line in after if line not in before] == ["brightness"]
        assert len(after) == len(before)

        # another scheme from the list, and back
        shown = hands.at_rest()
        hands.click(1170, 97)
        hands.at_rest()  # the list is open
        hands.click(1150, 125)
        until(lambda: amount(hands.look()[:, :900], shown[:, :900]) > 0.01)
        hands.click(*SETTINGS)
        unlisted = hands.look()
        hands.key("F1")
        until(lambda: amount(hands.look(), unlisted) > 0.02)
        hands.key("F1")

        assert first.shape == (SIZE[1], SIZE[0], 3)

        # closed: the process is gone within a second
        before = _crowded()
        closed_s = time.monotonic()
        hands.key("ctrl+q")
        out, err = child.communicate(timeout=300)
        taken_s = time.monotonic() - closed_s
        # The tool takes some tenths itself, and a busy machine gives each process less time.
        crowd = max(1.0, os.getloadavg()[0] / (os.cpu_count() or 1), before, _crowded())
        assert taken_s < 1.0 * crowd + 0.6
        assert (child.returncode, err) == (0, "")
        assert out.strip() == "left: []"
    finally:
        child.kill()
        child.wait(60)


def _crowded() -> float:
    """How much longer than its processor's time a piece of work takes here now."""
    wall_s, own_s = time.monotonic(), time.process_time()
    while time.process_time() - own_s < 0.2:
        pass
    return (time.monotonic() - wall_s) / 0.2


def _when_lit(hands: Hands) -> np.ndarray:
    """The first fine picture with the house on it."""
    shots: list[np.ndarray] = []

    def lit() -> bool:
        shot = hands.look()
        shots[:] = [shot]
        return bool(shot[:500].std() > 20 and shot[RIBBON_Y].std() > 1 and not _coarse(shot))

    wait(lit, rest_s=0.5)
    return shots[0]


def _coarse(shot: np.ndarray) -> bool:
    """Whether words stand in the sky, at the picture's upper left: it is coarse at first."""
    return int((shot[12:36, 20:250].min(axis=2) > 110).sum()) > 150


def _divider(shot: np.ndarray) -> int | None:
    """The column of the divider: warm white from top to bottom."""
    warm = np.abs(shot[60:236] - np.array([243, 235, 221])).sum(axis=2) < 6
    found = np.flatnonzero(warm.mean(axis=0) > 0.98)
    return int(found[0]) if len(found) else None


def _knob(shot: np.ndarray) -> int | None:
    """The middle column of the brightness slider's knob, warm white and as tall as it is wide."""
    warm = np.abs(shot[TRACK_Y - 5 : TRACK_Y + 6, 960:1266] - np.array([243, 235, 221])).sum(axis=2)
    found = np.flatnonzero((warm < 30).all(axis=0))
    return 960 + int(found.mean()) if len(found) else None


def _banner(shot: np.ndarray) -> bool:
    """Whether the dark red of the banner is on the house."""
    ground = np.abs(shot[20:60, 300:900] - np.array([44, 20, 24])).sum(axis=2) < 16
    return bool(ground.mean() > 0.3)
