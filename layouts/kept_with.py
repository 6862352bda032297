"""What is found once for a record and kept as long as the record lives, and no longer.

`functools.lru_cache` would hold the last houses it was asked about, with their drawings, for as
long as the program runs.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar
from weakref import WeakKeyDictionary

Of = TypeVar("Of")
Rest = ParamSpec("Rest")
Found = TypeVar("Found")


def kept_with_first(
    function: Callable[Concatenate[Of, Rest], Found],
) -> Callable[Concatenate[Of, Rest], Found]:
    """`function`, asked once for each record and rest of its arguments, all of them by place.

    The record is the first argument and is compared by identity; what is found must not refer to
    it, or both would stay.
    """
    kept: WeakKeyDictionary[Of, dict[tuple[object, ...], Found]] = WeakKeyDictionary()

    @wraps(function)
    def found(of: Of, /, *rest: Rest.args, **named: Rest.kwargs) -> Found:
        if named:
            raise TypeError("what is kept is asked for by place")
        own = kept.get(of)
        if own is None:
            own = kept[of] = {}
        if rest not in own:
            own[rest] = function(of, *rest, **named)
        return own[rest]

    return found
