"""A window that listens: what arrives is on the house, in the panel and in the ribbon."""

from __future__ import annotations

import socket
import sys
import threading
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from layouts import load_house
from sim.app.listening import ListeningWindow
from sim.app.state import actions as act
from sim.circuit import build
from sim.data.inbox import Inbox
from sim.data.packets import DataPacket, data_bytes
from sim.data.patch import patch_of
from sim.data.sockets import receiving_sockets
from sim.report.listen_loop import live_seconds, warm

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait


@pytest.fixture
def port() -> int:
    """A UDP port of loopback that nobody has."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        made.bind(("127.0.0.1", 0))
        return int(made.getsockname()[1])


def until(window: ListeningWindow, met) -> None:
    """Turn the loop until something is met."""
    try:
        wait(met, lambda: window.step(0.02))
    except AssertionError as late:
        late.add_note(f"{window.state.fault} {window.state.problems}")
        raise


def test_what_arrives_is_seen(house_file: Path, port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    house = load_house(house_file)
    patch, network = patch_of(house), build(house)
    warm(network, patch)
    stop = threading.Event()
    levels = bytearray(3 * len(house.pixels))

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            number = 0
            while not stop.wait(0.025):
                packet = DataPacket(b"A" * 16, 1, number & 255, bytes(levels), "desk")
                out.sendto(data_bytes(packet), ("127.0.0.1", port))
                number += 1

    sender = threading.Thread(target=send)
    with Inbox(receiving_sockets("127.0.0.1", (), port=port)) as inbox:
        window = ListeningWindow(
            house_file, partial(live_seconds, inbox, network, patch), size_px=(960, 540)
        )
        try:
            until(window, lambda: window.shown is not None)
            dark = window.shown.left_image.copy()
            assert window.shown.left is None  # nothing came: no codes are made up
            sender.start()
            levels[:] = b"\xff" * len(levels)
            until(window, lambda: window.shown.left is not None
                  and window.shown.left.codes[:, :3].min() == 255)  # fmt: skip
            until(window, lambda: window.heard.second is not None
                  and window.heard.worst_codes is not None
                  and window.heard.worst_codes[:, :3].min() == 255)  # fmt: skip
            assert window.shown.left_image.mean() > dark.mean() + 1
            # the frame on show is solved by the same circuit as everywhere
            assert np.isclose(window.shown.left.supply_a.sum(), window.heard.worst_a)
            levels[:] = bytes(len(levels))
            until(window, lambda: window.shown.left.codes.max() == 0)
            window.do(act.PlayPause())
            window.step(0.02)
            assert window.shown.left.codes[:, :3].min() == 255  # the worst instant
            window.do(act.PlayPause())
            window.step(0.02)
            assert window.shown.left.codes.max() == 0
            window.do(act.WriteValues())  # nothing of a scheme can be done here
            window.do(act.ToggleCompare())
            assert not window.state.compare
            assert window.state.message is None
            window.do(act.Quit())
            assert not window.running
            assert window.state.fault == ""
        finally:
            stop.set()
            if sender.ident is not None:
                sender.join()
            window.close()
    assert window.ear.ended
    assert window.ear.dangerous  # 60 WS2812B at full white on a supply of 2 A
