"""What the labels of a shape say: a name that somebody gave, of the house or of the sky."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

#: What may fill the page and is drawn by itself; whatever else has a name is of the house.
_SKY = re.compile(r"(?:.*-)?(?:sky|background|backdrop|bg)\d*(?:-.*)?")
_AUTOMATIC = re.compile(
    r"(?:path|rect|circle|ellipse|line|polyline|polygon|g|use|shape|layer|group|svg)[-_]?\d*"
)


def plain_of(label: str) -> str:
    """A label as a name: what may not stand in one becomes a hyphen."""
    return re.sub(r"[\W_]+", "-", label.lower()).strip("-")


def names_in(labels: Iterable[str]) -> Iterator[str]:
    """The labels that somebody gave and no program, as names."""
    for label in labels:
        if (plain := plain_of(label)) and not _AUTOMATIC.fullmatch(plain):
            yield plain


def of_house(labels: Iterable[str]) -> bool:
    """Whether there is a name among the labels, and the first is not one of the sky."""
    name = next(names_in(labels), "")
    return bool(name) and _SKY.fullmatch(name) is None
