"""Files appear whole or not at all, and never over somebody's work."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from layouts import EvenfallError, house_findings, load_house, write_atomically, write_starter
from layouts.files.document import read
from layouts.files.write import _host, backup_of, create_atomically, piecewise

posix = pytest.mark.skipif(os.name != "posix", reason="links, owners and signals of POSIX")


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


@posix
def test_a_hard_link_stays_one(tmp_path: Path) -> None:
    file, other = tmp_path / "a.txt", tmp_path / "other"
    file.write_bytes(b"an old text, and a long one")
    os.link(file, other)
    write_atomically(file, b"new")
    assert other.read_bytes() == b"new"
    assert file.stat().st_nlink == 2
    assert backup_of(file).read_bytes() == b"an old text, and a long one"


@posix
@pytest.mark.skipif(not hasattr(os, "getuid") or os.getuid() != 0, reason="only root gives away")
def test_the_owner_stays(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    os.chown(file, 1234, 2345)
    file.chmod(0o604)
    write_atomically(file, b"new")
    now = file.stat()
    assert (now.st_uid, now.st_gid, stat.S_IMODE(now.st_mode)) == (1234, 2345, 0o604)
    assert file.read_bytes() == b"new"


@posix
def test_an_owner_that_cannot_be_given_is_kept_by_writing_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    inode = file.stat().st_ino
    real = Path.stat

    def as_anothers(path: Path, **more: bool) -> os.stat_result:
        found = list(real(path, **more))
        if path.name == "a.txt":
            found[4] += 1
        return os.stat_result(found)

    def refuse(*_: object) -> None:
        raise PermissionError(1, "not the owner")

    monkeypatch.setattr(Path, "stat", as_anothers)
    monkeypatch.setattr(os, "chown", refuse)
    write_atomically(file, b"new")
    monkeypatch.undo()
    assert file.read_bytes() == b"new"
    assert file.stat().st_ino == inode


@pytest.mark.skipif(not hasattr(os, "setxattr"), reason="extended attributes of Linux")
def test_extended_attributes_stay(tmp_path: Path) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    try:
        os.setxattr(file, "user.note", b"mine")
    except OSError:
        pytest.skip("this file system has none")
    write_atomically(file, b"new")
    assert os.getxattr(file, "user.note") == b"mine"


@posix
def test_a_locked_file_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    file.chmod(0o444)
    monkeypatch.setattr(os, "access", lambda path, mode: False)  # root may write everything
    with pytest.raises(PermissionError):
        write_atomically(file, b"new")
    assert file.read_bytes() == b"old"


def test_file_and_folder_are_brought_to_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[str] = []
    real = os.fsync

    def watched(handle: int) -> None:
        synced.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        real(handle)

    monkeypatch.setattr(os, "fsync", watched)
    write_atomically(tmp_path / "a.txt", b"new")
    assert synced == ["file", "folder"]


@posix
def test_only_our_own_and_dead_temporary_files_are_cleared(tmp_path: Path) -> None:
    alive, foreign, theirs, old = (
        tmp_path / f".evenfall-{host}-{process}-0badcafe.tmp"
        for host, process in (
            (_host(), os.getpid()), ("00000000", 1), (_host(), "x"), ("00000000", 2)
        )
    )  # fmt: skip
    for each in (alive, foreign, theirs, old):
        each.write_bytes(b"x")
    os.utime(old, (0, 0))
    write_atomically(tmp_path / "a.txt", b"new")
    assert {file.name for file in tmp_path.iterdir()} == {
        alive.name, foreign.name, theirs.name, "a.txt"
    }  # fmt: skip


def test_piece_by_piece_whole_or_not_at_all(tmp_path):
    path = tmp_path / "show.pcap"
    path.write_bytes(b"before")

    def stopped_half_way():
        with piecewise(path) as file:
            file.write(b"half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped_half_way()
    assert path.read_bytes() == b"before"
    with piecewise(path) as file:
        for piece in (b"one ", b"two"):
            file.write(piece)
        assert path.read_bytes() == b"before"
    assert path.read_bytes() == b"one two"
    assert [each.name for each in tmp_path.iterdir()] == ["show.pcap"]


def test_a_new_file_is_there_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "new.txt"
    create_atomically(file, b"one")
    with pytest.raises(FileExistsError):
        create_atomically(file, b"two")
    assert file.read_bytes() == b"one"

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space") as refusal:
        create_atomically(tmp_path / "other.txt", b"two")
    assert refusal.value.filename == str(tmp_path / "other.txt")
    with pytest.raises(OSError, match="No space") as refusal:
        write_atomically(file, b"two")
    assert refusal.value.filename == str(file)
    assert [path.name for path in tmp_path.iterdir()] == ["new.txt"]
    assert file.read_bytes() == b"one"
