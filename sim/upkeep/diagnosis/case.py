"""A house with all its single causes, worked out once; sightings come later."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from layouts.faults import Fault
from layouts.sightings import During
from sim.frame import Rig
from sim.upkeep.broken import broken, frame_of_broken

from .causes import Breakage, causes
from .exact import Exactly, exactly, with_exact
from .predicted import Bench, Predicted, predicted
from .priors import Priors


@dataclass(frozen=True, eq=False)
class Case:
    """A house, what may be broken of it, and what is sent to it; N pixels.

    The `kept` are what was worked out already.
    """

    rig: Rig
    priors: Priors
    bench: Bench
    causes: tuple[Breakage, ...]
    codes: Mapping[During, np.ndarray]  # (N, C) sent while each thing is shown
    visible: Mapping[During, np.ndarray]  # (N,) bool
    kept: dict[During, Predicted] = field(default_factory=dict, repr=False)
    kept_exact: dict[tuple[tuple[Fault, ...], During], Exactly | None] = field(
        default_factory=dict, repr=False
    )
    kept_usual: dict[During, np.ndarray] = field(default_factory=dict, repr=False)

    def all_of(self, during: During) -> Predicted:
        """Every single cause while that is shown."""
        if during not in self.kept:
            self.kept[during] = self.some_of(self.causes, during)
        return self.kept[during]

    def some_of(self, some: Sequence[Breakage], during: During) -> Predicted:
        """Some causes while that is shown."""
        return predicted(self.bench, some, self.codes[during], self.visible[during])

    def exact_of(self, some: Sequence[Breakage], during: During, most: int) -> Predicted:
        """Some causes while that is shown, the first `most` of them in the true model."""
        there = self.some_of(some, during)
        columns = there.node_v.shape[1]
        found = []
        for f, cause in enumerate(some[:most]):
            key = cause.faults, during
            if key not in self.kept_exact:
                usual = self._usual(during)
                faults, codes = cause.faults, self.codes[during]
                self.kept_exact[key] = exactly(self.rig, faults, codes, usual, columns)
            made = self.kept_exact[key]
            if made is not None:
                found.append((f, made))
        return with_exact(there, found)

    def _usual(self, during: During) -> np.ndarray:
        if during not in self.kept_usual:
            frame = frame_of_broken(broken(self.rig, ()), self.codes[during][None])
            self.kept_usual[during] = frame.light[0]
        return self.kept_usual[during]


def case(rig: Rig, priors: Priors, scheme: tuple[np.ndarray, np.ndarray] | None = None) -> Case:
    """The case of a house; `scheme` is the codes (N, C) shown and which pixels are lit (N,).

    Without a scheme white at half stands for it.
    """
    pixels, wide = len(rig.house.pixels), len(rig.house.channels)
    there = rig.house.has_pixel
    white = (np.full((pixels, wide), 128, dtype=np.uint8), there & ~rig.house.pixels.spare)
    off = (np.zeros((pixels, wide), dtype=np.uint8), np.zeros(pixels, dtype=bool))
    shown: dict[During, tuple[np.ndarray, np.ndarray]] = {
        "scheme": scheme if scheme is not None else white,
        "white": white,
        "off": off,
    }
    return Case(
        rig=rig,
        priors=priors,
        bench=Bench.of(rig.network),
        causes=causes(rig.house, priors),
        codes={name: codes for name, (codes, _) in shown.items()},
        visible={name: visible for name, (_, visible) in shown.items()},
    )
