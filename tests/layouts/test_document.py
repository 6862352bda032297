"""Files that are not what they should be, and where everything stood in those that are."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict

from layouts.errors import InputError
from layouts.files.document import check, read
from layouts.files.nodes import tree


def refused(path: Path, **options: int) -> list[str]:
    with pytest.raises(InputError) as caught:
        read(path, **options)
    return [line.removeprefix(f"{path}:") for line in str(caught.value).splitlines()]


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b"", "1:1: the file is empty; start from 'evenfall new' or a demo file"),
        (b" \n\n", "1:1: the file is empty; start from 'evenfall new' or a demo file"),
        (b"# nothing\n", "1:1: the file is empty; start from 'evenfall new' or a demo file"),
        (b"\x00\x01", "1:1: this is a binary file, not text; name a YAML file"),
        (b"\x89PNG\r\n", "1:1: this is not a text file in UTF-8; save it as UTF-8 text"),
        (
            b"a: [1, 2\nb: 3\n",
            "2:2: this is not YAML: did not find expected ',' or ']'; correct the line, or close"
            " the [ of line 1, column 4",
        ),
        (b"a:\tb\n\tc: 1", "2:1: a tab; YAML is indented with spaces"),
        (b"a: 1\n---\nb: 2\n", "2:1: a second document starts here; keep one a file"),
        (b"a: &x [*x]\n", "1:8: alias '*x' stands inside itself; write it out"),
        (b"a: *x\n", "1:4: no anchor '&x' above; write the value out"),
        (b"? [a]\n: 1\n", "1:3: a key must be a plain word; write 'key: value'"),
        (
            b"a: !!python/object/apply:os.system [ls]\n",
            "1:4: the tag 'tag:yaml.org,2002:python/object/apply:os.system' is not allowed;"
            " leave it out",
        ),
        (b"a: " + b"[" * 60, "1:43: nested more than 40 deep; write it flatter"),
        (b"a: b\x07", None),
    ],
)
def test_a_file_that_cannot_be_read(tmp_path: Path, content: bytes, problem: str | None) -> None:
    file = tmp_path / "house.yaml"
    file.write_bytes(content)
    (found,) = refused(file)
    if problem is None:
        assert "this is not YAML" in found
    else:
        assert found == problem


def test_far_too_deep_a_file(tmp_path: Path) -> None:
    """PyYAML 6.0.4 gives up before the reader counts to 40, 6.0.3 hands over bracket by bracket."""
    file = tmp_path / "house.yaml"
    file.write_bytes(b"[" * 100_000)
    (found,) = refused(file)
    assert (
        "this is not YAML" in found or found == "1:41: nested more than 40 deep; write it flatter"
    )


def test_aliases_expand_only_so_far(tmp_path: Path) -> None:
    lines = ["a0: &a0 [1, 2, 3, 4, 5, 6, 7, 8, 9, 10]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 20)]
    file = tmp_path / "house.yaml"
    file.write_text("\n".join(lines))
    assert refused(file) == ["6:5: expands to more than 1,000,000 values; use fewer aliases"]


def test_missing_files_folders_and_big_files(tmp_path: Path) -> None:
    assert refused(tmp_path / "no.yaml") == ["1:1: there is no such file; check the path"]
    assert refused(tmp_path) == ["1:1: this is a folder, not a file; name a file in it"]
    file = tmp_path / "big.yaml"
    file.write_text("a: 1\n" * 30)
    what = "1:1: the file has more than 0.0001 MB; split it or leave out what is not needed"
    assert refused(file, max_bytes=100) == [what]
    assert refused(Path("/dev/zero"), max_bytes=100) == [what]  # not read for ever
    assert len(read(file, max_bytes=150).problems) == 29
    below = file / "house.yaml"
    assert refused(below) == ["1:1: cannot read the file: Not a directory; check the path"]


def test_words_stay_words(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text(
        "on: off\nyes: no\nat: 16:30\nday: 2026-12-24\nold: 010\nquoted: '12'\nnone: ~\n"
        "flag: true\nten: 10\nsmall: 1e-3\nleft: [.5, -2, +3.5]\n"
    )
    assert read(file).data == {
        "on": "off",
        "yes": "no",
        "at": "16:30",
        "day": "2026-12-24",
        "old": 10,
        "quoted": "12",
        "none": None,
        "flag": True,
        "ten": 10,
        "small": 0.001,
        "left": [0.5, -2, 3.5],
    }


def test_places_of_values_and_keys(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text("﻿a:\n  - b: [1, 22]\n    c: x\n", encoding="utf-8")
    document = read(file)
    assert document.at(("a", 0, "b", 1)) == (2, 12)
    assert document.at(("a", 0, "c")) == (3, 8)
    assert document.at(("a", 0, "c"), key=True) == (3, 5)
    assert document.at(("a", 0, "missing", 7)) == (2, 5)
    assert document.at() == (1, 1)


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)
    size: float = 1.0
    names: list[str] = []
    either: str | list[str] = ""


class Whole(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)
    parts: list[Part] = []
    note: str


def problems(tmp_path: Path, text: str) -> list[str]:
    file = tmp_path / "a.yaml"
    file.write_text(text)
    with pytest.raises(InputError) as caught:
        check(read(file), Whole)
    return [line.removeprefix(f"{file}:") for line in str(caught.value).splitlines()]


def test_every_misfit_is_told_at_its_place(tmp_path: Path) -> None:
    text = "parts:\n  - {sise: 3, names: 4}\n  - {size: big, either: 5}\nxyz: 1\n"
    assert problems(tmp_path, text) == [
        "1:1: the key 'note' is missing; add it",
        "2:6: unknown key 'sise'; did you mean 'size'?",
        "2:22: expected a list, found 4",
        "3:12: expected a number, found 'big'",
        "3:25: expected text or a list, found 5; put it in quotes",
        "4:1: unknown key 'xyz'; there are: parts, note",
    ]


def test_a_misspelt_key_is_told_once(tmp_path: Path) -> None:
    assert problems(tmp_path, "noet: x\n") == ["1:1: unknown key 'noet'; did you mean 'note'?"]


def test_twice_written_keys_and_infinities_are_told_with_the_rest(tmp_path: Path) -> None:
    text = "note: 1\nnote: x\nparts:\n  - {size: .inf}\n  - {size: 1e999}\n"
    assert problems(tmp_path, text) == [
        "1:7: expected text, found 1; put it in quotes",
        "2:1: the key 'note' is here twice, first in line 1; remove one",
        "4:12: '.inf' is not a finite number; write a number",
        "5:12: '1e999' is not a finite number; write a number",
    ]
    assert problems(tmp_path, "note: x\nnote: y\n") == [
        "2:1: the key 'note' is here twice, first in line 1; remove one"
    ]


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        places = [(1, 1), tree(text, "any.yaml")[0].at]
    except InputError as error:
        places = [(problem.line, problem.column) for problem in error.problems]
    assert all(line >= 1 and column >= 1 for line, column in places)
