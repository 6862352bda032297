"""New files in a new folder: all of them, and never over one that is there."""

from __future__ import annotations

from pathlib import Path

from layouts.errors import EvenfallError

#: For a house that has no scheme yet.
PLAIN_SCHEME = """\
# A plain warm evening. `evenfall list effects` and `evenfall list palettes` name what there is.
format: evenfall-scheme/1
name: Warm evening
brightness: 0.5
layers:
  - {zones: all, effect: steady, palette: ["2700 K"]}
"""

#: What is to be written, by the name it gets in the folder.
Files = list[tuple[str, bytes]]


def write_new(folder: Path, files: Files) -> list[Path]:
    """Puts every file into the folder, or none: never over one that is there."""
    from layouts.files.write import write_atomically

    if folder.exists() and not folder.is_dir():
        raise EvenfallError(f"{folder} is a file, not a folder; name another")
    paths = [folder / name for name, _ in files]
    for path in paths:
        if path.exists() or path.is_symlink():
            raise EvenfallError(f"{path} is already there; name another folder, or move it away")
    for path, (_, data) in zip(paths, files, strict=True):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_atomically(path, data)
        except OSError as error:
            raise EvenfallError(f"{path}: cannot be written: {error.strerror or error}") from None
    return paths
