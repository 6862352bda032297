"""What files hold commands no terminal and forges no line of ours."""

import time

import pytest

from layouts.errors import MOST_TOLD, InputError, Problem, harmless
from layouts.files.document import parse

#: ECMA-48 (fifth edition) escape and C1 controls; Unicode 15 line separators; the characters that
#: turn writing (Unicode UAX #9, explicit directional formatting).
COMMANDS = {
    r"\e": "ESC",
    r"\x07": "U+0007",
    r"\x9b": "U+009B",
    r"\x7f": "U+007F",
    r"\L": "U+2028",
    r"\u202e": "U+202E",
    r"\u2066": "U+2066",
}


@pytest.mark.parametrize("escape", COMMANDS)
def test_an_escape_in_a_text_is_told_with_its_place(escape):
    document = parse(f'a: 1\nname: "x{escape}y"\n', "house.yaml")
    (problem,) = document.problems
    assert (problem.line, problem.column) == (2, 7)
    assert problem.what == f"a text with the character {COMMANDS[escape]}"
    assert document.data["name"] == "xy"


@pytest.mark.parametrize(
    "text", ['"a\\tb"', "|\n  one\n  two", '"\\U0001F469\\u200d\\U0001F467"', "Żółty été"]
)
def test_letters_tabs_and_texts_in_lines_stay(text):
    assert parse(f"note: {text}\n", "a.yaml").problems == ()


FORGED = "house.yaml:1:1: all is well"


@pytest.mark.parametrize("name", [f'"a\\n{FORGED}"', f"|\n  a\n  {FORGED}", '"a\\e]52;c;eA==\\a"'])
def test_a_name_forges_no_second_line(run, house, name):
    text = house.read_text(encoding="utf-8").replace("name: Test house", f"name: {name}")
    house.write_text(text, encoding="utf-8")
    result = run("check", house)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert not any(line.startswith(FORGED) for line in result.stderr.splitlines())
    assert all(one.isprintable() or one == "\n" for one in result.stderr)


def test_what_cannot_be_printed_stands_as_its_escape():
    assert harmless("a\x1b[2J\x9b\nb\u202e") == r"a\x1b[2J\x9b b\u202e"
    assert str(Problem("a\nb", 1, 2, "\x07")) == r"a b:1:2: \x07"


def test_of_very_many_problems_the_first_are_told():
    problems = [Problem("a.yaml", line, 1, "wrong") for line in range(100_000, 0, -1)]
    began = time.process_time()
    error = InputError(problems)
    lines = str(error).splitlines()
    assert time.process_time() - began < 2
    assert len(error.problems) == 100_000
    assert len(lines) == MOST_TOLD + 1
    assert lines[0] == "a.yaml:1:1: wrong"
    assert lines[-1] == "a.yaml:41:1: 99,960 more problems; mend the first ones first"
