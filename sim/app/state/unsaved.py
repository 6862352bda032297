"""Values that stand in the window only, apart from everything else it knows."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.layers import LayerMark, LayerValue, Value


@dataclass(frozen=True)
class Unsaved:
    """What would be lost with the window; `layers` are those of the scheme file at that time."""

    scheme_file: str
    whole: tuple[tuple[str, Value], ...] = ()  # of the whole scheme: brightness, colour, white
    values: tuple[LayerValue, ...] = ()
    layers: tuple[LayerMark, ...] = ()
    order: tuple[LayerMark, ...] = ()  # the layers in the window; none: as the file has them

    @property
    def any(self) -> bool:
        """Whether there is anything to lose."""
        return bool(self.whole or self.values or self.order)


@dataclass(frozen=True)
class UnsavedDrawing:
    """A drawing that would be lost with the window, and the content of the file it is based on."""

    house_file: str
    digest: str
    text: str
    newer: bool = False  # whether the file was changed since
