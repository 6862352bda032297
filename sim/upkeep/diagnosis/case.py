"""A house with all its single causes, worked out once; sightings come later."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from layouts.faults import Fault
from layouts.finding import Finding
from layouts.sightings import During
from sim.frame import Rig
from sim.upkeep.broken import broken
from sim.upkeep.broken_findings import joint_heat

from .causes import Breakage, causes
from .exact import Exactly, exactly, frame_shown, with_exact
from .predicted import Bench, Predicted, predicted
from .priors import Priors
from .shown import Sent, still


@dataclass(frozen=True, eq=False)
class Case:
    """A house, what may be broken of it, and what is sent to it.

    The `kept` are what was worked out already.
    """

    rig: Rig
    priors: Priors
    bench: Bench
    causes: tuple[Breakage, ...]
    sent: Mapping[During, Sent]  # while each thing is shown
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
        return predicted(self.bench, some, self.sent[during])

    def exact_of(self, some: Sequence[Breakage], during: During, most: int) -> Predicted:
        """Some causes while that is shown, the first `most` of them in the true model."""
        there = self.some_of(some, during)
        columns = there.node_v.shape[1]
        found = []
        for f, cause in enumerate(some[:most]):
            key = cause.faults, during
            if key not in self.kept_exact:
                usual, sent = self._usual(during), self.sent[during]
                self.kept_exact[key] = exactly(self.rig, cause.faults, sent, usual, columns)
            made = self.kept_exact[key]
            if made is not None:
                found.append((f, made))
        return with_exact(there, found)

    def hot(self, cause: Breakage) -> tuple[Finding, ...]:
        """Joints of a cause that get hot while the scheme is shown."""
        if all(fault.kind != "joint" for fault in cause.faults):
            return ()
        frame, _ = frame_shown(broken(self.rig, cause.faults), self.sent["scheme"])
        return tuple(joint_heat(frame))

    def _usual(self, during: During) -> np.ndarray:
        if during not in self.kept_usual:
            _, asked = frame_shown(broken(self.rig, ()), self.sent[during])
            self.kept_usual[during] = asked.light[0]
        return self.kept_usual[during]


def case(rig: Rig, priors: Priors, scheme: Sent | None = None) -> Case:
    """The case of a house; `scheme` is what is sent while that is shown.

    Without a scheme white at half stands for it.
    """
    house = rig.house
    shape = (len(house.pixels), len(house.channels))
    white = still(house, np.full(shape, 128, dtype=np.uint8))
    off = still(house, np.zeros(shape, dtype=np.uint8))
    return Case(
        rig=rig,
        priors=priors,
        bench=Bench.of(rig.network),
        causes=causes(house, priors),
        sent={"scheme": white if scheme is None else scheme, "white": white, "off": off},
    )
