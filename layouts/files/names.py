"""What may be a name, and which name somebody probably meant."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

#: The name of the zone of every pixel, which nothing else may have.
ALL = "all"

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
    """The one of `names` most like `word`, or None where none is like it."""
    by_fold = {name.casefold(): name for name in names}
    found = difflib.get_close_matches(word.casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[found[0]] if found else None


def did_you_mean(word: str, names: Iterable[str], *, limit: int = 12) -> str:
    """What to do about an unknown `word`: the nearest name, or the names there are."""
    names = list(dict.fromkeys(names))
    near = nearest(word, names)
    if near is not None:
        return f"did you mean '{near}'?"
    if not names:
        return "there are none in this file"
    more = ", …" if len(names) > limit else ""
    return f"there are: {', '.join(names[:limit])}{more}"
