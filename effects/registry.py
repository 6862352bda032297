"""The effects there are: the table of our own, and those other packages bring."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from effects import foreign
from effects.effect import Effect
from effects.fields.banner import BANNER
from effects.fields.chase import CHASE
from effects.fields.crossing import CROSSING
from effects.fields.dart import DART
from effects.fields.fade import FADE
from effects.fields.flurry import FLURRY
from effects.fields.gather import GATHER
from effects.fields.glint import GLINT
from effects.fields.hearth import HEARTH
from effects.fields.picket import PICKET
from effects.fields.repaint import REPAINT
from effects.fields.rings import RINGS
from effects.fields.steady import STEADY
from effects.fields.swell import SWELL
from effects.fields.thaw import THAW
from effects.fields.tide import TIDE
from effects.fields.twinkle import TWINKLE
from effects.fields.wander import WANDER
from effects.fields.wick import WICK
from layouts.errors import EvenfallError

#: One line an effect.
OWN: tuple[Effect, ...] = (
    STEADY,
    CHASE,
    PICKET,
    REPAINT,
    FADE,
    SWELL,
    TWINKLE,
    GLINT,
    WICK,
    HEARTH,
    WANDER,
    TIDE,
    RINGS,
    FLURRY,
    THAW,
    DART,
    CROSSING,
    BANNER,
    GATHER,
)


@cache
def effects() -> Mapping[str, Effect]:
    """Every effect by name: our own, then those of installed packages that can be used."""
    return _found()[0]


@cache
def faulty() -> Mapping[str, str]:
    """What is wrong with the effects of installed packages that cannot be used, by their names."""
    return _found()[1]


@cache
def _found() -> tuple[Mapping[str, Effect], Mapping[str, str]]:
    found = {effect.name: effect for effect in OWN}
    wrong: dict[str, str] = {}
    for entry in foreign.entries():
        try:
            effect = foreign.loaded(entry)
        except EvenfallError as error:
            wrong[entry.name] = str(error)
            continue
        if effect.name in found:
            wrong[entry.name] = foreign.taken(entry, effect.name)
        else:
            found[effect.name] = effect
    return MappingProxyType(found), MappingProxyType(wrong)
