"""Edits of files as text: the data changes as asked, and every line not concerned stays."""

from __future__ import annotations

import difflib
import itertools
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from layouts import InputError
from layouts.files.document import parse
from layouts.files.edits import (
    Append,
    CannotWrite,
    Edit,
    Put,
    Rekey,
    Remove,
    Reorder,
    applied,
    edited,
    same,
)
from layouts.files.emit import inline
from layouts.files.nodes import unfit_in

DEMO = Path(__file__).parents[2] / "demo"
HOUSE = (DEMO / "cottage" / "house.yaml").read_text(encoding="utf-8")

WORDS = st.sampled_from(
    ["gable", "14 AWG", "2.5 m", "left.start", "run[75]", "#ff2010", "3000 K", "true", "12", "",
     "16:30", "12' 6\"", "a: b", "- x", "x # y", "é", "°C", "yes", "null", "~", "a\nb", "[", "'"]
)  # fmt: skip
KEYS = st.sampled_from(["name", "from", "to", "wire", "set", "x y", "12", "é", "on"])
SCALARS = WORDS | st.booleans() | st.integers(-99, 99) | st.floats(-1e3, 1e3) | st.none()
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=8,
)
DATA = st.dictionaries(KEYS, VALUES, min_size=1, max_size=5)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """A file in a random manner: brackets or lines, indents, comments, empty lines, line ends."""
    numbers = itertools.count(1)

    def note() -> str:
        return draw(st.sampled_from(["", "", f"  # c{next(numbers)}"]))

    def above(indent: int) -> list[str]:
        chosen = draw(st.sampled_from(["", "", "", "blank", "words"]))
        words = {"": [], "blank": [""], "words": [" " * indent + f"# a{next(numbers)}"]}
        return words[chosen]

    def scalar(value: Any) -> str:
        if isinstance(value, str) and "\n" not in value and draw(st.booleans()):
            return "'" + value.replace("'", "''") + "'"
        return inline(value)

    def flow(value: Any) -> str:
        pad = draw(st.sampled_from(["", " "]))
        if isinstance(value, dict) and value:
            parts = [f"{inline(key)}: {flow(each)}" for key, each in value.items()]
            return "{" + pad + f",{pad or ' '}".join(parts) + pad + "}"
        if isinstance(value, list) and value:
            return "[" + pad + f", {pad}".join(flow(each) for each in value) + pad + "]"
        return scalar(value) if not isinstance(value, dict | list) else inline(value)

    def below(value: Any, indent: int) -> list[str] | None:
        if not isinstance(value, dict | list) or not value or draw(st.booleans()):
            return None
        step = draw(st.sampled_from([0, 2] if isinstance(value, list) else [2, 3]))
        return lines(value, indent + step)

    def lines(value: Any, indent: int) -> list[str]:
        made: list[str] = []
        space = " " * indent
        if isinstance(value, list):
            for each in value:
                made += above(indent)
                if isinstance(each, dict | list) and each and draw(st.booleans()):
                    inner = lines(each, indent + 2)
                    while not inner[0].strip() or inner[0].lstrip().startswith("#"):
                        made.append(inner.pop(0))
                    made += [f"{space}- {inner[0].lstrip()}", *inner[1:]]
                else:
                    made.append(f"{space}- {flow(each)}{note()}")
            return made
        for key, each in value.items():
            made += above(indent)
            deeper = below(each, indent)
            if deeper is not None:
                made += [f"{space}{inline(key)}:{note()}", *deeper]
            elif each is None and draw(st.booleans()):
                made.append(f"{space}{inline(key)}:{note()}")
            else:
                made.append(f"{space}{inline(key)}: {flow(each)}{note()}")
        return made

    text = lines(draw(DATA), 0)
    ending = draw(st.sampled_from(["\n", "\n", "\r\n"]))
    return ending.join([*text, *draw(st.sampled_from([[], ["# the end"]]))]) + draw(
        st.sampled_from([ending, ending, ""])
    )


def paths(data: Any, path: tuple = ()) -> list[tuple]:
    found = [path]
    if isinstance(data, dict | list):
        for step in data if isinstance(data, dict) else range(len(data)):
            found += paths(data[step], (*path, step))
    return found


def at(data: Any, path: tuple) -> Any:
    for step in path:
        data = data[step]
    return data


@st.composite
def edits(draw: st.DrawFn, data: Any) -> Edit:
    where = draw(st.sampled_from(paths(data)))
    held = at(data, where)
    choices: list[st.SearchStrategy[Edit]] = []
    if where:
        choices.append(st.builds(Put, st.just(where), VALUES))
        if len(data) > 1 or len(where) > 1:
            choices.append(st.just(Remove(where)))
    if isinstance(held, dict):
        choices.append(st.builds(lambda k, v: Put((*where, k), v), KEYS, VALUES))
    if isinstance(held, list) or (held is None and where):
        choices.append(st.builds(lambda v: Append(where, v), VALUES))
    return draw(st.one_of(choices))


def concerned(text: str, edit: Edit) -> set[int]:
    """The lines of the text, from 0, that an edit may change."""
    document = parse(text, "a")
    depth = len(edit.path)
    while document.node(edit.path[:depth]) is None:
        depth -= 1
    node = document.node(edit.path[:depth])
    start, end = node.span
    whole = isinstance(edit, Remove) or (depth == len(edit.path) and isinstance(edit, Put))
    if not whole and not node.flow and node.children:
        return set()  # lines are added to lines
    for above in range(depth):  # an outermost bracket, or what is left without an entry
        outer = document.node(edit.path[:above])
        alone = isinstance(edit, Remove) and above == depth - 1 and len(outer.children) == 1
        if outer.flow or alone:
            start, end = min(start, outer.span[0]), max(end, outer.span[1])
            break
    top = document.at(edit.path[:depth], key=True)[0] - 1
    for above in range(depth):
        if isinstance(document.node(edit.path[:above]).value, dict) and above >= depth - 2:
            top = min(top, document.at(edit.path[: above + 1], key=True)[0] - 1)
    lines = text.split("\n")
    last = text.count("\n", 0, end)
    before = lines[top][: document.at(edit.path[:depth], key=True)[1] - 1]
    if isinstance(edit, Remove) and before.replace("-", "").strip(" ") == "" and "-" in before:
        last += 1  # what comes next takes the place behind the dash
        while last < len(lines) - 1 and not lines[last].strip():
            last += 1
    return set(range(min(top, text.count("\n", 0, start)), last + 1))


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_edit_of_any_file(data: st.DataObject) -> None:
    text = data.draw(documents())
    before = parse(text, "a").data
    edit = data.draw(edits(before))
    after = edited(text, [edit])
    assert same(parse(after, "a").data, applied(before, edit))
    may = concerned(text, edit)
    kept = [line for number, line in enumerate(text.splitlines()) if number not in may]
    there = iter(after.splitlines())
    lost = [line for line in kept if line and not any(line == other for other in there)]
    assert lost == []
    if "\r\n" in text:
        assert after.count("\r\n") == after.count("\n")


@settings(max_examples=200, deadline=None)
@given(DATA, DATA)
@example({"name": True}, {"name": 1})
def test_one_set_of_values_becomes_any_other(one: dict, other: dict) -> None:
    text = "".join(f"{inline(key)}: {inline(value)}\n" for key, value in one.items())
    puts = [Put((key,), value) for key, value in other.items()]
    gone = [Remove((key,)) for key in one if key not in other]
    assert same(parse(edited(text, [*puts, *gone]), "a").data, other)


def changes(before: str, after: str) -> list[str]:
    found = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in found if line[0] in "+-"]


def test_wires_are_added_as_the_file_has_them() -> None:
    wire = {"from": "box", "to": "left.start", "wire": "14 AWG", "length": "2 m", "fuse": 7.5}
    after = edited(HOUSE, [Append(("wires",), wire), Append(("wires",), {"to": "gable[3]"})])
    assert changes(HOUSE, after) == [
        "+   - {from: box, to: left.start, wire: 14 AWG, length: 2 m, fuse: 7.5}",
        '+   - {to: "gable[3]"}',
    ]


def test_a_whole_section_keeps_the_lines_that_stay() -> None:
    wires = parse(HOUSE, "a").data["wires"]
    wires = [*wires[:2], {**wires[3], "fuse": 5}, *wires[4:], {"from": "loft", "to": "new"}]
    lines = changes(HOUSE, edited(HOUSE, [Put(("wires",), wires)]))
    assert [line[:2] + line.split("{")[1] for line in lines] == [
        "- from: loft, to: gable.end, wire: 12 AWG, length: 3, fuse: 7.5}",
        "- from: gable.end, to: eave-right.start, wire: 16 AWG, length: 0.4}",
        "+ from: gable.end, to: eave-right.start, wire: 16 AWG, length: 0.4, fuse: 5}",
        "+ from: loft, to: new}",
    ]


def test_a_section_that_was_not_there() -> None:
    places = [{"name": "loft", "at": [1, 2.5], "mains": True}, {"name": "shed", "at": [9, 1]}]
    after = edited("name: a\nruns:\n- {name: x} # y\n# end\n", [Put(("places",), places)])
    assert after == (
        "name: a\nruns:\n- {name: x} # y\nplaces:\n- {name: loft, at: [1, 2.5], mains: true}\n"
        "- {name: shed, at: [9, 1]}\n# end\n"
    )


def test_an_emptied_list_is_filled_again() -> None:
    text = "a: 1\nwires:  # all of them\n  # the first\n  - {to: b}  # gone\nz: 2\n"
    empty = edited(text, [Remove(("wires", 0))])
    assert empty == "a: 1\nwires: []  # all of them\n  # the first\nz: 2\n"
    again = edited(empty, [Append(("wires",), {"to": "c"})])
    assert again == "a: 1\nwires:  # all of them\n  - {to: c}\n  # the first\nz: 2\n"


def test_entries_in_lines_get_neighbours_in_lines() -> None:
    text = "layers:\n  - zones: all\n    effect: chase\n  # next year more\n"
    after = edited(text, [Append(("layers",), {"zones": "all", "set": {"speed": 1}})])
    assert after == (
        "layers:\n  - zones: all\n    effect: chase\n"
        "  - zones: all\n    set: {speed: 1}\n  # next year more\n"
    )


def test_a_shared_value_is_not_changed_behind_anybodys_back() -> None:
    text = "a: &x {v: 1}\nb: *x\n"
    with pytest.raises(CannotWrite, match=r"'a\.v' cannot be changed without"):
        edited(text, [Put(("a", "v"), 2)])
    assert edited(text, [Remove(("b",))]) == "a: &x {v: 1}\n"


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (Put((), 1), "the whole of a file"),
        (Put(("a", "b"), 1), "there is no 'a.b'"),
        (Append(("a",), 1), "there is no 'a'"),
        (Remove(("b",)), "there is no 'b'"),
        (Put(("a",), float("nan")), "nan cannot stand in a file"),
        (Put(("a",), object()), "a object cannot stand in a file"),
        (Remove(("a",)), "'a' cannot be changed"),
    ],
)
def test_an_edit_that_cannot_be_made_is_refused(edit: Edit, said: str) -> None:
    with pytest.raises(CannotWrite) as refused:
        edited("a: 1\n", [edit], "h.yaml")
    assert str(refused.value).startswith("h.yaml: ")
    assert said in str(refused.value)


def test_a_broken_text_is_refused_with_its_place() -> None:
    with pytest.raises(InputError, match=r"h\.yaml:2:1: this is not YAML"):
        edited("a: [\n", [Put(("a",), 1)], "h.yaml")


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_number_is_read_back_exactly(number: float) -> None:
    assert parse(f"a: {inline(number)}\n", "a").data["a"] == number


@given(st.text(max_size=30))
def test_any_text_is_read_back_exactly_or_refused_both_ways(text: str) -> None:
    if unfit_in(text):
        with pytest.raises(ValueError, match="cannot stand in a file"):
            inline(text)
        escaped = "".join(f"\\U{ord(one):08x}" for one in text)
        assert parse(f'a: "{escaped}"\n', "a").problems
    else:
        document = parse(f"a: {inline(text)}\nb: [{inline(text)}]\n", "a")
        assert (document.data, document.problems) == ({"a": text, "b": [text]}, ())


def test_an_entry_goes_elsewhere_as_it_is_written() -> None:
    text = "a:\n  # first\n  - {x:  1}  # one\n  - x: 2   # two\n    y: 'z'\n\n  - {x: 3}\n"
    down = edited(text, [Reorder(("a", 0), 2)])
    assert down == "a:\n  # first\n  - x: 2   # two\n    y: 'z'\n\n  - {x: 3}\n  - {x:  1}  # one\n"
    assert edited(down, [Reorder(("a", 2), 0)]) == text
    assert edited(text, [Reorder(("a", 1), 1)]) == text
    for wrong in (Reorder(("a", 0), 3), Reorder(("a", 7), 0), Reorder(("b", 0), 1)):
        with pytest.raises(CannotWrite):
            edited(text, [wrong])
    with pytest.raises(CannotWrite):  # nothing says where its line ends
        edited(text.rstrip("\n"), [Reorder(("a", 2), 0)])
    with pytest.raises(CannotWrite):
        edited("a: [1, 2]\n", [Reorder(("a", 0), 1)])


def test_another_key_stands_where_the_old_one_did() -> None:
    text = "zones:\n  b: [x]   # one\n  'c':  [y]\n"
    assert edited(text, [Rekey(("zones", "b"), "a b")]) == text.replace("b:", "a b:")
    assert edited(text, [Rekey(("zones", "c"), "on")]).endswith("  on:  [y]\n")
    assert edited("{b: 1, c: 2}", [Rekey(("c",), "d")]) == "{b: 1, d: 2}"
    for wrong in (Rekey(("zones", "b"), "c"), Rekey(("zones", "x"), "y")):
        with pytest.raises(CannotWrite):
            edited(text, [wrong])
