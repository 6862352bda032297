"""Files nobody means to write: each is refused with its place and in words, never a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from effects import load_scheme
from layouts import InputError, Problem, kinds, load_house
from layouts.files import checking
from layouts.files.document import read
from layouts.files.names import MANY, did_you_mean
from layouts.files.nodes import MAX_KEYS
from sim.report.prices import load_prices
from sim.season import load_season

DEMO = Path(__file__).parents[2] / "demo" / "cottage"
LONG = "x" * 300
HEAD = "format: evenfall-scheme/1\nname: a\n"
LAYER = "  - {zones: all, effect: steady, palette: ember}\n"


def refused(load, file: Path, text: str | bytes) -> list[Problem]:
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(InputError) as refusal:
        load(file)
    for problem in refusal.value.problems:
        assert problem.file.endswith(file.name)
        assert problem.line >= 1
        assert problem.column >= 1
        assert str(problem).isprintable()
        assert len(problem.what) < 300
    return list(refusal.value.problems)


@pytest.mark.parametrize(
    ("text", "place", "said"),
    [
        (HEAD.encode() + b"# caf\xe9\nlayers:\n" + LAYER.encode(), (1, 1), "not a text file"),
        ("layouts: empty\n", (1, 1), "unknown key 'layouts'"),
        (HEAD + "layouts: empty\nlayers:\n" + LAYER, (3, 1), "unknown key 'layouts'"),
        (HEAD + "layers:\n", (3, 8), "expected a list, found nothing"),
        (HEAD + "layers: []\n", (3, 9), "a list of 0, where at least 1 belong"),
        (HEAD + "layers: empty\n", (3, 9), "expected a list, found 'empty'"),
        (HEAD + "layers: {a: 1}\n", (3, 9), "expected a list, found a mapping"),
        (HEAD + "layers: [[1]]\n", (3, 10), "expected a mapping of keys to values"),
        ("- a list\n", (1, 1), "expected keys and values, found a list"),
        ("word\n", (1, 1), "expected keys and values, found text"),
        ("", (1, 1), "the file is empty"),
        ("# nothing\n", (1, 1), "the file is empty"),
        (HEAD + 'layers:\n  - {zones: "a\\0", effect: steady, palette: ember}\n', (4, 13), "NUL"),
        (HEAD + 'layers:\n  - {zones: all, "x\\0": 1, effect: steady, palette: ember}\n',
         (4, 18), "NUL"),
        (HEAD + f"layers:\n  - {{zones: all, effect: {LONG}, palette: ember}}\n", (4, 26),
         "unknown effect 'x"),
        (HEAD + f"{LONG}: 1\nlayers:\n" + LAYER, (3, 1), "unknown key 'x"),
    ],
)  # fmt: skip
def test_a_scheme(tmp_path: Path, text: str | bytes, place: tuple[int, int], said: str) -> None:
    problems = refused(load_scheme, tmp_path / "a.scheme.yaml", text)
    assert any((p.line, p.column) == place and said in p.what for p in problems), problems


HOUSE = (DEMO / "house.yaml").read_text(encoding="utf-8")
CORNERS = "corners: [[0, 0], [6, 0], [6, 4], [0, 4]]"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("  viewer: 14", f'  photo: {{file: "a\\0b.jpg", {CORNERS}}}\n  viewer: 14', "NUL"),
        ("name: porch,", 'name: "por\\0ch",', "NUL"),
        ("America/Chicago", f"{LONG}", "unknown time zone 'x"),
        ("America/Chicago", '"America\\0"', "NUL"),
        ("America/Chicago", "../../etc/passwd", "unknown time zone"),
        ("country: US", 'country: "U\\0"', "NUL"),
    ],
)
def test_a_house(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in HOUSE
    problems = refused(load_house, tmp_path / "house.yaml", HOUSE.replace(old, new, 1))
    assert any(said in problem.what for problem in problems), problems


@pytest.mark.parametrize(("name", "said"), [('"a\\0b"', "NUL"), (LONG, "no scheme file 'x")])
def test_a_season(tmp_path: Path, name: str, said: str) -> None:
    house = load_house(DEMO / "house.yaml")
    text = f"format: evenfall-season/1\nname: a\notherwise: {name}\n"
    problems = refused(lambda f: load_season(f, house, year=2026), tmp_path / "a.yaml", text)
    assert any(said in problem.what and problem.line == 3 for problem in problems), problems


def test_prices(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    house = load_house(tmp_path / "house.yaml")
    text = f'format: evenfall-prices/1\ncurrency: "E\\0"\nkinds: {{{LONG}: {{per_metre: 1}}}}\n'
    problems = refused(lambda _: load_prices(house, kinds()), tmp_path / "prices.yaml", text)
    assert ["NUL" in problem.what for problem in problems].count(True) == 1


def test_a_name_that_no_file_can_have() -> None:
    for name in ("a\0b.yaml", LONG + ".yaml", "no/such\0folder/a.yaml"):
        with pytest.raises(InputError) as refusal:
            read(name)
        (problem,) = refusal.value.problems
        assert (problem.line, problem.column) == (1, 1)


def test_more_of_a_house_than_anybody_has(tmp_path: Path) -> None:
    text = (DEMO / "house.yaml").read_text()
    head = text[: text.index("\nwires:")] + "\nwires:\n"
    wire = "  - {{from: j{}, to: j{}, wire: 14 AWG, length: 1}}\n"
    many = head + "".join(wire.format(k, k + 1) for k in range(4001))
    (problem,) = refused(load_house, tmp_path / "many.house.yaml", many)
    assert "a list of 4001, where at most 4000 belong" in str(problem)


def test_among_thousands_of_names_none_is_guessed() -> None:
    # Or a file of thousands of wrong names would compare each of them with all the others.
    names = [f"eave-{k}" for k in range(MANY)]
    assert did_you_mean("eave_7", iter(names)) == "did you mean 'eave-7'?"
    assert did_you_mean("eave_7", iter([*names, "x"])).startswith("there are: eave-0, eave-1, ")


def test_a_mapping_without_end(tmp_path: Path) -> None:
    # It took twenty seconds of a processor: each wrong key was compared with all that are known.
    text = HEAD + "".join(f"k{k}: {k}\n" for k in range(MAX_KEYS + 1))
    (problem,) = refused(load_scheme, tmp_path / "a.scheme.yaml", text)
    assert "a mapping of more than 20,000 keys" in problem.what
    assert problem.line == MAX_KEYS + 1  # two keys stand in the lines of HEAD


def test_names_are_guessed_of_so_many_keys_only(tmp_path: Path, monkeypatch) -> None:
    guessed = []
    monkeypatch.setattr(checking, "did_you_mean", lambda word, _: guessed.append(word) or "")
    text = HEAD + "".join(f"layer{k}: {k}\n" for k in range(5 * MANY))
    problems = refused(load_scheme, tmp_path / "a.scheme.yaml", text)
    assert len(problems) >= 5 * MANY
    assert len(guessed) == MANY
