"""An unwritten drawing on the disk, so that it outlives the window however it ends.

Kept are its text and the digest of the file it is based on. What an earlier window left, and any
other window on the same house, is never written over: each keeps a file of its own.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from layouts.files.write import digest
from layouts.files.writeback import digest_of
from sim.app.state.drawing_words import unwritten
from sim.app.state.record import State
from sim.app.state.unsaved import UnsavedDrawing
from sim.app.work.kept import REST_S, put, sweep
from sim.app.work.places import drawing_path

#: So many drawings of one house can be kept side by side.
MOST = 20
_FORMAT = "evenfall-drawing/1"
_READER = TypeAdapter(UnsavedDrawing)


class DrawingKeeper:
    """Follows the state and keeps the drawing while it is not written."""

    def __init__(self) -> None:
        self._path: Path | None = None  # what this window keeps
        self._offered: tuple[Path, str] | None = None  # left by an earlier one, not answered yet
        self._had: set[Path] = set()  # what was offered already
        self._more = False  # whether to look for another
        self._seen: object = None
        self._held: tuple[object, str] = (None, "")  # the drawing as on the disk, and the file
        self._rest_s = 0.0

    def follow(self, state: State, seconds: float) -> None:
        """Keep what has come to rest, let go what is written. Raises nothing: the last resort."""
        draft = state.draft
        now = (draft, state.filed)
        if draft is not self._seen:
            self._seen, self._rest_s = draft, 0.0
        self._answered(state)
        if now == self._held:
            return
        self._rest_s += seconds
        if self._rest_s < REST_S or (state.drag is not None and seconds < 60.0):
            return
        with suppress(OSError, ValueError):
            if draft is not None and unwritten(state):
                self._path = self._path or _free(draft.file)
                base = state.filed_digest or draft.digest
                put(self._path, as_json(UnsavedDrawing(draft.file, base, draft.text)))
            elif self._path is not None:
                self._path.unlink(missing_ok=True)
                self._path = None
            self._held = now

    def found(self, house_file: str) -> UnsavedDrawing | None:
        """The newest that earlier windows left of a house and that was not offered yet.

        None where there is nothing one can use. What the file has by now is let go.
        """
        sweep(drawing_path(house_file).parent)
        for path in _newest_first(house_file):
            if path == self._path or path in self._had:
                continue
            with suppress(OSError, ValueError):
                left = from_json(path.read_text(encoding="utf-8"))
                if left is None:
                    continue
                now = digest_of(house_file)
                if now == digest(left.text.encode()):
                    path.unlink(missing_ok=True)
                    continue
                self._offered = (path, left.text)
                self._had.add(path)
                return replace(left, newer=now != left.digest)
        return None

    def next(self, house_file: str) -> UnsavedDrawing | None:
        """What else was left, once the last that was offered is answered."""
        more, self._more = self._more, False
        return self.found(house_file) if more else None

    def _answered(self, state: State) -> None:
        """Taken up, the file is this window's own; forgotten, it goes.

        What this window had drawn before it took another up stays where it is kept.
        """
        if self._offered is None or state.left_drawing is not None:
            return
        (offered, text), self._offered, self._more = self._offered, None, True
        if state.draft is not None and state.draft.text == text:
            if self._path is not None:
                self._had.add(self._path)
            self._path = offered
            return
        with suppress(OSError):
            offered.unlink(missing_ok=True)


def _newest_first(house_file: str) -> list[Path]:
    """The files of all drawings that are kept of a house."""
    found: list[tuple[int, int, Path]] = []
    for number in range(1, MOST + 1):
        path = drawing_path(house_file, number)
        with suppress(OSError, ValueError):
            found.append((path.stat().st_mtime_ns, number, path))
    return [path for _, _, path in sorted(found, reverse=True)]


def _free(house_file: str) -> Path:
    """A file that no other window has; the last one where all are taken."""
    paths = [drawing_path(house_file, number) for number in range(1, MOST + 1)]
    return next((path for path in paths if not path.exists()), paths[-1])


def as_json(left: UnsavedDrawing) -> str:
    """A drawing as text that `from_json` reads back the same."""
    return json.dumps({"format": _FORMAT, **asdict(left)}, indent=1)


def from_json(text: str) -> UnsavedDrawing | None:
    """What `as_json` wrote; None for anything else, whatever it is."""
    try:
        data: Any = json.loads(text)
        if not isinstance(data, dict) or data.pop("format", None) != _FORMAT:
            return None
        return _READER.validate_python(data)
    except (ValueError, ValidationError, RecursionError):
        return None
