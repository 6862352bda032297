"""What may be a name, and which name somebody probably meant."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import lru_cache
from itertools import islice

#: The name of the zone of every pixel, which nothing else may have.
ALL = "all"

#: Names among which the one that was meant is looked for.
MANY = 1000

#: So many names that begin with what was typed are told, and so many letters make a beginning.
FEW, SHORTEST = 3, 3

_NAME = re.compile(r"\w[\w \-]*")


def may_name(text: str) -> bool:
    """Whether `text` may name something."""
    return _NAME.fullmatch(text) is not None


def checked_name(text: str) -> str:
    """`text`, where it may name something. Raises ValueError where it may not."""
    if not may_name(text):
        raise ValueError(f"'{text}' is not a name; use letters, digits, spaces, - and _")
    return text


def in_one_line(text: str) -> str:
    """`text`, where it has one line. Raises ValueError where it has more."""
    if "\n" in text.strip("\n"):
        raise ValueError("a text of several lines; write it in one line")
    return text.strip("\n")


def nearest(word: str, names: Iterable[str]) -> str | None:
    """The one of `names` most like `word`, or None where none is like it.

    Among more than MANY nothing is looked for: every wrong one of thousands of names would be
    compared with all the others, and one of them is like anything.
    """
    some = tuple(islice(names, MANY + 1))
    return None if len(some) > MANY else _nearest(word, some)


@lru_cache(maxsize=256)
def _nearest(word: str, names: tuple[str, ...]) -> str | None:
    by_fold = {name.casefold(): name for name in names}
    found = difflib.get_close_matches(word.casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[found[0]] if found else None


def _begun(word: str, names: list[str]) -> list[str]:
    """The names of which `word` is the beginning, as somebody types who knows no more of them."""
    begin = word.casefold()
    if len(begin) < SHORTEST or len(names) > MANY:
        return []
    return [name for name in names if name.casefold().startswith(begin)]


def _either(names: list[str]) -> str:
    """'a', 'b' or 'c'; of more the first FEW."""
    told = [f"'{name}'" for name in names[:FEW]]
    if len(names) > FEW:
        return ", ".join((*told, "…"))
    *others, last = told
    return f"{', '.join(others)} or {last}" if others else last


def did_you_mean(word: str, names: Iterable[str], *, limit: int = 12) -> str:
    """What to do about an unknown `word`: names that begin so, the nearest, or all there are."""
    some = list(dict.fromkeys(islice(names, 2 * MANY)))
    near = _begun(word, some) or [each for each in (nearest(word, some),) if each is not None]
    if near:
        return f"did you mean {_either(near)}?"
    if not some:
        return "there are none in this file"
    more = ", …" if len(some) > limit else ""
    return f"there are: {', '.join(some[:limit])}{more}"
