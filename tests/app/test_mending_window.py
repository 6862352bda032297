"""Breaking and finding what is broken in a window: the same as the commands."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pygame
import pytest
from typer.testing import CliRunner

from layouts.faults import Fault, load_faults
from sim.app.state import actions as act
from sim.app.state.mending_record import BreakIt, CloseSheet, MendAll, OpenSheet, SaveFaults
from sim.app.state.shown_broken import FrameBroken
from sim.app.state.sighted_record import AddSeen, PickDuring, SaveSeen, SeenLine
from sim.app.state.window_layout import layout
from sim.app.window import Window
from sim.app.work.share import take_of
from sim.cli.main import app
from sim.frame import on_wire
from sim.light import picture
from sim.report.wording.diagnosis import suspect_label
from sim.upkeep import broken, frame_of_broken

Until = Callable[..., None]


def test_the_window_shows_what_the_model_has(
    window: Window, until: Until, house_file: Path
) -> None:
    before, text = window.shown.left_image, house_file.read_bytes()
    faults = (Fault("dead", "eave", 12), Fault("joint", wire=1, ohm=0.8),
              Fault("hiccup", supply="box", on_s=0.1, pause_s=0.9))  # fmt: skip
    for fault in faults:
        window.do(BreakIt(fault))
    window.do(OpenSheet("broken"))
    window.step(0.0)
    stage, frame = window.shown.stage, window.shown.left
    assert isinstance(frame, FrameBroken)
    codes = on_wire(stage.left.rig, window.shown.show, np.array([0.0]))
    model = frame_of_broken(broken(stage.left.rig, faults), codes, number=0)
    assert np.array_equal(frame.light, model.light[0])
    assert np.array_equal(frame.volts, model.volts[0])
    assert np.array_equal(frame.supply_a, model.solution.supply_a[0])
    assert np.array_equal(frame.wire_a, model.solution.wire_a[0])
    lit = picture(stage.left.scene, model.light[0], exposure_ev=stage.exposure_ev)
    assert np.array_equal(window.shown.left_image, lit)
    assert frame.report.faults == faults
    take = take_of(window.state, window.shown)
    assert take.faults == faults  # a picture that is shared is of what is on show
    window.do(act.PlayPause())
    until(window, lambda: window.shown.left.codes is not frame.codes)
    assert isinstance(window.shown.left, FrameBroken)  # made ahead too
    window.do(act.PlayPause())
    window.do(act.Jump("start"))
    window.do(SaveFaults())
    window.do(SaveFaults())
    saved = sorted(house_file.parent.glob("trial*.faults.yaml"))
    assert [path.name for path in saved] == ["trial-2.faults.yaml", "trial.faults.yaml"]
    assert load_faults(saved[1], stage.house) == faults
    assert house_file.read_bytes() == text
    window.do(MendAll())
    window.do(CloseSheet())
    until(window, lambda: window.shown.left_image.shape == before.shape)
    assert np.array_equal(window.shown.left_image, before)


def test_marks_lead_to_the_ranking_of_the_command(
    window: Window, until: Until, house_file: Path
) -> None:
    window.do(OpenSheet("seen"))
    window.do(PickDuring("white"))  # the scheme leaves pixels dark by itself
    until(window, lambda: window.backstage.made_all and window.state.drawer_open == 1.0)
    until(window, lambda: window.shown.left_image.shape[1] == layout(window.state).picture.w)
    parts, places = layout(window.state), window._screen.touch.touchable.places
    for kind, pixel in ((pygame.MOUSEBUTTONDOWN, 12), (pygame.MOUSEMOTION, 30),
                        (pygame.MOUSEMOTION, 39), (pygame.MOUSEBUTTONUP, 39)):  # fmt: skip
        x, y = places.at_px[pixel]
        at = (round(x) + parts.picture.x, round(y) + parts.picture.y)
        pygame.event.post(pygame.event.Event(kind, pos=at, button=1, rel=(1, 0)))
        window.step(0.02)
    assert window.state.sighted.seen == (SeenLine("dark", "eave[12:40]", during="white"),)
    told_too = (SeenLine("lit", "eave[0:12]", during="white"),
                SeenLine("dark", "door", during="white"),
                SeenLine("volts", value=4.9, at="eave[12]", during="white"))  # fmt: skip
    window.do(AddSeen(told_too))
    seen = window.state.sighted.seen
    until(window, lambda: window.state.sighted.found_of == seen)
    window.do(SaveSeen())
    saved = house_file.parent / "seen.sightings.yaml"
    result = CliRunner().invoke(app, ["diagnose", str(house_file), str(saved), "--json"])
    assert result.exit_code == 0, result.output
    told, found = json.loads(result.stdout), window.state.sighted.found
    house = window.state.mending.house
    assert [cause["what"] for cause in told["causes"]] == [
        suspect_label(suspect, house) for suspect in found.suspects
    ]
    assert [cause["probability"] for cause in told["causes"]] == pytest.approx(
        [suspect.probability for suspect in found.suspects], abs=1e-9
    )
    assert (told["next"] is None) == (found.next is None)
    # A dead pixel without a backup line takes along all behind it, and leaves its volts.
    assert told["causes"][0]["fault"] == {"kind": "dead", "run": "eave", "position": 12}
