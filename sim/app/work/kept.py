"""Unsaved values on the disk, so that they outlive the window however it ends."""

from __future__ import annotations

import json
import os
import time
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from sim.app.state.questions import unsaved
from sim.app.state.record import State
from sim.app.state.unsaved import Unsaved
from sim.app.work.places import recovery_path

#: Values at rest for this long are kept [s]; what was kept is thrown away unread after so long.
REST_S, OLD_S = 0.7, 180 * 24 * 3600.0


class Keeper:
    """Follows the state and keeps what is unsaved of it beside the window."""

    def __init__(self) -> None:
        self._seen: tuple[object, ...] = ()
        self._held: Unsaved | None = None  # as on the disk
        self._moving: Unsaved | None = None
        self._rest_s = 0.0

    @property
    def path(self) -> str:
        """Where unsaved values are kept now; "" where there are none."""
        return str(recovery_path(self._held.scheme_file)) if self._held else ""

    def follow(self, state: State, seconds: float) -> None:
        """Keep what has come to rest; what is no longer unsaved goes at once."""
        now = (state.facts, state.brightness, state.colour, state.white, state.edits, state.order,
               state.aside, state.recovered)  # fmt: skip
        if len(now) != len(self._seen) or any(a is not b for a, b in zip(now, self._seen,
                                                                         strict=True)):  # fmt: skip
            self._seen, self._rest_s = now, 0.0
            self._moving = unsaved(state)
            if self._held and not self._moving and _of(state) == self._held.scheme_file:
                self.keep_now()
        if self._moving == self._held:
            return
        self._rest_s += seconds
        if self._rest_s >= REST_S:
            self.keep_now()

    def keep_now(self) -> None:
        """Keep what is unsaved as it was last seen. Raises nothing: it is the last resort."""
        held, self._held = self._held, self._moving
        with suppress(OSError, ValueError):
            if self._moving is not None:
                put(recovery_path(self._moving.scheme_file), as_json(self._moving))
            elif held is not None:
                recovery_path(held.scheme_file).unlink(missing_ok=True)

    def leave(self) -> None:
        """Another scheme is on show now: what is kept of the one before stays on the disk."""
        if self._moving != self._held and self._moving is not None:
            self.keep_now()
        self._held = self._moving = None
        self._seen = ()

    def found(self, scheme_file: str) -> Unsaved | None:
        """What an earlier window left of a scheme; None where there is nothing one can use."""
        if not scheme_file:
            return None
        with suppress(OSError, ValueError):
            path = recovery_path(scheme_file)
            sweep(path.parent)
            left = from_json(path.read_text(encoding="utf-8"))
            if left is not None and left.scheme_file == scheme_file:
                return left
        return None


def _of(state: State) -> str:
    return state.facts.scheme_file if state.facts else ""


def as_json(left: Unsaved) -> str:
    """Unsaved values as text that `from_json` reads back the same."""
    return json.dumps({"format": "evenfall-unsaved/1", **asdict(left)}, indent=1)


def from_json(text: str) -> Unsaved | None:
    """What `as_json` wrote; None for anything else, whatever it is."""
    try:
        data: Any = json.loads(text)
        if not isinstance(data, dict) or data.pop("format", None) != "evenfall-unsaved/1":
            return None
        return _READER.validate_python(data)
    except (ValueError, ValidationError, RecursionError):
        return None


_READER = TypeAdapter(Unsaved)


def put(path: Path, text: str) -> None:
    """Whole or not at all; not synced to the disk, as this happens while the picture plays."""
    temporary = path.with_suffix(".tmp")
    temporary.write_text(text, encoding="utf-8")
    os.replace(temporary, path)


def sweep(folder: Path) -> None:
    """Throw away what nobody has asked for in half a year."""
    for path in (*folder.glob("unsaved-*.json"), *folder.glob("drawing-*.json")):
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > OLD_S:
                path.unlink()
