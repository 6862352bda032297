"""Saving what is on show: asked in the state, named, put where it fits, made of the house alone."""

from __future__ import annotations

import io
import os
import stat
from dataclasses import replace
from itertools import islice
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from effects import bind, load_scheme
from layouts import EvenfallError, load_house
from sim.app.state import actions as act
from sim.app.state.chips import chip_words
from sim.app.state.record import Facts, State
from sim.app.state.sharing import names, safe, stem
from sim.app.state.shown import Shown, Side, Stage
from sim.app.state.update import update
from sim.app.work import share_files
from sim.app.work.share import Take, made, take_of
from sim.app.work.share_picture import CAPTION
from sim.frame import rig_for, scene


def after(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


# --- in the state ---


def test_asked_by_name_or_number_and_only_one_at_a_time(state: State) -> None:
    asked = after(state, act.AskSharing())
    assert [label for _, label in asked.question.answers] == ["Picture", "Film", "Window"]
    making = after(asked, act.Answer(2))
    assert making.question is None
    assert (making.feedback.making.what, making.feedback.making.number) == ("film", 1)
    again = after(making, act.ShareNow("picture"))
    assert again.feedback.making == making.feedback.making
    assert "Esc" in again.message.text
    assert after(asked, act.AskSharing()).question is None


def test_progress_is_told_escape_stops_and_late_words_are_dropped(state: State) -> None:
    making = after(state, act.ShareNow("film"), act.SharedSoFar(1, 0.4))
    assert "40 %" in chip_words(making)[0].text
    stopped = after(making, act.Back())
    assert stopped.feedback.making is None
    assert "nothing was saved" in stopped.message.text
    assert after(stopped, act.SharedSoFar(1, 0.9)).feedback == stopped.feedback
    assert after(stopped, act.NotShared(1, "late")).message == stopped.message


def test_where_it_went_stays_told_until_it_is_put_away(state: State) -> None:
    done = after(state, act.ShareNow("picture"), act.Shared("/a/b/shed.png", 1), act.Tick(60.0))
    (chip,) = chip_words(done)
    assert chip.text.startswith("shed.png")
    assert chip.action == act.OpenFolder()
    assert chip_words(after(done, chip.cross)) == ()
    assert after(done, act.Back()).feedback.saved == "/a/b/shed.png"  # its folder still opens
    failed = after(state, act.ShareNow("picture"), act.NotShared(1, "no room"))
    assert failed.message.text == "Not saved: no room"
    assert failed.feedback.making is None


def test_without_a_scheme_there_is_no_film(state: State, facts: Facts) -> None:
    dark = after(state, act.Loaded(replace(facts, scheme_file="")))
    assert after(dark, act.ShareNow("film")).feedback.making is None
    assert after(dark, act.ShareNow("picture")).feedback.making is not None


# --- names ---


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Town house", "town-house"),
        ("../../etc/passwd", "etc-passwd"),
        ('a<b>c:d"e/f\\g|h?i*j\x00k\nl', "a-b-c-d-e-f-g-h-i-j-k-l"),
        ("Müller's  Häuschen.", "müller-s-häuschen"),
        ("CON", "con-"),
        ("lpt1", "lpt1-"),
        ("...", ""),
        ("x" * 300, "x" * 40),
    ],
)
def test_names_are_such_as_every_system_takes(name: str, plain: str) -> None:
    # The characters < > : " / \ | ? * and 0-31, the device names and the final full stop that
    # Windows forbids: learn.microsoft.com/windows/win32/fileio/naming-a-file, "Naming Conventions"
    assert safe(name) == plain


def test_a_file_is_called_after_house_and_scheme(facts: Facts) -> None:
    assert stem(facts) == "shed-winter"
    assert stem(facts, window=True) == "shed-winter-window"
    assert stem(replace(facts, house="¡!", scheme_file="")) == "evenfall"
    assert list(islice(names("a", ".png"), 3)) == ["a.png", "a-2.png", "a-3.png"]


# --- files ---


def test_nothing_is_written_over(tmp_path: Path) -> None:
    house = tmp_path / "house.yaml"
    (tmp_path / "a.png").write_bytes(b"mine")
    assert share_files.save(b"1", str(house), "a", ".png") == tmp_path / "a-2.png"
    assert share_files.save(b"2", str(house), "a", ".png") == tmp_path / "a-3.png"
    assert (tmp_path / "a.png").read_bytes() == b"mine"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a-2.png", "a-3.png", "a.png"]


def test_where_the_house_is_shut_pictures_and_then_home_take_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    house, pictures, home = (tmp_path / name for name in ("house", "pictures", "home"))
    for folder in (house, home):
        folder.mkdir()
    monkeypatch.setattr("platformdirs.user_pictures_dir", lambda: str(pictures))
    monkeypatch.setattr(Path, "home", lambda: home)
    shut = {house}
    really = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: path not in shut and really(path, mode))
    file = str(house / "house.yaml")
    assert share_files.save(b"1", file, "a", ".png") == home / "a.png"
    pictures.mkdir()
    assert share_files.save(b"1", file, "a", ".png") == pictures / "a.png"
    shut |= {pictures, home}
    with pytest.raises(EvenfallError, match="home"):
        share_files.save(b"1", file, "a", ".png")


def test_what_cannot_be_written_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(share_files, "create_atomically", full)
    with pytest.raises(OSError, match="No space"):
        share_files.save(b"1", str(tmp_path / "house.yaml"), "a", ".png")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="a program that opens folders stands in PATH")
def test_the_folder_is_opened_or_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "shed"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(tmp_path))
    assert str(folder) in share_files.open_folder(str(folder / "a.png"))  # nothing to open it with
    opener = tmp_path / "xdg-open"
    opener.write_text(f'#!/bin/sh\necho "$1" > "{tmp_path}/asked"\n')
    opener.chmod(opener.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setattr("sys.platform", "linux")
    assert share_files.open_folder(str(folder / "a.png")) == ""
    assert (tmp_path / "asked").read_text().strip() == str(folder)
    opener.write_text("#!/bin/sh\nexit 3\n")  # as where nothing is set to show folders
    assert str(folder) in share_files.open_folder(str(folder / "a.png"))
    assert "not there any more" in share_files.open_folder(str(tmp_path / "gone" / "a.png"))


# --- what is made ---


@pytest.fixture
def take(house_file: Path) -> Take:
    """The shed on show, as the window would have it."""
    house = load_house(house_file)
    scheme = load_scheme(house_file.parent / "winter.scheme.yaml", house)
    side = Side(None, rig_for(house, scheme), scene(house, (64, 36), "evening"))
    return Take(
        (side,), 0.5, bind(house, scheme), "evening", 4.0, 0.8, 1.0, str(house_file), "shed",
        "Shed", "Winter",
    )  # fmt: skip


def test_a_picture_is_the_house_alone_with_a_caption(take: Take) -> None:
    shares: list[float] = []
    suffix, data = made(take, False, shares.append, size_px=(320, 180 + CAPTION))
    image = np.asarray(Image.open(io.BytesIO(data)))
    assert suffix == ".png"
    assert image.shape == (180 + CAPTION, 320, 3)
    assert image[180:].std() > 5  # words
    assert shares == sorted(shares)
    dark = made(replace(take, show=None), False, shares.append, size_px=(320, 180 + CAPTION))[1]
    lit = np.asarray(Image.open(io.BytesIO(dark)))
    assert image[:180].mean() > lit[:180].mean()
    assert (image[180:] == lit[180:]).all()


def test_a_comparison_is_divided_as_on_show(take: Take) -> None:
    both = replace(take, sides=take.sides * 2, divider=0.25)
    one = made(take, False, lambda _: None, size_px=(320, 180))[1]
    assert made(both, False, lambda _: None, size_px=(320, 180))[1] == one


@pytest.mark.parametrize("ending", [".mp4", ".webp"])
def test_a_film_is_made_of_what_there_is(
    take: Take, ending: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    if ending == ".mp4":
        pytest.importorskip("av")
    else:
        monkeypatch.setattr("sim.app.work.share.find_spec", lambda _: None)
    suffix, data = made(take, True, lambda _: None, size_px=(64, 36), seconds=0.2)
    assert suffix == ending
    assert data[4:8] == b"ftyp" if ending == ".mp4" else data[8:12] == b"WEBP"


class Stop(Exception):
    """Raised by who no longer waits."""


def test_a_film_ends_where_its_progress_says_so(take: Take) -> None:
    told: list[float] = []

    def progress(share: float) -> None:
        told.append(share)
        if len(told) == 4:
            raise Stop

    with pytest.raises(Stop):
        made(take, True, progress, size_px=(64, 36), seconds=10.0)
    assert len(told) == 4


def test_what_is_taken_is_what_is_on_show(state: State, take: Take) -> None:
    side = take.sides[0]
    stage = Stage(side.rig.house, None, side, None, 5.0)
    shown = Shown(stage, take.show, None, None, np.zeros((1, 1, 3), np.uint8), None)
    dimmed = after(state, act.Set("brightness", 0.3), act.Expose(-0.25), act.Seek(2.0))
    found = take_of(dimmed, shown)
    assert (found.brightness, found.exposure_ev, found.at_s) == (0.3, 4.75, 2.0)
    assert (found.stem, found.house, found.words) == ("shed-winter", "Shed", "winter")
