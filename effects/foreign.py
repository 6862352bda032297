"""Effects that other packages bring (entry points), each kept from hurting what is not its own.

What a package does wrong is told with its name: a package that cannot be loaded is in the way of
no scheme but those that ask for its effect, and what a field gives is looked at as it comes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import wraps
from typing import TYPE_CHECKING, Any

import numpy as np

from effects.effect import Effect, Settings
from effects.place import LayerPlace
from layouts.errors import EvenfallError, harmless

if TYPE_CHECKING:
    from importlib.metadata import EntryPoint

GROUP = "evenfall.effects"


def entries() -> list[EntryPoint]:
    """The entry points of all installed packages, by name."""
    from importlib.metadata import entry_points  # slow to import

    return sorted(entry_points(group=GROUP), key=lambda entry: entry.name)


def loaded(entry: EntryPoint) -> Effect:
    """The effect of an entry point, guarded. Raises EvenfallError where there is none."""
    whose = _whose(entry)
    try:
        effect = entry.load()
    except (Exception, SystemExit) as error:
        raise EvenfallError(
            f"effect '{entry.name}' of {whose} cannot be loaded: {_said(error)}"
        ) from error
    if not isinstance(effect, Effect):
        raise EvenfallError(f"effect '{entry.name}' of {whose} is not an effects.Effect")
    named = f"effect '{effect.name}' of {whose}"
    return replace(
        effect,
        field=_checked(named, effect.field),
        period_s=_told(named, effect.period_s),
        change_per_s=_told(named, effect.change_per_s),
    )


def taken(entry: EntryPoint, name: str) -> str:
    """What is told of a package whose effect is called as one that there is."""
    return f"effect '{name}' of {_whose(entry)}: there is one of that name"


def _whose(entry: EntryPoint) -> str:
    return f"{entry.dist.name if entry.dist else 'a package'} ({entry.value})"


def _said(error: BaseException) -> str:
    words = harmless(" ".join(str(error).split()))
    if isinstance(error, SystemExit):
        return f"it ends the program ({words})"
    return words or type(error).__name__


def _told(named: str, function: Callable[..., Any]) -> Callable[..., Any]:
    """The function, whose mistakes are told with the package's name."""

    @wraps(function)
    def told(*arguments: Any) -> Any:
        try:
            return function(*arguments)
        except EvenfallError:
            raise
        except (Exception, SystemExit) as error:
            raise EvenfallError(
                f"{named} failed: {type(error).__name__}: {_said(error)};"
                " report it to those who made the package"
            ) from error

    return told


def _checked(named: str, field: Callable[..., Any]) -> Callable[..., Any]:
    """The field, whose answers must be two arrays of numbers that fit times and pixels."""
    guarded = _told(named, field)

    @wraps(field)
    def checked(
        time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
    ) -> tuple[np.ndarray, np.ndarray]:
        answer = guarded(time_s, place, settings, colours, seed)
        wrong = next(_wrong(answer, (len(time_s), len(place.xy_m))), None)
        if wrong is not None:
            raise EvenfallError(f"{named} {wrong}; report it to those who made the package")
        return answer  # type: ignore[no-any-return]

    return checked


def _wrong(answer: Any, shape: tuple[int, int]) -> Iterator[str]:
    """What is wrong with what a field gave for T times and M pixels, `shape`."""
    if not isinstance(answer, tuple) or len(answer) != 2:
        yield "gave no pair of position and level"
        return
    for name, given in zip(("position", "level"), answer, strict=True):
        array = np.asarray(given)
        if array.dtype.kind not in "fiu":
            yield f"gave a {name} that is no number"
        elif not _fits(array.shape, shape):
            yield f"gave a {name} of shape {array.shape}, where {shape} belongs"
        elif not np.isfinite(array).all():
            yield f"gave a {name} that is not finite"


def _fits(given: tuple[int, ...], shape: tuple[int, int]) -> bool:
    try:
        return np.broadcast_shapes(given, shape) == shape
    except ValueError:
        return False
