"""The difference of two texts, kept small and applied only where it fits. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from difflib import SequenceMatcher
from itertools import groupby
from zlib import crc32

from sim.app.state.history_record import TextPiece, TextStep

#: A stretch so short is kept as it is [bytes]; one of so many lines is not looked into any more.
SHORT, MANY = 1_000, 5_000


def text_step(before: bytes, after: bytes) -> TextStep:
    """What `before` must be changed by to be `after`."""
    most = min(len(before), len(after))
    start = _common(most, lambda n: before[:n] == after[:n])
    end = _common(most - start, lambda n: before[len(before) - n :] == after[len(after) - n :])
    old, new = before[start : len(before) - end], after[start : len(after) - end]
    return TextStep(tuple(_pieces(start, old, new)), crc32(before), crc32(after))


def forwards(step: TextStep, text: bytes) -> bytes | None:
    """The text after the step; None where `text` is not the one before it."""
    pieces = [(piece.old_at, piece.old, piece.new) for piece in step.pieces]
    return _swapped(text, pieces, step.check_before, step.check_after)


def backwards(step: TextStep, text: bytes) -> bytes | None:
    """The text before the step; None where `text` is not the one after it."""
    pieces = [(piece.new_at, piece.new, piece.old) for piece in step.pieces]
    return _swapped(text, pieces, step.check_after, step.check_before)


def _pieces(start: int, old: bytes, new: bytes) -> Iterator[TextPiece]:
    """Stretches that differ: one if short, else by lines."""
    lines = old.splitlines(keepends=True), new.splitlines(keepends=True)
    if len(old) + len(new) <= SHORT or max(map(len, lines)) > MANY:
        if old or new:
            yield TextPiece(start, start, old, new)
        return
    old_at = new_at = start
    for same, a, b in _stretches(*lines):
        gone, come = b"".join(a), b"".join(b)
        if not same:
            yield TextPiece(old_at, new_at, gone, come)
        old_at, new_at = old_at + len(gone), new_at + len(come)


def _stretches(
    old: list[bytes], new: list[bytes]
) -> Iterator[tuple[bool, list[bytes], list[bytes]]]:
    """Lines side by side: whether they are the same, and those of either text."""
    if len(old) == len(new):  # values changed, nothing put in: line by line, which is quick
        pairs = zip(old, new, strict=True)
        for same, group in groupby(pairs, key=lambda pair: pair[0] == pair[1]):
            here = list(group)
            yield same, [one for one, _ in here], [one for _, one in here]
        return
    for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        yield tag == "equal", old[a:b], new[c:d]


def _swapped(
    text: bytes, pieces: list[tuple[int, bytes, bytes]], check: int, checked: int
) -> bytes | None:
    if crc32(text) != check:
        return None
    found, at = [], 0
    for start, here, there in pieces:
        if text[start : start + len(here)] != here:
            return None
        found += [text[at:start], there]
        at = start + len(here)
    made = b"".join([*found, text[at:]])
    return made if crc32(made) == checked else None


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
