"""What a whole scheme asks of every part, ready to be asked about one part at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.finding import Finding
from sim.circuit.limits import limit_name, utilisation
from sim.scan import Scan


@dataclass(frozen=True, eq=False)
class Watched:
    """A scan, its findings, and how far every part goes towards its limit in any frame."""

    scan: Scan
    findings: tuple[Finding, ...]
    strain: np.ndarray  # (S + S + W + R,) the largest of `sim.circuit.limits.utilisation`

    def about(self, name: str) -> tuple[Finding, ...]:
        """The findings about one run, wire or supply, most urgent first."""
        return tuple(f for f in self.findings if name == f.where or name in f.elements)

    def nearest(self, columns: list[int]) -> tuple[str, float] | None:
        """Of some columns of `strain` whose limit comes nearest, in words, and how far it is
        gone towards; None without any."""
        if not columns:
            return None
        at = max(columns, key=lambda column: float(self.strain[column]))
        return limit_name(self.scan.rig.network, at), float(self.strain[at])


def watched_of(scan: Scan) -> Watched:
    """The scan with all that is said of its parts."""
    strain = utilisation(scan.rig.network, scan.loads).max(axis=0)
    return Watched(scan, scan.findings, np.asarray(strain))
