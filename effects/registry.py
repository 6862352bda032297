"""The effects there are: the table of our own, and those other packages bring."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

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

GROUP = "evenfall.effects"


@cache
def effects() -> Mapping[str, Effect]:
    """Every effect by name: our own, then those of installed packages (entry points).

    Raises EvenfallError where a package's entry point is no `Effect` or takes a name there is.
    """
    from importlib.metadata import entry_points  # slow to import

    found = {effect.name: effect for effect in OWN}
    for entry in sorted(entry_points(group=GROUP), key=lambda entry: entry.name):
        whose = f"{entry.dist.name if entry.dist else 'a package'} ({entry.value})"
        try:
            effect = entry.load()
        except Exception as error:
            raise EvenfallError(
                f"effect '{entry.name}' of {whose} cannot be loaded: {error}"
            ) from error
        if not isinstance(effect, Effect):
            raise EvenfallError(f"effect '{entry.name}' of {whose} is not an effects.Effect")
        if effect.name in found:
            raise EvenfallError(f"effect '{effect.name}' of {whose}: there is one of that name")
        found[effect.name] = effect
    return MappingProxyType(found)
