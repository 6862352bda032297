"""`evenfall new DIR --photo FILE`: a stand-in until the geometry of photographs is joined."""

from __future__ import annotations

from pathlib import Path

from layouts.errors import EvenfallError


def from_photo(
    folder: Path,
    photo: Path,
    points: list[str],
    eaves: list[str],
    lengths: list[str],
    viewer: str | None,
    units: str | None,
    name: str | None,
) -> list[Path]:
    """Refuses: this way of making a house is not in this version yet."""
    raise EvenfallError("--photo is not in this version; write the house with --form")
