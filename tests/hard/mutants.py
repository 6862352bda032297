"""Files changed at random: texts by values, lines, letters and structure, others by their bytes."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from typing import Any

import yaml

# fmt: off
VALUES = [
    "0", "-1", "1e400", "1e-300", "0x10", "nan", ".inf", "999999999999", "-5m", "100km", "null",
    "true", "~", "''", "'x'", "é", '"\\ud800"', "[]", "[1,2]", "[[1,2],[3]]", "{}", "{a: 1}", "*b",
    "2026-01-01", "-0.0", "1e16", "1_000", "12:30", "= 1/0", "= width / 2", "= 9^9^9", "'= (('",
    "!!python/object:os.system x", "<<", "&a [*a]", "'\\e[2J'", '"\\e]0;x\\a"', "'12 ft 6 in'",
    "'1e308 km'", "'9' ", "٣", "50 %", "'  '", "?", "|", "5000", "60000", "0.001", "all", "wall",
]
# fmt: on
SIGNS = "{}[]:,-#&*!|>'\"%@` \t\0"
_PLACES = re.compile(r"(?<=: )[^,{}\[\]]+|(?<=[\[ ])-?[\d.]+")


def mangled(text: str, chance: random.Random) -> str:
    """The text with one to three values, lines or letters changed."""
    lines = text.splitlines()
    for _ in range(chance.randint(1, 3)):
        index = chance.randrange(len(lines))
        line = lines[index]
        places = list(_PLACES.finditer(line))
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


def nudged(text: str, chance: random.Random) -> str:
    """The text with one to three of its numbers made a little or much larger or smaller."""
    numbers = list(re.finditer(r"(?<![\w.#-])-?\d+(?:\.\d+)?(?![\w.:])", text))
    for place in sorted(
        chance.sample(numbers, min(chance.randint(1, 3), len(numbers))),
        key=lambda each: -each.start(),
    ):
        value = float(place[0]) * chance.choice(
            (0, -1, 0.01, 0.5, 0.9, 1.1, 1.5, 2, 3, 10, 1e-300, 1e300)
        )
        text = text[: place.start()] + f"{value:.6g}" + text[place.end() :]
    return text


def rearranged(text: str, chance: random.Random) -> str:
    """The text with lines moved, doubled, left out, indented, or put in from elsewhere in it."""
    lines = text.splitlines()
    for _ in range(chance.randint(1, 3)):
        at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        end = min(at + chance.randint(1, 6), len(lines))
        kind = chance.randrange(5)
        if kind == 0:
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 1:
            lines[at:at] = lines[at:end]
        elif kind == 2 and len(lines) > end - at:
            del lines[at:end]
        elif kind == 3:
            lines[at] = " " * chance.randint(1, 4) + lines[at]
        else:
            lines[other:other] = lines[at:end]
    return "\n".join(lines) + "\n"


def scratched(data: bytes, chance: random.Random, head: int = 80) -> bytes:
    """One to six bytes changed, most of them in the head; now and then a piece left out."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        end = min(len(made), head) if chance.random() < 0.7 else len(made)
        made[chance.randrange(end)] = chance.randrange(256)
    if chance.random() < 0.2:
        at = chance.randrange(len(made))
        del made[at : at + chance.randint(1, 40)]
    return bytes(made)


def mutant(text: str, chance: random.Random) -> bytes:
    """A file of text changed in one of these ways, or cut."""
    kind = chance.random()
    if kind < 0.45:
        return mangled(text, chance).encode("utf-8", "surrogatepass")
    if kind < 0.65:
        return nudged(text, chance).encode()
    if kind < 0.85:
        return rearranged(text, chance).encode()
    if kind < 0.95:
        return scratched(text.encode(), chance, head=10**9)
    whole = text.encode()
    return whole[: chance.randrange(len(whole))]


def thinner(text: str, chance: random.Random) -> bytes:
    """A file of YAML without one to three of its parts, of whatever depth, or with them empty."""
    top = yaml.safe_load(text)
    for _ in range(chance.randint(1, 3)):
        places = list(_places(top))
        if not places:
            break
        # what stands near the top holds most, and is as likely to go as all that is in it
        deep = chance.choice(sorted({depth for depth, _, _ in places}))
        _, holder, key = chance.choice([each for each in places if each[0] == deep])
        part = holder[key]
        if chance.random() < 0.7:
            del holder[key]
        else:
            holder[key] = type(part)() if isinstance(part, dict | list | str) else None
    return yaml.safe_dump(top, sort_keys=False, allow_unicode=True).encode()


def _places(part: Any, depth: int = 0) -> Iterator[tuple[int, Any, Any]]:
    """Depth, mapping or list, and key or index of everything in `part`."""
    if isinstance(part, dict | list):
        for key in list(part) if isinstance(part, dict) else range(len(part)):
            if depth or key != "format":
                yield depth, part, key
            yield from _places(part[key], depth + 1)


def bombs(head: str) -> dict[str, str]:
    """Files that a reader could choke on: `head` is what makes them files of a format."""
    wide = "".join(f"a{k}: &a{k} [{', '.join([f'*a{k - 1}'] * 9)}]\n" for k in range(1, 12))
    lines = "".join(f"k{k}: {k}\n" for k in range(200_000))
    return {
        "aliases of aliases": f"{head}a0: &a0 [x, x, x]\n{wide}",
        "an alias of itself": f"{head}a: &a [*a]\n",
        "merged for ever": f"{head}a: &a {{<<: *a}}\n",
        "lists in lists": f"{head}a: {'[' * 20_000}\n",
        "closed lists in lists": f"{head}a: {'[' * 5_000}{']' * 5_000}\n",
        "mappings in mappings": head + "".join(f"{' ' * k}a:\n" for k in range(1_500)),
        "braces in braces": f"{head}a: {'{a: ' * 20_000}\n",
        "questions": f"{head}{'? ' * 20_000}\n",
        "dashes": f"{head}a:\n  {'- ' * 20_000}x\n",
        "a number of 200,000 digits": f"{head}a: {'9' * 200_000}\n",
        "a word of 4 MB": f"{head}a: {'x' * 4_000_000}\n",
        "200,000 keys": head + lines,
        "one key 200,000 times": head + "a: 1\n" * 200_000,
        "a list of a million": f"{head}a: [{'0,' * 1_000_000}0]\n",
        "many anchors": head + "".join(f"b{k}: &b{k} 1\n" for k in range(50_000)),
        "a name of 100,000 letters": f"{head}{'n' * 100_000}: 1\n",
        "more than 5 MB": head + "# " + "x" * 5_000_001 + "\n",
    }


def sums() -> dict[str, str]:
    """Measures that nobody could reckon, as what stands in the braces of `measures`."""
    squares = "".join(f", a{k}: '= a{k - 1} * a{k - 1}'" for k in range(1, 60))
    thirds = "".join(f", b{k}: '= b{k - 1} / 7 + 1 / b{k - 1}'" for k in range(1, 60))
    row = "".join(f", c{k}: '= c{k - 1} + 1'" for k in range(1, 5_000))
    one = {
        "10,000 brackets": f"= {'(' * 10_000}1",
        "490 closed brackets": f"= {'(' * 490}1{')' * 490}",
        "901 minus": f"= {'-' * 901}1",
        "a product beyond all numbers": f"= {'*'.join(['9' * 18] * 50)}",
        "a fraction of primes": f"= {'+'.join(f'1/{10**17 + k}' for k in range(1, 45))}",
    }
    return {
        **{what: f"n: '{text}'" for what, text in one.items()},
        "squares of squares": f"n: 3, a0: 999999999999999999{squares}",
        "fractions of fractions": f"n: 3, b0: 0.123456789{thirds}",
        "a row of 5,000": f"n: 3, c0: 1{row}",
        "each of the other": "n: '= m', m: '= n'",
    }
