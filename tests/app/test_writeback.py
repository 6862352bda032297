"""Values written into a scheme file: the value, and nothing but the value."""

from __future__ import annotations

import difflib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import InputError
from layouts.files.document import parse, read
from layouts.files.writeback import CannotWrite, changed, scalar, write_values

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


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_any_number_is_read_back_to_six_digits(number: float) -> None:
    held = parse(f"a: {scalar(number)}\n", "a.yaml").data["a"]
    assert held == pytest.approx(number, rel=1e-5, abs=1e-9)
