"""The README holds: its files load, its commands and pictures exist, CI runs its test line."""

import re
import shlex
from pathlib import Path

import pytest

from effects import load_scheme
from layouts import load_house
from sim.report.cautions import WIRING

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
COMMANDS = [
    line.removeprefix("$ ")
    for language, block in BLOCKS
    for line in re.sub(r"\\\n\s*", " ", block).splitlines()
    if not language and line.removeprefix("$ ").startswith("evenfall ")
]


def test_the_files_it_shows_load(tmp_path):
    house_text, scheme_text = (block for language, block in BLOCKS if language == "yaml")
    (tmp_path / "house.yaml").write_text(house_text, encoding="utf-8")
    (tmp_path / "a.scheme.yaml").write_text(scheme_text, encoding="utf-8")
    house = load_house(tmp_path / "house.yaml")
    assert load_scheme(tmp_path / "a.scheme.yaml", house).name == "Candles in the gable"


@pytest.mark.parametrize("line", COMMANDS)
def test_its_commands_name_verbs_files_and_flags_there_are(run, line):
    verb, *arguments = shlex.split(line)[1:]
    shown = run(verb, "--help")
    assert shown.exit_code == 0
    for argument in arguments:
        if argument.startswith("--"):
            assert argument in shown.stdout
        elif argument.endswith(".yaml"):
            assert (ROOT / argument).is_file()


def test_what_else_to_install_is_told_in_one_form():
    """That of the installation: from the folder, by the pip of its environment."""
    texts = [README, *(file.read_text(encoding="utf-8") for file in (ROOT / "sim").rglob("*.py"))]
    told = {
        each for text in texts for each in re.findall(r"\S*pip install (?!-)'?\S+\[\w+\]'?", text)
    }
    extras = ("cluster", "pdf", "video")
    assert {each.strip('(`"') for each in told} == {
        f".venv/bin/pip install '.[{extra}]'" for extra in extras
    }


def test_its_pictures_are_there():
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert len(pictures) >= 3
    for picture in pictures:
        assert (ROOT / picture).stat().st_size < 600_000


def test_its_cautions_are_those_of_the_reports():
    for caution in WIRING:
        assert caution in README


def test_ci_runs_the_line_it_gives_for_the_tests():
    line = next(block for _, block in BLOCKS if "'.[test]'" in block).strip()
    assert line in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
