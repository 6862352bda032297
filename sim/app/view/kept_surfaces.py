"""Surfaces made once and used again, as many as a number of octets holds.

A count alone is no bound: a line of type at 100 % takes 10 kB, a veil over a large window 8 MB.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, ParamSpec

import pygame

Asked = ParamSpec("Asked")


def octets_of(surface: pygame.Surface) -> int:
    """How much memory a surface takes."""
    return surface.get_pitch() * surface.get_height()


class KeptSurfaces(Generic[Asked]):
    """`make`, asked once for the same arguments; the one used longest ago is dropped first.

    The newest stays, however large it is.
    """

    def __init__(self, make: Callable[Asked, pygame.Surface], most_octets: int):
        self._make, self._most = make, most_octets
        self._kept: OrderedDict[Hashable, pygame.Surface] = OrderedDict()
        self.octets = 0

    def __call__(self, *asked: Asked.args, **named: Asked.kwargs) -> pygame.Surface:
        found = self._kept.get(asked)
        if found is not None:
            self._kept.move_to_end(asked)
            return found
        made = self._kept[asked] = self._make(*asked, **named)
        self.octets += octets_of(made)
        while self.octets > self._most and len(self._kept) > 1:
            self.octets -= octets_of(self._kept.popitem(last=False)[1])
        return made

    def __len__(self) -> int:
        return len(self._kept)

    def clear(self) -> None:
        """Drop all."""
        self._kept.clear()
        self.octets = 0
