"""The monkey of `tests/app` at the window: random keys, clicks, files changed under it, kills."""

from __future__ import annotations

import os
import sys

from texts import SCHEME
from trial import ROOT, Asked, Seen, cpu_s

#: A small house that the window draws quickly.
HOUSE = (ROOT / "layouts" / "starter_files" / "house.yaml").read_text(encoding="utf-8")


def played(asked: Asked, seen: Seen) -> None:
    """`asked.count` events, without a screen; a case is an event."""
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    os.environ["XDG_STATE_HOME"] = str(asked.folder / "kept")
    sys.path.insert(0, str(ROOT / "tests" / "app"))
    from monkey import Monkey

    folder = asked.folder / "shed"
    folder.mkdir()
    scheme = (
        SCHEME.replace("[both]", "all")
        .replace("[part]", "all")
        .replace("zones: door", "zones: all")
    )
    monkey = Monkey(folder, HOUSE, {"winter.scheme.yaml": scheme}, asked.seed)
    began = cpu_s()
    try:
        monkey.rest()
        while seen.cases < asked.count:
            seen.cases += monkey.turn()
        monkey.kill()
    finally:
        monkey.close()
        seen.ended["windows killed"] = monkey.done["kill"]
        seen.wrong += dict.fromkeys(monkey.wrong)
        seen.took(cpu_s() - began, "all of them")
