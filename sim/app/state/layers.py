"""What a layer is, apart from where it stands: how unsaved values find their layer again.

A file is changed in an editor while the window holds values for it. Each value belongs to a layer,
not to a number: a layer put in above must not take it. Where it cannot be told for certain which
layer is meant, none is named, and the value is set aside.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from effects.place import REVERSED

Value = float | str | bool

#: What every layer can be told beside its effect, zones, palette and opacity, as the file calls it.
REST = ("direction", "blend", "from", "until", "ease")
#: A value of `from` and `until` that says no time.
ALWAYS = ""
#: How colours are called that a scheme lists itself instead of a palette.
OWN_COLOURS = "own colours"
#: Between the names of zones in the value that holds them; no name has a comma.
_BETWEEN = ", "


def zones_value(zones: Iterable[str]) -> str:
    """Zones of a layer as one value."""
    return _BETWEEN.join(zones)


def zones_of(value: Value) -> tuple[str, ...]:
    """The zones that a value holds."""
    return tuple(str(value).split(_BETWEEN))


def bare_zones(value: Value) -> tuple[str, ...]:
    """Their names alone, without which way round they are joined."""
    return tuple(name.removesuffix(REVERSED) for name in zones_of(value))


def rest_text(value: Value) -> str:
    """A value of `REST` as a mark holds it."""
    return "None" if value == ALWAYS else str(value)


def rest_value(name: str, text: str) -> Value:
    """The value that a mark holds so."""
    if name in ("direction", "blend"):
        return text
    return ALWAYS if text == "None" else float(text)


@dataclass(frozen=True)
class LayerMark:
    """A layer as the scheme file has it; `nth` tells apart those that are alike in everything."""

    effect: str
    zones: tuple[str, ...]
    palette: str | tuple[str, ...] = ""  # a palette's name, or the colours
    settings: tuple[tuple[str, Value], ...] = ()
    rest: tuple[tuple[str, str], ...] = ()  # blend, times, direction
    nth: int = 0


@dataclass(frozen=True)
class LayerValue:
    """An unsaved value of a layer that has gone from the file, or is not certainly there."""

    layer: LayerMark
    name: str
    value: Value


def numbered(marks: Iterable[LayerMark]) -> tuple[LayerMark, ...]:
    """The marks, those alike in everything counted from 0."""
    seen: Counter[LayerMark] = Counter()
    found = []
    for mark in marks:
        found.append(replace(mark, nth=seen[mark]))
        seen[mark] += 1
    return tuple(found)


def matched(old: Sequence[LayerMark], new: Sequence[LayerMark]) -> dict[LayerMark, LayerMark]:
    """Layers of a file before → the same layers of the file now; those in doubt are left out.

    In turn: what is the same in everything, where as many are alike as before; what alone has its
    effect, zones and palette, before and now; what alone has its effect and zones; and what alone
    of all that is left over has them, if it has passed by no other on its way.
    """
    pairs: dict[int, int] = {}
    alike = _by(old, range(len(old)), _whole), _by(new, range(len(new)), _whole)
    for key, here in alike[0].items():
        there = alike[1].get(key, [])
        if len(here) == len(there):
            pairs.update(zip(here, there, strict=True))
    for kind in (_drawn, _placed):
        _pair_alone(pairs, old, new, range(len(old)), range(len(new)), kind)
    left = [index for index in range(len(old)) if index not in pairs]
    taken = set(pairs.values())
    _pair_alone(pairs, old, new, left, [i for i in range(len(new)) if i not in taken], _placed,
                keep_order=True)  # fmt: skip
    return {old[here]: new[there] for here, there in pairs.items()}


def _whole(mark: LayerMark) -> Hashable:
    return replace(mark, nth=0)


def _drawn(mark: LayerMark) -> Hashable:
    return mark.effect, mark.zones, mark.palette


def _placed(mark: LayerMark) -> Hashable:
    return mark.effect, mark.zones


_Key = Callable[[LayerMark], Hashable]


def _by(marks: Sequence[LayerMark], which: Iterable[int], key: _Key) -> dict[Hashable, list[int]]:
    found: dict[Hashable, list[int]] = {}
    for index in which:
        found.setdefault(key(marks[index]), []).append(index)
    return found


def _pair_alone(
    pairs: dict[int, int], old: Sequence[LayerMark], new: Sequence[LayerMark],
    of_old: Iterable[int], of_new: Iterable[int], key: _Key, keep_order: bool = False,
) -> None:  # fmt: skip
    """Add the pairs of which each is the only one with its key, among those asked about."""
    there = _by(new, of_new, key)
    taken = set(pairs.values())
    for name, here in _by(old, of_old, key).items():
        found = there.get(name, [])
        if len(here) != 1 or len(found) != 1 or here[0] in pairs or found[0] in taken:
            continue
        if not keep_order or _in_order({**pairs, here[0]: found[0]}, here[0]):
            pairs[here[0]] = found[0]


def _in_order(pairs: Mapping[int, int], of: int) -> bool:
    """Whether the pair of `of` crosses no other."""
    before = [there for here, there in pairs.items() if here < of]
    after = [there for here, there in pairs.items() if here > of]
    return max(before, default=-1) < pairs[of] < min(after, default=math.inf)


def same(a: Value | None, b: Value | None) -> bool:
    """Whether two values are the same as a file would write them."""
    if isinstance(a, int | float) and isinstance(b, int | float):
        return math.isclose(a, b, rel_tol=1e-5, abs_tol=1e-9)
    return a == b


def same_marks(a: LayerMark, b: LayerMark) -> bool:
    """Whether two layers are alike, numbers being compared as a file writes them."""
    names = [name for name, _ in a.settings] == [name for name, _ in b.settings]
    plain = (a.effect, a.zones, a.palette, a.rest) == (b.effect, b.zones, b.palette, b.rest)
    return plain and names and all(
        same(x, y) for (_, x), (_, y) in zip(a.settings, b.settings, strict=True)
    )  # fmt: skip


def with_values(mark: LayerMark, values: Mapping[str, Value]) -> LayerMark:
    """The layer as the file has it once these values are written."""
    settings = tuple((name, values.get(name, value)) for name, value in mark.settings)
    palette = str(values["palette"]) if "palette" in values else mark.palette
    zones = zones_of(values["zones"]) if "zones" in values else mark.zones
    rest = tuple((name, rest_text(values[name]) if name in values else text)
                 for name, text in mark.rest)  # fmt: skip
    return replace(mark, settings=settings, palette=palette, zones=zones, rest=rest)
