"""Files mangled at random: an answer or a refusal that names its place, never a traceback."""

import random
import re

import pytest

# fmt: off
VALUES = [
    "0", "-1", "1e400", "1e-300", "0x10", "nan", ".inf", "999999999999", "-5m", "100km", "null",
    "true", "~", "''", "'x'", "é", '"\\ud800"', "[]", "[1,2]", "[[1,2],[3]]", "{}", "{a: 1}", "*b",
    "2026-01-01",
]
# fmt: on
SIGNS = "{}[]:,-#&*!|>'\"%@` \t\0"


def mangled(text, chance):
    """The text with one to three values, lines or letters changed."""
    lines = text.splitlines()
    for _ in range(chance.randint(1, 3)):
        index = chance.randrange(len(lines))
        line = lines[index]
        places = list(re.finditer(r"(?<=: )[^,{}\[\]]+|(?<=[\[ ])-?[\d.]+", line))
        kind = chance.random()
        if kind < 0.6 and places:
            place = chance.choice(places)
            line = line[: place.start()] + chance.choice(VALUES) + line[place.end() :]
        elif kind < 0.8:
            line = chance.choice(["", line + line])
        elif line:
            at = chance.randrange(len(line))
            line = line[:at] + chance.choice(SIGNS) + line[at + 1 :]
        lines[index] = line
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("which", ["house", "scheme"])
def test_never_a_traceback(run, house, scheme, which):
    path = house if which == "house" else scheme
    text = path.read_text(encoding="utf-8")
    chance = random.Random(2026)
    ended = set()
    for _ in range(60):
        path.write_text(mangled(text, chance), encoding="utf-8")
        result = run("power", house, scheme, "--seconds", "0.1s", "--json")
        ended.add(result.exit_code)
        assert isinstance(result.exception, SystemExit | None), path.read_text(encoding="utf-8")
        if result.exit_code == 2:
            for line in result.stderr.splitlines():
                assert re.match(r".+\.yaml:\d+:\d+: .", line), line
    assert {0, 2} <= ended
