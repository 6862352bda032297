"""Houses made of text, one change at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from layouts import House, InputError, load_house


@pytest.fixture
def house(tmp_path: Path) -> Callable[[str], House]:
    """Loads a house from the text of its file."""

    def load(text: str) -> House:
        file = tmp_path / "house.yaml"
        file.write_text(text, encoding="utf-8")
        return load_house(file)

    return load


@pytest.fixture
def refused(house: Callable[[str], House], tmp_path: Path) -> Callable[[str], list[str]]:
    """The problems of a house file, as `line:column: what; do`.

    Where the text has a mark ¶, the place behind it is written `¶` in the problems.
    """

    def problems(text: str) -> list[str]:
        before, mark, after = text.partition("¶")
        place = f"{before.count(chr(10)) + 1}:{len(before.rpartition(chr(10))[2]) + 1}:"
        with pytest.raises(InputError) as caught:
            house(before + after)
        prefix = f"{tmp_path / 'house.yaml'}:"
        found = [line.removeprefix(prefix) for line in str(caught.value).splitlines()]
        if mark:
            found = [f"¶{x.removeprefix(place)}" if x.startswith(place) else x for x in found]
        return found

    return problems
