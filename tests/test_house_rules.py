"""Rules of this repository that a machine can keep."""

from __future__ import annotations

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
    import ast

    allowed = (ast.Import, ast.ImportFrom, ast.Assign, ast.Expr)
    for node in ast.parse(file.read_text(encoding="utf-8")).body:
        assert isinstance(node, allowed), f"{shown(file)}:{node.lineno}"
        if isinstance(node, ast.Assign):
            assert [ast.unparse(target) for target in node.targets] == ["__all__"]
