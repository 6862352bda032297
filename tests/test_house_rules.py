"""Rules of this repository that a machine can keep."""

from __future__ import annotations

import ast
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MAX_LINES = 350
FILE_NAMES = {"parts.yaml", "prices.yaml", ".scheme.yaml", "*.scheme.yaml"}
PACKAGES = ("layouts", "effects", "sim")
CODE = sorted(file for top in (*PACKAGES, "tests") for file in (ROOT / top).rglob("*.py"))


def shown(file: Path) -> str:
    return str(file.relative_to(ROOT))


OURS = [file for file in CODE if "tests" not in file.parts]


@cache
def text_of(file: Path) -> str:
    return file.read_text(encoding="utf-8")


@dataclass(frozen=True)
class Contents:
    """What the rules ask of a module, from reading it once: trees of all would fill the memory."""

    imports: frozenset[str]  # while it is itself imported
    classes: tuple[tuple[str, int], ...]  # (name, line)
    words: tuple[tuple[str, int], ...]  # texts that stand in it, (text, line)


@cache
def contents(file: Path) -> Contents:
    tree = ast.parse(text_of(file))
    classes, words = [], []
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            classes.append((node.name, node.lineno))
        elif isinstance(node, ast.Constant) and node.value in FILE_NAMES:
            words.append((node.value, node.lineno))
    return Contents(frozenset(top_level_imports(file, tree)), tuple(classes), tuple(words))


def test_no_file_is_long() -> None:
    lines = {shown(file): len(text_of(file).splitlines()) for file in CODE}
    assert {file: many for file, many in lines.items() if many > MAX_LINES} == {}, "split by ideas"


def test_every_module_says_what_it_is() -> None:
    dumb = [
        shown(file)
        for file in OURS
        if text_of(file) and not text_of(file).lstrip().startswith('"""')
    ]
    assert dumb == []


def test_tests_are_no_packages() -> None:
    """Mirrored test folders are collected by path; an __init__.py among them breaks that."""
    assert [shown(file) for file in (ROOT / "tests").rglob("__init__.py")] == []


@pytest.mark.parametrize("file", [file for file in CODE if file.name == "__init__.py"], ids=shown)
def test_init_files_only_name_the_public_names(file: Path) -> None:
    allowed = (ast.Import, ast.ImportFrom, ast.Assign, ast.Expr)
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        assert isinstance(node, allowed), f"{shown(file)}:{node.lineno}"
        if isinstance(node, ast.Assign):
            assert [ast.unparse(target) for target in node.targets] == ["__all__"]


def top_level_imports(file: Path, tree: ast.Module) -> set[str]:
    """What a module imports while it is itself imported: not in functions, not for types only."""
    package = [*file.relative_to(ROOT).with_suffix("").parts]
    name = package[:-1] if file.name == "__init__.py" else package
    found: set[str] = set()

    def walk(nodes: list[ast.stmt]) -> None:
        for node in nodes:
            if isinstance(node, ast.Import):
                found.update(alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                depth = node.level - 1 if file.name == "__init__.py" else node.level
                start = name[: len(name) - depth] if node.level else []
                base = ".".join([*start, *([node.module] if node.module else [])])
                found.update({base} | {f"{base}.{alias.name}" for alias in node.names})
            elif isinstance(node, ast.If) and "TYPE_CHECKING" not in ast.unparse(node.test):
                walk([*node.body, *node.orelse])
            elif isinstance(node, ast.Try):
                walk([*node.body, *node.orelse, *node.finalbody])

    walk(tree.body)
    return found


def module(file: Path) -> str:
    return ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def circles(imports: dict[str, set[str]]) -> list[list[str]]:
    """The groups of modules that import each other, by Kosaraju's two passes."""
    order: list[str] = []
    seen: set[str] = set()

    def visit(name: str, links: dict[str, set[str]], into: list[str]) -> None:
        seen.add(name)
        for other in sorted(links[name]):
            if other not in seen:
                visit(other, links, into)
        into.append(name)

    for name in sorted(imports):
        if name not in seen:
            visit(name, imports, order)
    back: dict[str, set[str]] = {name: set() for name in imports}
    for name, others in imports.items():
        for other in others:
            back[other].add(name)
    seen.clear()
    groups = []
    for name in reversed(order):
        if name not in seen:
            group: list[str] = []
            visit(name, back, group)
            groups.append(sorted(group))
    return [group for group in groups if len(group) > 1 or group[0] in imports[group[0]]]


def test_no_modules_import_each_other() -> None:
    files = {module(file): file for file in OURS}
    imports = {name: contents(file).imports & files.keys() for name, file in files.items()}
    # A module needs its package too, but a package that names it is no circle of its own making.
    inner = {
        name: {other for other in others if not files[other].name.startswith("__init__")}
        for name, others in imports.items()
    }
    assert circles(inner) == []


def test_a_circle_is_found() -> None:
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}}) == [["a", "b", "c"]]
    assert circles({"a": {"b"}, "b": set()}) == []


@pytest.mark.parametrize(
    "file", [file for file in CODE if file.parent == ROOT / "layouts" / "files"], ids=shown
)
def test_the_reader_of_files_stands_below_houses(file: Path) -> None:
    ours = {name for name in contents(file).imports if name.split(".")[0] in PACKAGES}
    below = ("layouts.files", "layouts.errors")
    above = {name for name in ours if not name.startswith(below)}
    assert above == set()


def test_no_two_classes_share_a_name() -> None:
    """Whoever searches for a class by its name finds that class and no other."""
    where: dict[str, list[str]] = {}
    for file in OURS:
        for name, line in contents(file).classes:
            where.setdefault(name, []).append(f"{shown(file)}:{line}")
    assert len(where) > 200
    assert {name: places for name, places in where.items() if len(places) > 1} == {}


def test_names_of_files_stand_in_one_place() -> None:
    """Endings and names looked for beside a house are those of `layouts.file_names`."""
    found = [
        f"{shown(file)}:{line} {word}"
        for file in OURS
        if file.name != "file_names.py"
        for word, line in contents(file).words
    ]
    assert found == []
