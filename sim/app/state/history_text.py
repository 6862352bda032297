"""The difference of two texts, kept small and applied only where it fits. Pure."""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

from sim.app.state.history_record import TextStep


def text_step(before: bytes, after: bytes) -> TextStep:
    """What `before` must be changed by to be `after`: all between their common ends."""
    most = min(len(before), len(after))
    start = _common(most, lambda n: before[:n] == after[:n])
    end = _common(most - start, lambda n: before[len(before) - n :] == after[len(after) - n :])
    return TextStep(
        start,
        before[start : len(before) - end],
        after[start : len(after) - end],
        crc32(before),
        crc32(after),
    )


def forwards(step: TextStep, text: bytes) -> bytes | None:
    """The text after the step; None where `text` is not the one before it."""
    return _swapped(text, step.start, step.old, step.new, step.check_before, step.check_after)


def backwards(step: TextStep, text: bytes) -> bytes | None:
    """The text before the step; None where `text` is not the one after it."""
    return _swapped(text, step.start, step.new, step.old, step.check_after, step.check_before)


def _swapped(
    text: bytes, start: int, old: bytes, new: bytes, check: int, checked: int
) -> bytes | None:
    if crc32(text) != check or text[start : start + len(old)] != old:
        return None
    found = text[:start] + new + text[start + len(old) :]
    return found if crc32(found) == checked else None


def _common(most: int, alike: Callable[[int], bool]) -> int:
    """The largest n up to `most` for which both are alike, by halving."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if alike(middle):
            low = middle
        else:
            high = middle - 1
    return low
