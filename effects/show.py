"""A scheme bound to a house: zones, palettes and parameters resolved once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from effects.effect import Effect
from effects.palette import palettes, ring
from effects.place import LayerPlace, place
from effects.registry import effects, faulty
from effects.scheme import Layer, Scheme
from layouts.errors import EvenfallError
from layouts.files.names import did_you_mean
from layouts.records import House

#: A scheme whose layers meet again only after longer than this counts as never repeating [s].
LONGEST_PERIOD_S = 600


#: Pixels of a layer worked on at once: a large house then stays in the cache like a small one.
PART = 4096


@dataclass(frozen=True, eq=False)
class ShownPart:
    """Some of a layer's pixels. A field knows no other pixels, so that parts stand alone."""

    place: LayerPlace
    at: slice | np.ndarray  # in the house


@dataclass(frozen=True, eq=False)
class BoundLayer:
    """A layer with everything it needs for its pixels."""

    layer: Layer
    effect: Effect
    settings: dict[str, float]
    parts: tuple[ShownPart, ...]
    period_s: float | None
    ring: np.ndarray  # (K·STEPS, 4)
    colours: int  # K


@dataclass(frozen=True, eq=False)
class Show:
    """A scheme ready to be asked for any frame."""

    scheme: Scheme
    layers: tuple[BoundLayer, ...]
    pixels: int  # N, of the house
    period_s: float | None  # None: it never repeats

    @property
    def fps(self) -> float:
        """Frames per second the scheme asks for."""
        return self.scheme.fps


def bind(house: House, scheme: Scheme) -> Show:
    """The scheme on this house.

    Raises EvenfallError where a zone, effect, palette or parameter is unknown or out of range.
    """
    layers = tuple(_bound(house, layer, scheme.colour) for layer in scheme.layers)
    return Show(scheme, layers, len(house.pixels), _period_s(scheme, layers))


def _bound(house: House, layer: Layer, colour: str) -> BoundLayer:
    effect = effects().get(layer.effect)
    if effect is None:
        if layer.effect in faulty():
            raise EvenfallError(faulty()[layer.effect])
        hint = did_you_mean(layer.effect, effects())
        raise EvenfallError(f"unknown effect '{layer.effect}'; {hint}")
    texts = layer.palette
    if isinstance(texts, str):
        palette = palettes().get(texts)
        if palette is None:
            raise EvenfallError(f"unknown palette '{texts}'; {did_you_mean(texts, palettes())}")
        texts = palette.colours
    index, where = place(house, layer.zones, layer.direction)
    settings, count = effect.settle(layer.settings), len(texts)
    spans = [slice(start, start + PART) for start in range(0, len(index), PART)]
    return BoundLayer(
        layer,
        effect,
        settings,
        tuple(ShownPart(where.part(span), _as_slice(index[span])) for span in spans),
        effect.period_s(settings, count, where) if spans else 0.0,
        ring(texts, colour),
        count,
    )


def _as_slice(index: np.ndarray) -> slice | np.ndarray:
    """Neighbouring pixels as a slice, which is far quicker to write to."""
    if index[-1] - index[0] == len(index) - 1:
        return slice(int(index[0]), int(index[-1]) + 1)
    return index


def _period_s(scheme: Scheme, layers: tuple[BoundLayer, ...]) -> float | None:
    """The shortest time after which every layer is where it was, where there is one."""
    if scheme.seconds is not None:
        return scheme.seconds
    if any(b.layer.from_s is not None or b.layer.until_s is not None for b in layers):
        return None
    together_s = common_period_s(layers)
    return 1 / scheme.fps if together_s == 0 else together_s


def common_period_s(layers: Sequence[BoundLayer]) -> float | None:
    """The shortest time after which the effects of all layers are where they were [s].

    0 where all stand still; None where one never repeats, or they meet only after 600 s.
    """
    together = Fraction(0)
    for bound in layers:
        if bound.period_s is None:
            return None
        if bound.period_s == 0:
            continue
        exact = Fraction(bound.period_s).limit_denominator(10_000)
        if not math.isclose(exact, bound.period_s, rel_tol=1e-9):
            exact = Fraction(bound.period_s)
        together = exact if together == 0 else _meet(together, exact)
        if together > LONGEST_PERIOD_S:
            return None
    return float(together)


def _meet(a: Fraction, b: Fraction) -> Fraction:
    """The least common multiple of two times."""
    return Fraction(math.lcm(a.numerator, b.numerator), math.gcd(a.denominator, b.denominator))
