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

_NAME = re.compile(r"\w[\w \-]*")


def checked_name(text: str) -> str:
    """`text`, where it may name something. Raises ValueError where it may not."""
    if not _NAME.fullmatch(text):
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


def did_you_mean(word: str, names: Iterable[str], *, limit: int = 12) -> str:
    """What to do about an unknown `word`: the nearest name, or the names there are."""
    some = list(dict.fromkeys(islice(names, 2 * MANY)))
    near = nearest(word, some)
    if near is not None:
        return f"did you mean '{near}'?"
    if not some:
        return "there are none in this file"
    more = ", …" if len(some) > limit else ""
    return f"there are: {', '.join(some[:limit])}{more}"
