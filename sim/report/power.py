"""What `power` tells of a scheme on a house, gathered: loads, ceiling, shorts, findings."""

from __future__ import annotations

from dataclasses import dataclass

from effects import Show
from layouts import house_findings
from layouts.finding import Finding, by_urgency
from sim.circuit import Ceiling
from sim.frame import Frame, Rig, frame
from sim.scan import Cause, Progress, Scan, causes, ceiling, scan


@dataclass(frozen=True, eq=False)
class PowerReport:
    """Everything `power` tells of one scheme on one house."""

    scan: Scan
    ceiling: Ceiling | None  # None without supplies: there is nothing to keep to
    causes: tuple[Cause | None, ...]  # of the peak of each supply; None: gives nothing
    findings: tuple[Finding, ...]  # of the house and of the scheme, dangers first
    at: Frame | None = None

    def _repr_html_(self) -> str:
        from .page import framed
        from .power_text import power_blocks

        return framed(power_blocks(self))

    @property
    def nameplate_a(self) -> float:
        """Every channel of every pixel full, at full voltage [A]."""
        return sum(run.nameplate_a for run in self.scan.runs)

    @property
    def worst_frame(self) -> int:
        """The frame in which the whole house draws most."""
        return int(self.scan.loads.run_a.sum(axis=1).round(9).argmax())

    def time_s(self, frame: int) -> float:
        """When a frame of the scan is shown [s]."""
        return frame / self.scan.fps


def power_report(
    rig: Rig,
    show: Show,
    *,
    seconds: float | None = None,
    at_s: float | None = None,
    progress: Progress | None = None,
) -> PowerReport:
    """Watch the scheme and say what it asks of supplies, wires and runs.

    `seconds` [s] replaces one period (or the 600 s of a scheme that never repeats); `at_s` [s]
    adds every pixel at that instant.
    """
    watched = scan(rig, show, seconds=seconds, progress=progress)
    return PowerReport(
        scan=watched,
        ceiling=ceiling(watched, progress),
        causes=causes(watched),
        findings=by_urgency((*house_findings(rig.house), *watched.findings)),
        at=None if at_s is None else frame(rig, show, at_s),
    )
