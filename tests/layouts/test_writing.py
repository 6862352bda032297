"""Files appear whole or not at all, and never over somebody's work."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from layouts import EvenfallError, house_findings, load_house, write_atomically, write_starter
from layouts.files.document import read


def test_a_file_is_written_and_replaced(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    write_atomically(file, b"one")
    file.chmod(0o640)
    write_atomically(file, b"two")
    assert file.read_bytes() == b"two"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [file]


def test_a_failure_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(OSError, match="disk full"):
        write_atomically(file, b"new")
    assert file.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [file]


def test_links_are_followed_and_devices_left_in_place(tmp_path: Path) -> None:
    file, link = tmp_path / "a.txt", tmp_path / "link"
    file.write_bytes(b"old")
    link.symlink_to(file)
    write_atomically(link, b"new")
    assert link.is_symlink()
    assert file.read_bytes() == b"new"
    write_atomically("/dev/null", b"gone")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


def test_a_missing_folder_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        write_atomically(tmp_path / "no" / "a.txt", b"x")


def test_the_starter_is_sound(tmp_path: Path) -> None:
    files = write_starter(tmp_path / "new" / "home")
    assert [file.name for file in files] == ["evening.scheme.yaml", "house.yaml"]
    house = load_house(files[1])
    assert house_findings(house) == ()
    assert list(house.zones)[-2:] == ["whole gable", "peak"]
    assert read(files[0]).data["format"] == "evenfall-scheme/1"


def test_the_starter_overwrites_nothing(tmp_path: Path) -> None:
    mine = tmp_path / "house.yaml"
    mine.write_text("mine")
    with pytest.raises(EvenfallError, match=r"house.yaml is already there; name another folder"):
        write_starter(tmp_path)
    assert mine.read_text() == "mine"
    assert list(tmp_path.iterdir()) == [mine]
    with pytest.raises(EvenfallError, match="is a file, not a folder"):
        write_starter(mine)
