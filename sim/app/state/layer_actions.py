"""What can be done to the list of layers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class AddLayer:
    """A plain layer on top of all others."""


@dataclass(frozen=True)
class CopyLayer:
    """The layer once more, above itself."""

    layer: int


@dataclass(frozen=True)
class RemoveLayer:
    """Without the layer."""

    layer: int


@dataclass(frozen=True)
class MoveLayer:
    """The layer `by` places further up (positive) or down; layers above cover those below."""

    layer: int
    by: int


LayerEdit = AddLayer | CopyLayer | RemoveLayer | MoveLayer
