"""Putting a draft into its file, and keeping it for when the window ends without asking."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path

import pytest

from layouts import InputError, load_house
from layouts.files.write import backup_of, digest
from layouts.files.writeback import Conflict, keep_both
from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, draft_of, made
from sim.app.edit.writing import KeptDraft, draft_from, unsaved_of, write

HERE = Path(__file__).parent
SHORTER = c.MovePoint(c.Item("run", "eave"), 1, (8.5, 2.9))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "house.yaml"
    path.write_bytes((HERE / "metric.yaml").read_bytes())
    return path


def changed(file: Path) -> Draft:
    return made(draft_of(file), SHORTER)


def test_written_and_the_text_before_kept_beside(file: Path) -> None:
    before = file.read_bytes()
    draft = changed(file)
    written = write(draft)
    assert file.read_bytes().decode() == draft.text == written.text
    assert written.digest == digest(file.read_bytes())
    assert backup_of(file).read_bytes() == before
    assert load_house(file).run("eave").count == 450
    assert unsaved_of(written) is None
    assert write(made(written, c.AddCut("eave", 40))).text.count("cuts: [200, 40]") == 1


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_line_ends_and_a_mark_at_the_start_stay(file: Path, mark: bytes) -> None:
    file.write_bytes(mark + file.read_bytes().replace(b"\n", b"\r\n"))
    draft = draft_of(file)
    assert unsaved_of(draft) is None
    write(made(draft, SHORTER))
    found = file.read_bytes()
    assert found.startswith(mark + b"# an invented house\r\n")
    assert found.count(b"\n") == found.count(b"\r\n")


def test_what_somebody_else_wrote_is_never_lost(file: Path) -> None:
    draft = changed(file)
    file.write_text(file.read_text() + "# theirs\n")
    theirs = file.read_bytes()
    with pytest.raises(Conflict, match="changed by somebody else") as told:
        write(draft)
    assert file.read_bytes() == theirs
    beside = keep_both(told.value)
    assert beside.name == "house.yours.yaml"
    assert beside.read_text() == draft.text
    assert file.read_bytes() == theirs


def test_a_file_that_is_gone_is_a_conflict_too(file: Path) -> None:
    draft = changed(file)
    file.unlink()
    with pytest.raises(Conflict, match="is gone"):
        write(draft)
    assert not file.exists()


def test_written_twice_is_written_once(file: Path) -> None:
    draft = changed(file)
    write(draft)
    backup = backup_of(file).read_bytes()
    write(draft)  # the file holds this text already
    assert backup_of(file).read_bytes() == backup


def test_into_a_new_file_but_over_no_other(file: Path) -> None:
    draft = changed(file)
    other = file.with_name("other.yaml")
    written = write(draft, other)
    assert (written.file, other.read_text()) == (str(other), draft.text)
    another = file.with_name("another.yaml")
    another.write_text("theirs")
    with pytest.raises(Conflict):
        write(draft, another)
    assert another.read_text() == "theirs"


def test_what_is_no_house_is_not_written(file: Path) -> None:
    before = file.read_bytes()
    broken = replace(draft_of(file), source="format: evenfall-house/1\nname: x\n")
    with pytest.raises(InputError, match="'runs' is missing"):
        write(broken)
    assert file.read_bytes() == before


def test_a_full_disk_leaves_no_empty_file(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("layouts.files.writeback.create_atomically", full)
    other = file.with_name("other.yaml")
    with pytest.raises(OSError, match="No space"):
        write(changed(file), other)
    assert not other.exists()


def test_what_is_kept_brings_the_drawing_back(file: Path) -> None:
    draft = changed(file)
    kept = unsaved_of(draft)
    assert kept is not None
    again = draft_from(KeptDraft(**asdict(kept)))
    assert (again.text, again.data, again.digest) == (draft.text, draft.data, draft.digest)
    write(again)
    assert file.read_text() == draft.text


def test_a_drawing_brought_back_over_a_file_changed_meanwhile(file: Path) -> None:
    kept = unsaved_of(changed(file))
    assert kept is not None
    file.write_text(file.read_text() + "# theirs\n")
    with pytest.raises(Conflict):
        write(draft_from(kept))
    assert file.read_text().endswith("# theirs\n")
