"""A monkey at the window: seeded random events, and what must hold whatever they are.

`python tests/app/monkey.py 100000 --seed 1` plays that many events through the real window, without
a screen, on a house of its own in a temporary folder, and prints what it found. Asked of every
action: no fault inside, no unwritten value gone by an action that is none of values, every new step
leads back to what was before it; and of every window that is killed: the next one offers what was
unwritten.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import pygame

from layouts.files.write import digest
from sim.app.state import actions as act
from sim.app.state.drawing_keys import DRAWING_BINDINGS
from sim.app.state.drawing_words import unwritten as drawn_unwritten
from sim.app.state.history import next_step, redone, undone
from sim.app.state.history_values import in_force
from sim.app.state.keys import BINDINGS
from sim.app.state.questions import unsaved
from sim.app.state.record import State
from sim.app.state.settings import settings
from sim.app.state.unsaved import Unsaved
from sim.app.window import Window
from sim.app.work.watch import EVERY_S

sys.path.insert(0, str(Path(__file__).parent))
from monkey_memory import in_use_mb, resident_mb
from monkey_paws import SIZES, Paws
from monkey_told import difference, standing
from waiting import wait

#: So many tenths of a run warm it up before memory is compared.
WARM = 2
#: What no window may lose an unwritten value by: everything that only shows, moves or tells.
HARMLESS = (
    act.Tick, act.Refused, act.Failed, act.CeilingMeasured, act.Say, act.PlayPause, act.Seek,
    act.Step, act.StepSeconds, act.Jump, act.Focus, act.Back, act.ToggleOverlay, act.ToggleDrawer,
    act.ToggleHelp, act.ToggleCompare, act.MoveDivider, act.NudgeDivider, act.Drag, act.Select,
    act.StepPixel, act.StepRun, act.Expose, act.Resize, act.Zoom, act.Scroll, act.Screenshot,
    act.FullScreen, act.OpenFolder, act.PutAside, act.TellAgain, act.ShowAllLayers, act.AskSharing,
    act.ShareNow, act.StopSharing, act.SharedSoFar, act.Shared, act.NotShared, act.HushSaved,
    act.ProposeFeeds, act.StopProposing, act.FeedsSought, act.NoFeeds, act.Quit,
)  # fmt: skip


def values_of(state: State) -> dict[Any, Any]:
    """All that could be written of a state, whether it differs from the file or not."""
    facts = state.facts
    found: dict[Any, Any] = {
        "order": (state.order or facts.file_marks) if facts else (),
        "drawing": state.draft.text if state.draft is not None else None,
        "feeds": bool(state.proposal and state.proposal.accepted),
    }
    for row in settings(facts) if facts else ():
        if row.file is not None:
            found[row.key] = in_force(state, row)
    return found


def _pairs(left: Unsaved | None) -> Counter[Any]:
    if left is None:
        return Counter()
    whole = [(name, _plain(value)) for name, value in left.whole]
    return Counter(whole + [(one.name, _plain(one.value)) for one in left.values])


def _plain(value: Any) -> Any:
    return round(value, 9) if isinstance(value, float) else value


class Monkey(Paws):
    """Plays with one window after the other on the same house."""

    def __init__(self, folder: Path, house: str, schemes: dict[str, str], seed: int) -> None:
        self.random = random.Random(seed)
        self.house, self.schemes = folder / "house.yaml", {}
        self.house_text = house
        self.house.write_text(house)
        for name, text in schemes.items():
            (folder / name).write_text(text)
            self.schemes[folder / name] = text
        self.at = (0, 0)
        self.down = False
        self.wrong: list[str] = []
        self.done: Counter[str] = Counter()
        self.last: list[str] = []
        self.acts: list[str] = []
        bound = {press for one in (*BINDINGS, *DRAWING_BINDINGS) for press in one.presses}
        self.presses = sorted(bound, key=str)
        pygame.mouse.get_pos = lambda *_: self.at  # type: ignore[assignment]
        self.window = self._opened(sorted(self.schemes)[-1])

    # --- windows ---

    def _opened(self, scheme: Path | None) -> Window:
        window = Window(self.house, scheme, scale=1.0, size_px=SIZES[0])
        window.sharing.open_folder = lambda path: None  # type: ignore[method-assign]
        told = window._fault
        inner = window._do

        def fault(name: str, error: Exception) -> None:
            trace = traceback.extract_tb(error.__traceback__)[-6:]
            at = ", ".join(f"{Path(one.filename).name}:{one.lineno}" for one in trace)
            self.report(f"fault: {name}: {type(error).__name__}: {error} at {at}")
            told(name, error)

        window.guard._told = fault
        window._do = lambda action: self._watched(window, inner, action)  # type: ignore[method-assign]
        self.down = False
        return window

    def report(self, text: str, *states: State) -> None:
        """Something is wrong; of `states`, before and after it, all that bears on it is told."""
        told = "".join(f"\n      {standing(one)}" for one in states)
        self.wrong.append(f"{text}   after {self.last[-12:]}, {self.acts[-12:]}{told}")

    def _watched(
        self, window: Window, inner: Callable[[act.Action], None], action: act.Action
    ) -> None:
        before = window.state
        inner(action)
        after = window.state
        if after is before:
            return
        self.done[type(action).__name__] += 1
        if not isinstance(action, act.Tick | act.Drag):
            self.acts = [*self.acts[-11:], repr(action)[:120]]
        if isinstance(action, HARMLESS) and unsaved(before) != unsaved(after):
            told = difference(unsaved(before), unsaved(after))
            self.report(f"lost by {type(action).__name__}: {told}", before, after)
        if isinstance(action, act.Loaded):
            self._reread(before, after)
        grown = len(after.history.done) - len(before.history.done)
        if grown == 1 and not isinstance(action, act.Undo | act.Redo):
            self._leads_back(before, after, action)
        if isinstance(action, act.Failed):
            self.report(f"failed: {action.text}")

    def _reread(self, before: State, after: State) -> None:
        """Files were read: an unwritten value stands in the window still, or in the file now."""
        if before.facts is None or after.facts is None:
            return
        if before.facts.scheme_file != after.facts.scheme_file or before.history.returning:
            return
        held = _pairs(unsaved(after))
        facts = after.facts
        held |= Counter(
            (row.key.rpartition(".")[2], _plain(row.file.held(facts)))
            for row in settings(facts)
            if row.file is not None
        )
        gone = {one for one in _pairs(unsaved(before)) if not held[one]}
        if gone:
            self.report(f"gone by reading: {gone}", before, after)

    def _leads_back(self, before: State, after: State, action: act.Action) -> None:
        step = next_step(after, "back")
        if step is None or step.wrote is not None or step.proposal is not None:
            return
        back = undone(after)
        was, there = values_of(before), values_of(back)
        if was != there:
            differ = {k: (was.get(k), there.get(k)) for k in was.keys() | there.keys()
                      if was.get(k) != there.get(k)}  # fmt: skip
            self.report(f"step '{step.label}' of {action} leads elsewhere: {differ}")
        elif values_of(redone(back)) != values_of(after):
            self.report(f"step '{step.label}' of {action} done again leads elsewhere")

    def _at_rest(self) -> bool:
        one = self.window
        return bool(one.backstage.idle and one.sharing.idle and one.shown)

    def rest(self) -> None:
        """Until nothing is under way and what is unwritten has been kept."""
        try:
            wait(self._at_rest, lambda: self.window.step(0.25))
        except AssertionError:
            window = self.window
            self.report(f"never came to rest: stages {window.backstage.made_all}, loads "
                        f"{window.backstage.desk.idle}, all {window.backstage.idle}, sharing "
                        f"{window.sharing.idle}, shown {window.shown is not None}, on "
                        f"{window.state.choosing or window.state.board}, fault "
                        f"{window.state.fault!r}, problems {window.state.problems}")  # fmt: skip
        for _ in range(8):
            self.window.step(0.25)

    def kill(self) -> None:
        """The window goes without a word; the next one must offer what was unwritten."""
        self.mend_files()
        self.window.do(act.Drag(None))
        self.window.do(act.StopSharing())
        for _ in range(3):  # what was mended is seen by a clock of its own, at the second look
            seen_s = time.monotonic() + EVERY_S
            while time.monotonic() < seen_s:
                self.window.step(0.05)
        self.rest()
        old = self.window.state
        scheme, was = old.facts.scheme_file if old.facts else None, unsaved(old)
        drawing = old.draft.text if old.draft is not None and drawn_unwritten(old) else None
        self._drop()
        self.window = self._opened(Path(scheme) if scheme else None)
        self.rest()
        new = self.window.state
        missing = _pairs(was) - _pairs(unsaved(new))
        held = {
            (row.key.rpartition(".")[2], _plain(row.file.held(new.facts)))
            for row in (settings(new.facts) if new.facts else ())
            if row.file is not None
        }
        missing = Counter({one: n for one, n in missing.items() if one not in held})
        order = was.order if was and new.facts and was.order != new.facts.file_marks else ()
        if missing or (order and not (unsaved(new) or Unsaved("")).order):
            told = difference(was, unsaved(new))
            what = missing or "the order"
            held_now = digest(Path(scheme).read_bytes())[:8] if scheme else ""
            self.report(f"not recovered: {what}, the file being {held_now}: {told}", old, new)
        left, in_file = new.left_drawing, self.house.read_text()
        if drawing not in (None, in_file) and (left is None or left.text != drawing):
            self.report("the drawing was not recovered")
        self.done["kill"] += 1
        if new.question is not None and self.random.random() < 0.7:
            self.window.do(act.Answer(1))
            self.rest()
            now = _pairs(was) - _pairs(unsaved(self.window.state))
            gone = {one for one in now if one not in held}
            if gone and new.recovered is not None:
                self.report(f"not taken up: {gone}")

    def _drop(self) -> None:
        window = self.window
        threads = (window.backstage, window.sharing, window.small, window._player,
                   window.diagnoser)  # fmt: skip
        for _ in range(60):
            if all([one.close() for one in threads]):
                break
        pygame.quit()

    def close(self) -> None:
        """End the window."""
        self._drop()

    def turn(self) -> int:
        """Some events and a turn of the loop; how many they were."""
        count = 0
        for _ in range(self.random.randint(6, 30)):
            doing = self.random.choices(
                (self.key, self.click, self.drag, self.wheel, self.typed, self.resize, self.disk),
                (40, 30, 10, 8, 4, 1.5, 0.4),
            )[0]
            count += doing()
        self.window.step(self.random.choice((1 / 60, 1 / 60, 0.1, 0.25)))
        if not self.window.running:
            self.done["closed"] += 1
            self.window.running = True
            self.kill()
        elif self.random.random() < 0.004:
            self.kill()
        del self.last[:-12]
        return count


def packages() -> set[str]:
    """Everything imported so far, by its first two names."""
    return {".".join(name.split(".")[:2]) for name in list(sys.modules)}


def main() -> int:
    """Play, and print what came of it."""
    from tests.app.conftest import HOUSE, SCHEME

    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("events", type=int)
    asked.add_argument("--seed", type=int, default=1)
    wanted = asked.parse_args()
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_STATE_HOME"] = str(Path(folder) / "kept")
        place = Path(folder) / "shed"
        place.mkdir()
        plain = "# One.\nformat: evenfall-scheme/1\nname: Plain\nlayers:\n" \
                '  - {effect: steady, palette: ["3000 K"]}\n'  # fmt: skip
        files = {"plain.scheme.yaml": plain, "winter.scheme.yaml": SCHEME}
        monkey = Monkey(place, HOUSE, files, wanted.seed)
        monkey.rest()
        count, told, shown, marks, started = 0, 0, 0, [], time.monotonic()
        each, loaded = max(wanted.events // 10, 1), packages()
        while count < wanted.events:
            count += monkey.turn()
            if count // each > told:
                monkey.rest()
                told, held = count // each, resident_mb()
                monkey.kill()  # what a single window keeps goes with it
                # A scene takes some 43 kB a pixel here: the same house is compared with itself.
                monkey.files_as_at_first()
                monkey.kill()
                marks.append(resident_mb())
                print(f"{count} events, {time.monotonic() - started:.0f} s, "
                      f"{time.process_time():.0f} s CPU, {held:.0f} MB, in a new window "
                      f"{marks[-1]:.0f} MB, of that in use {in_use_mb():.0f} MB, "
                      f"{len(monkey.wrong)} wrong", flush=True)  # fmt: skip
                if more := sorted(packages() - loaded):
                    print("    imported since:", ", ".join(more)[:300], flush=True)
                loaded |= packages()
                for one in monkey.wrong[shown:]:
                    print("   ", one, flush=True)
                shown = len(monkey.wrong)
        monkey.kill()
        monkey.close()
        if len(marks) > WARM:
            # Before, modules and kernels are loaded that were not asked for yet.
            print(f"memory after warming up {marks[WARM - 1]:.0f} MB, at the end "
                  f"{marks[-1]:.0f} MB", flush=True)  # fmt: skip
        print("done:", ", ".join(f"{name} {n}" for name, n in monkey.done.most_common()))
        for one, n in Counter(one.partition("   after ")[0] for one in monkey.wrong).items():
            print(f"WRONG {n}x {one}")
        return 1 if monkey.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
