"""Rules of this repository that a machine can keep."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
MAX_LINES = 350
PACKAGES = ("layouts", "effects", "sim")
CODE = sorted(file for top in (*PACKAGES, "tests") for file in (ROOT / top).rglob("*.py"))


def shown(file: Path) -> str:
    return str(file.relative_to(ROOT))


@pytest.mark.parametrize("file", CODE, ids=shown)
def test_no_file_is_long(file: Path) -> None:
    lines = len(file.read_text(encoding="utf-8").splitlines())
    assert lines <= MAX_LINES, f"{shown(file)} has {lines} lines; split it by ideas"


@pytest.mark.parametrize(
    "file", [file for file in CODE if file.stat().st_size and "tests" not in file.parts], ids=shown
)
def test_every_module_says_what_it_is(file: Path) -> None:
    first = file.read_text(encoding="utf-8").lstrip()
    assert first.startswith('"""'), f"{shown(file)} has no docstring"


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


def top_level_imports(file: Path) -> set[str]:
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

    walk(ast.parse(file.read_text(encoding="utf-8")).body)
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
    files = {module(file): file for file in CODE if "tests" not in file.parts}
    imports = {name: top_level_imports(file) & files.keys() for name, file in files.items()}
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
    ours = {name for name in top_level_imports(file) if name.split(".")[0] in PACKAGES}
    below = ("layouts.files", "layouts.errors")
    above = {name for name in ours if not name.startswith(below)}
    assert above == set()


def test_no_two_classes_share_a_name() -> None:
    """Whoever searches for a class by its name finds that class and no other."""
    where: dict[str, list[str]] = {}
    for file in CODE:
        if "tests" not in file.parts:
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.ClassDef):
                    where.setdefault(node.name, []).append(f"{shown(file)}:{node.lineno}")
    assert len(where) > 200
    assert {name: places for name, places in where.items() if len(places) > 1} == {}


def test_names_of_files_stand_in_one_place() -> None:
    """Endings and names looked for beside a house are those of `layouts.file_names`."""
    names = {"parts.yaml", "prices.yaml", ".scheme.yaml", "*.scheme.yaml"}
    found = [
        f"{shown(file)}:{node.lineno}"
        for file in CODE
        if "tests" not in file.parts and file.name != "file_names.py"
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in names
    ]
    assert found == []
