"""Pure functions of time and place: the colour asked of every pixel."""

from effects.completion import scheme_schema
from effects.effect import Effect, Parameter
from effects.engine import asked
from effects.load import load_scheme
from effects.palette import Palette, palettes
from effects.place import LayerPlace
from effects.registry import effects
from effects.scheme import Layer, Scheme
from effects.show import Show, bind

__all__ = [
    "Effect",
    "Layer",
    "LayerPlace",
    "Palette",
    "Parameter",
    "Scheme",
    "Show",
    "asked",
    "bind",
    "effects",
    "load_scheme",
    "palettes",
    "scheme_schema",
]
