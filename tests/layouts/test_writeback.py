"""Values written into a scheme file: the value, and nothing but the value."""

from __future__ import annotations

import difflib
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from effects import load_scheme
from effects.load import scheme_from_text
from layouts import InputError
from layouts.files.document import parse, read
from layouts.files.write import backup_of
from layouts.files.writeback import (
    CannotWrite,
    Conflict,
    Put,
    changed,
    digest_of,
    keep_both,
    write_edits,
    write_values,
)  # fmt: skip

DEMO = Path(__file__).parents[2] / "demo"

TEXT = """\
# Winter, as last year.
format: evenfall-scheme/1
name: 'Winter: the long one'   # quoted
brightness: 0.8   # as on the ladder

layers:
  # the gable first
  - zones: [both]
    effect: chase
    palette: ["#ff2010", "#ffffff"]  # red, white
    set: {speed: 0.5 m/s, gap: 2}
  - {zones: [door], effect: steady, palette: ember, opacity: 0.5}
  - zones:
      - door
    effect: fade
    palette:
      - "#102030"   # night
      - "#ffe0b0"
    set:
      seconds: 4  # slow
# the end
"""


def lines_changed(before: str, after: str) -> list[str]:
    found = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in found if line[0] in "+-"]


@pytest.mark.parametrize(
    ("where", "value", "lines"),
    [
        (("brightness",), 0.65, ["- brightness: 0.8   # as on the ladder",
                                 "+ brightness: 0.65   # as on the ladder"]),
        (("layers", 0, "set", "speed"), 1.25, ["-     set: {speed: 0.5 m/s, gap: 2}",
                                               "+     set: {speed: 1.25, gap: 2}"]),
        (("layers", 0, "set", "gap"), 3.0, ["-     set: {speed: 0.5 m/s, gap: 2}",
                                            "+     set: {speed: 0.5 m/s, gap: 3}"]),
        (("layers", 2, "set", "seconds"), 6.0, ["-       seconds: 4  # slow",
                                                "+       seconds: 6  # slow"]),
        (("layers", 1, "opacity"), 0.25,
         ["-   - {zones: [door], effect: steady, palette: ember, opacity: 0.5}",
          "+   - {zones: [door], effect: steady, palette: ember, opacity: 0.25}"]),
        (("layers", 0, "palette"), "first-frost",
         ['-     palette: ["#ff2010", "#ffffff"]  # red, white',
          "+     palette: first-frost  # red, white"]),
        (("name",), "Winter", ["- name: 'Winter: the long one'   # quoted",
                               "+ name: Winter   # quoted"]),
    ],
)  # fmt: skip
def test_a_value_is_replaced_where_it_stands(where: tuple, value: object, lines: list[str]) -> None:
    after = changed(TEXT, "a.yaml", where, value)
    assert lines_changed(TEXT, after) == lines


def test_a_missing_key_becomes_one_new_line() -> None:
    after = changed(TEXT, "a.yaml", ("white",), "off")
    assert lines_changed(TEXT, after) == ["+ white: off"]
    after = changed(TEXT, "a.yaml", ("layers", 2, "set", "softness"), 0.5)
    assert lines_changed(TEXT, after) == ["+       softness: 0.5"]
    after = changed(TEXT, "a.yaml", ("layers", 0, "opacity"), 0.5)
    assert lines_changed(TEXT, after) == ["+     opacity: 0.5"]


def test_a_missing_mapping_is_made() -> None:
    after = changed(TEXT, "a.yaml", ("layers", 1, "set", "width"), 2.0)
    assert "opacity: 0.5, set: {width: 2}}" in after


def test_a_list_in_lines_can_give_way_to_a_name() -> None:
    after = changed(TEXT, "a.yaml", ("layers", 2, "palette"), "ember")
    kept = [line for line in TEXT.splitlines() if "#102030" not in line and "#ffe0b0" not in line]
    assert after.splitlines() == [
        "    palette: ember" if line == "    palette:" else line for line in kept
    ]


def test_an_alias_is_not_torn_from_what_it_stands_for() -> None:
    text = "base: &b 0.5\nlayers:\n  - opacity: *b\n"
    with pytest.raises(CannotWrite, match=r"'layers\.0\.opacity' cannot be changed without"):
        changed(text, "a.yaml", ("layers", 0, "opacity"), 0.25)


def test_windows_line_ends_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(TEXT.replace("\n", "\r\n").encode())
    write_values(path, {("brightness",): 0.5, ("white",): "off"})
    raw = path.read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n") == TEXT.count("\n") + 1


def test_a_byte_order_mark_stays(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    write_values(path, {("brightness",): 0.5})
    assert path.read_bytes().startswith(b"\xef\xbb\xbf# Winter")


def test_several_values_at_once(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TEXT)
    write_values(path, {("brightness",): 0.123456789, ("layers", 0, "set", "speed"): 2.0,
                        ("layers", 2, "opacity"): 0.75})  # fmt: skip
    data = read(path).data
    assert data["brightness"] == 0.123457
    assert data["layers"][0]["set"] == {"speed": 2, "gap": 2}
    assert data["layers"][2]["opacity"] == 0.75


def test_a_write_that_is_cut_short_leaves_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TEXT)

    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("os.replace", killed)
    with pytest.raises(KeyboardInterrupt):
        write_values(path, {("brightness",): 0.5})
    assert path.read_text() == TEXT


def test_a_file_broken_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("layers: [\n")
    with pytest.raises(InputError):
        write_values(path, {("brightness",): 0.5})
    assert path.read_text() == "layers: [\n"


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=30))
def test_any_word_is_read_back_as_it_was(word: str) -> None:
    after = changed(TEXT, "a.yaml", ("name",), word)
    assert parse(after, "a.yaml").data["name"] == word


def schemes_only(text: str) -> object:
    return scheme_from_text(text, "a.scheme.yaml")


@pytest.fixture
def scheme(tmp_path: Path) -> Path:
    path = tmp_path / "a.scheme.yaml"
    path.write_text((DEMO / "cottage" / "christmas.scheme.yaml").read_text(encoding="utf-8"))
    return path


@pytest.mark.parametrize(
    ("where", "value", "said"),
    [
        (("layers", 0, "set", "spead"), 1.0, "chase has no parameter 'spead'"),
        (("layers", 0, "set", "soft"), 99.0, "soft: "),
        (("brightness",), 1.5, "1.5 is out of range"),
        (("layers", 0, "effect"), "chaise", "unknown effect 'chaise'"),
    ],
)
def test_what_the_window_would_refuse_is_not_written(
    scheme: Path, where: tuple, value: object, said: str
) -> None:
    before = scheme.read_bytes()
    with pytest.raises(InputError, match=said):
        write_values(scheme, {("brightness",): 0.5, where: value}, validate=schemes_only)
    assert scheme.read_bytes() == before
    assert [file.name for file in scheme.parent.iterdir()] == [scheme.name]


def test_a_sound_change_is_written_and_the_last_good_text_kept(scheme: Path) -> None:
    before = scheme.read_bytes()
    seen = write_values(scheme, {("brightness",): 0.5}, validate=schemes_only)
    assert load_scheme(scheme).brightness == 0.5
    assert seen == digest_of(scheme)
    assert backup_of(scheme).read_bytes() == before
    scheme.write_text("layers: 3\n")
    write_edits(scheme, [Put(("layers",), [])])  # nobody asked what it is
    assert backup_of(scheme).read_text() == "layers: 3\n"


def test_a_bad_text_is_no_backup(scheme: Path) -> None:
    good = scheme.read_bytes()
    write_values(scheme, {("brightness",): 0.5}, validate=schemes_only)
    scheme.write_text(scheme.read_text().replace("brightness: 0.5", "brightness: 7"))
    write_values(scheme, {("brightness",): 0.4}, validate=schemes_only)
    assert backup_of(scheme).read_bytes() == good


def test_newer_edits_on_disk_are_not_overwritten(scheme: Path) -> None:
    seen = digest_of(scheme)
    newer = scheme.read_text().replace("brightness: 0.85", "brightness: 0.9")
    scheme.write_text(newer)
    with pytest.raises(Conflict, match="has been changed by somebody else since") as conflict:
        write_values(scheme, {("brightness",): 0.31}, validate=schemes_only, expected=seen)
    assert scheme.read_text() == conflict.value.theirs == newer
    assert conflict.value.ours == newer.replace("0.9", "0.31")
    ours = keep_both(conflict.value)
    assert ours.name == "a.yours.scheme.yaml"
    assert load_scheme(ours).brightness == 0.31
    assert keep_both(conflict.value).name == "a.yours-2.scheme.yaml"
    assert scheme.read_text() == newer


def test_an_edit_that_lands_at_the_last_moment_wins(
    scheme: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync

    def slow_disk(handle: int) -> None:  # the editor saves while our bytes go to the disk
        real(handle)
        scheme.write_text("theirs: 1\n")

    monkeypatch.setattr(os, "fsync", slow_disk)
    with pytest.raises(Conflict) as conflict:
        write_values(scheme, {("brightness",): 0.31})
    assert scheme.read_text() == "theirs: 1\n" == conflict.value.theirs
    assert "brightness: 0.31" in conflict.value.ours


def test_a_file_taken_away_meanwhile_is_a_conflict(scheme: Path) -> None:
    seen = digest_of(scheme)
    scheme.unlink()
    with pytest.raises(Conflict, match="is gone") as conflict:
        write_values(scheme, {("brightness",): 0.31}, expected=seen)
    assert conflict.value.theirs is None
    assert not scheme.exists()


def test_a_file_that_is_no_text_any_more(scheme: Path) -> None:
    scheme.write_bytes(b"name: caf\xe9\n")
    with pytest.raises(InputError, match=r"a\.scheme\.yaml:1:1: this is not a text file in UTF-8"):
        write_values(scheme, {("brightness",): 0.31})
