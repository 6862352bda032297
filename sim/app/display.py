"""The display that a window opens on, or why there is none."""

from __future__ import annotations

import os
import signal
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")
os.environ.setdefault("SDL_VIDEO_X11_WMCLASS", "evenfall")

import pygame

from layouts import EvenfallError
from sim.app.state.pointer_shape import PointerShape
from sim.app.state.record import SCALES
from sim.app.view.icon import icon

NO_DISPLAY = (
    "no display here; make a picture instead: evenfall render HOUSE SCHEME --at 3s --out a.png, "
    "or see the demo: evenfall demo --out evenfall-demo"
)
#: Drivers of SDL that show nothing; fine where somebody asked for one, as tests do.
UNSEEN = ("dummy", "offscreen")
_CURSORS: dict[PointerShape, int] = {
    "arrow": pygame.SYSTEM_CURSOR_ARROW,
    "hand": pygame.SYSTEM_CURSOR_HAND,
    "across": pygame.SYSTEM_CURSOR_SIZEWE,
    "down": pygame.SYSTEM_CURSOR_SIZENS,
}


def can_show() -> bool:
    """Whether there is a display that somebody could see a window on."""
    try:
        pygame.display.init()
        return pygame.display.get_driver() not in UNSEEN
    except pygame.error:
        return False
    finally:
        pygame.display.quit()


@contextmanager
def ended_by(end: Callable[[], None]) -> Iterator[None]:
    """While it lasts, SIGTERM and SIGHUP call `end`: who ends a program from outside is not asked.

    It has to begin before SDL does, which takes the first for a click on the cross. Who has one
    ignored, as nohup does, keeps it so.
    """
    names = [name for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    numbers = [getattr(signal, name) for name in names]
    told = {n: usual for n in numbers if (usual := signal.getsignal(n)) != signal.SIG_IGN}
    with suppress(ValueError):  # signals are the main thread's alone
        for number in told:
            signal.signal(number, lambda *_: end())
    try:
        yield
    finally:
        with suppress(ValueError):
            for number, usual in told.items():
                signal.signal(number, usual)


def open_surface(size_px: tuple[int, int] | None) -> pygame.Surface:
    """The window, as large as asked, or fitting the screen."""
    asked_for = os.environ.get("SDL_VIDEODRIVER") in UNSEEN
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what SDL says of sound and fonts is not for people
        try:
            pygame.display.init()
            pygame.font.init()
            if not asked_for and pygame.display.get_driver() in UNSEEN:
                raise pygame.error("SDL found no screen and would draw where nobody looks")
            if size_px is None:
                width, height = pygame.display.get_desktop_sizes()[0]
                size_px = (min(1280, width), min(720, height))
                if width >= 2560 and height >= 1440:
                    size_px = (1920, 1080)
            pygame.display.set_icon(icon())
            surface = pygame.display.set_mode(size_px, pygame.RESIZABLE)
        except pygame.error:
            pygame.quit()
            raise EvenfallError(NO_DISPLAY) from None
    pygame.display.set_caption("Evenfall")
    return surface


def fill_screen() -> bool:
    """Let the window fill the screen, or take its place again; whether it could."""
    try:
        pygame.display.toggle_fullscreen()
    except pygame.error:  # some screens have no such thing
        return False
    return True


class Cursor:
    """The pointer's shape; set only where it changes."""

    def __init__(self) -> None:
        self._now = pygame.SYSTEM_CURSOR_ARROW

    def show(self, shape: PointerShape) -> None:
        """Let the pointer look like this."""
        wanted = _CURSORS[shape]
        if wanted != self._now:
            self._now = wanted
            with suppress(pygame.error):  # some screens have no such pointer
                pygame.mouse.set_cursor(wanted)


def nearest_scale(wanted: float) -> float:
    """The scale on offer nearest to a wanted one; by itself 100 % up to a screen of 1440 rows."""
    return min(SCALES, key=lambda one: abs(one - wanted))
