"""What a monkey at the window does: keys, typing, clicks, drags, the wheel, other sizes, files."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path
from typing import Any

import pygame

from sim.app.state.choosing_pages import on_screen_of, sheet
from sim.app.state.keys import Press
from sim.app.state.pointer import on_screen
from sim.app.state.question import question_places
from sim.app.state.window_layout import layout
from sim.app.window import Window

SIZES = ((960, 600), (960, 600), (800, 500), (640, 400), (1280, 720), (420, 560), (200, 150))
_TYPED = ("12", "3 m", "0,5", "85 %", "1e9", "-4", "ab", "é½", "\x00", "nan", "inf", "4'6\"",
          "always", "2@45", "🎄", "x" * 40)  # fmt: skip
_SHOWING = ("f12",)  # what writes a file at every press is pressed seldom


class Paws:
    """The hands of a monkey; what it plays with stands in the window at hand."""

    random: random.Random
    house: Path
    house_text: str
    schemes: dict[Path, str]
    at: tuple[int, int]
    down: bool
    done: Counter[str]
    last: list[str]
    presses: list[Press]
    window: Window

    # --- what a monkey does ---

    def _post(self, kind: int, **what: Any) -> None:
        pygame.event.post(pygame.event.Event(kind, **what))

    def key(self) -> int:
        """A key of the tables, or any other."""
        press = self.random.choice(self.presses)
        if press.key == "q" and self.random.random() < 0.7:
            return 0  # every window that closes is followed by another, which takes its time
        if press.key in _SHOWING and self.random.random() < 0.97:
            return 0
        try:
            code = pygame.key.key_code(press.key)
        except ValueError:
            return 0
        mod = (pygame.KMOD_SHIFT if press.shift else 0) | (pygame.KMOD_CTRL if press.ctrl else 0)
        mod |= pygame.KMOD_ALT if press.alt else 0
        if self.random.random() < 0.1:
            mod ^= self.random.choice((pygame.KMOD_SHIFT, pygame.KMOD_CTRL, pygame.KMOD_ALT))
        letters = press.key if len(press.key) == 1 and not press.ctrl and not press.alt else ""
        letters = letters.upper() if press.shift else letters
        self.last.append(f"key {press}")
        self._post(pygame.KEYDOWN, key=code, mod=mod, unicode=letters, scancode=0)
        if self.random.random() < 0.9:
            self._post(pygame.KEYUP, key=code, mod=mod, unicode=letters, scancode=0)
        return 2

    def typed(self) -> int:
        """A few letters and perhaps Enter."""
        some = self.random.choice(_TYPED)
        self.last.append(f"type {some!r}")
        for letter in some:
            code = ord(letter) if letter.isascii() and letter.isalnum() else pygame.K_UNKNOWN
            self._post(pygame.KEYDOWN, key=code, mod=0, unicode=letter, scancode=0)
            self._post(pygame.TEXTINPUT, text=letter)
            self._post(pygame.KEYUP, key=code, mod=0, unicode=letter, scancode=0)
        end = self.random.choice((pygame.K_RETURN, pygame.K_ESCAPE, pygame.K_BACKSPACE))
        self._post(pygame.KEYDOWN, key=end, mod=0, unicode="", scancode=0)
        return 3 * len(some) + 1

    def _targets(self) -> list[tuple[int, int]]:
        window, state = self.window, self.window.state
        screen, parts = window._screen, layout(window.state)
        places = [*screen.buttons, *(one.place for one in screen.spots)]
        if state.question is not None:
            places += question_places(state.question, parts).buttons
        if screen.touch.touchable.card is not None:
            places += [place for place, _ in screen.touch.touchable.card.buttons]
        if state.choosing is not None:
            page = sheet(state, parts)
            places += [on_screen_of(page, state, one) for one in page.parts]
        elif state.board is not None:
            places += [on_screen(one.place, parts, state) for one in screen.panel if one.action]
        elif state.drawer:
            places += [on_screen(one.target, parts, state) for one in screen.rows if one.control]
        return [(one.x + one.w // 2, one.y + one.h // 2) for one in places]

    def _somewhere(self) -> tuple[int, int]:
        targets = self._targets() if self.random.random() < 0.7 else []
        width, height = self.window.state.size_px
        if targets:
            x, y = self.random.choice(targets)
            return x + self.random.randint(-3, 3), y + self.random.randint(-3, 3)
        return self.random.randrange(-2, width + 2), self.random.randrange(-2, height + 2)

    def _move(self, to: tuple[int, int]) -> None:
        rel = (to[0] - self.at[0], to[1] - self.at[1])
        self.at = to
        self._post(pygame.MOUSEMOTION, pos=to, rel=rel, buttons=(int(self.down), 0, 0), touch=False)

    def click(self) -> int:
        """Once or twice, with either button."""
        self._move(self._somewhere())
        button = 1 if self.random.random() < 0.9 else self.random.choice((2, 3))
        times = 2 if self.random.random() < 0.15 else 1
        self.last.append(f"click {button}x{times} {self.at}")
        for _ in range(times):
            self._post(pygame.MOUSEBUTTONDOWN, pos=self.at, button=button, touch=False)
            self._post(pygame.MOUSEBUTTONUP, pos=self.at, button=button, touch=False)
        return 1 + 2 * times

    def drag(self) -> int:
        """From here to there; now and then the button stays down."""
        self._move(self._somewhere())
        self.last.append(f"drag {self.at}")
        self._post(pygame.MOUSEBUTTONDOWN, pos=self.at, button=1, touch=False)
        self.down = True
        count = self.random.randint(1, 6)
        for _ in range(count):
            if self.random.random() < 0.4:
                self.window.step(1 / 60)
            self._move(self._somewhere())
        if self.random.random() < 0.95:
            self.down = False
            self._post(pygame.MOUSEBUTTONUP, pos=self.at, button=1, touch=False)
        return count + 3

    def wheel(self) -> int:
        """A notch or two, with or without a key held."""
        self._move(self._somewhere())
        mods = self.random.choice((0, 0, pygame.KMOD_CTRL, pygame.KMOD_SHIFT))
        pygame.key.set_mods(mods)
        turns = self.random.choice((-3, -1, 1, 2))
        self.last.append(f"wheel {turns} {self.at}")
        self._post(pygame.MOUSEWHEEL, x=0, y=turns, flipped=False, touch=False)
        self.window.step(1 / 60)
        pygame.key.set_mods(0)
        return 2

    def resize(self) -> int:
        """Another size, or the pointer leaves."""
        if self.random.random() < 0.5:
            self._post(pygame.WINDOWLEAVE)
            return 1
        size = self.random.choice(SIZES)
        self.last.append(f"resize {size}")
        pygame.display.set_mode(size, pygame.RESIZABLE)
        self._post(pygame.VIDEORESIZE, size=size, w=size[0], h=size[1])
        return 1

    def disk(self) -> int:
        """Another program saves a file: well, badly, or takes it away."""
        path = self.random.choice([self.house, *self.schemes])
        text = self.house_text if path == self.house else self.schemes[path]
        how = self.random.randrange(6)
        if how == 0:
            text = text.replace("speed: 0.5", f"speed: {self.random.choice((0.25, 1.5, 3))}")
            text = text.replace("[5, 2.35]", f"[{self.random.choice((4, 4.5, 5.2))}, 2.35]")
        elif how == 1:
            text = text.replace("brightness: 0.8", f"brightness: {self.random.random():.2f}")
        elif how == 2:
            text = text[: self.random.randrange(len(text))]
        elif how == 3:
            text = text.replace("chase", "twinkle").replace("count: 40", "count: 60")
        self.last.append(f"disk {path.name} {how}")
        if how == 5:
            path.unlink(missing_ok=True)
        else:
            path.write_text(text)
        return 1

    def files_as_at_first(self) -> None:
        """Every file as it was at first: what is drawn and written makes larger houses."""
        for path, text in ((self.house, self.house_text), *self.schemes.items()):
            path.write_text(text)

    def mend_files(self) -> None:
        """Every file whole again."""
        from layouts import load_house

        for path, text in ((self.house, self.house_text), *self.schemes.items()):
            if not path.exists() or path == self.house:
                try:
                    load_house(path)
                    continue
                except Exception:
                    path.write_text(text)
        for path, text in self.schemes.items():
            from effects import load_scheme

            try:
                load_scheme(path)
            except Exception:
                path.write_text(text)
