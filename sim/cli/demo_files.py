"""Where the demo houses lie: inside an installed wheel, or beside the packages in a checkout."""

from __future__ import annotations

from pathlib import Path


def demo_folder() -> Path:
    """The folder with one folder a demo house; raises EvenfallError where none was installed."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_demo", package.parent / "demo"):
        if any(folder.glob("*/house.yaml")):
            return folder
    from layouts.errors import EvenfallError

    raise EvenfallError("the demo houses are missing from this installation; install evenfall anew")


def demo_houses() -> tuple[Path, ...]:
    """The house file of every demo house, by name."""
    return tuple(sorted(demo_folder().glob("*/house.yaml")))


def schemes_of(house: Path) -> tuple[Path, ...]:
    """The scheme files beside a house file, by name."""
    from layouts.file_names import SCHEMES

    return tuple(sorted(house.parent.glob(SCHEMES)))
