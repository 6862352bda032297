"""What `power` tells of a scheme on a house, gathered: loads, ceiling, shorts, findings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from effects import Show
from layouts import house_findings
from layouts.errors import EvenfallError
from layouts.finding import Finding, by_urgency
from sim.circuit import Ceiling, critical_frames, far_shorts
from sim.frame import Frame, Rig, frame, on_wire
from sim.scan import Cause, Progress, Scan, causes, ceiling, scan
from sim.spread.quick import QuickBands, quick_bands
from sim.spread.study import Study
from sim.upkeep.margins import Margins, OutputMargins, lead_findings, margin_findings, margins


@dataclass(frozen=True, eq=False)
class PowerReport:
    """Everything `power` tells of one scheme on one house."""

    scan: Scan
    ceiling: Ceiling | None  # None without supplies: there is nothing to keep to
    causes: tuple[Cause | None, ...]  # of the peak of each supply; None: gives nothing
    findings: tuple[Finding, ...]  # of the house and of the scheme, dangers first
    at: Frame | None = None
    margins: Margins | None = None  # of data, in the frames that load each part most
    study: Study | None = None  # of many draws of the parts, where they were asked for

    @cached_property
    def quick(self) -> QuickBands | None:
        """Bands of peak, least volts and ceiling; None where parts a little off do not work."""
        try:
            return quick_bands(self.scan, self.ceiling)
        except EvenfallError:
            return None

    def _repr_html_(self) -> str:
        from .page import framed
        from .power_text import power_blocks

        return framed(power_blocks(self))

    @property
    def data(self) -> tuple[OutputMargins, ...]:
        """The least data margins, output by output."""
        return self.margins.outputs if self.margins is not None else ()

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
    watched = scan(rig, show, seconds=seconds, progress=progress, full=True)
    far_shorts(rig.network, progress)  # kept with the network, for all that follows
    data = data_margins(watched)
    leads = (each for output in rig.house.outputs for each in lead_findings(rig.house, output))
    return PowerReport(
        scan=watched,
        ceiling=ceiling(watched, progress),
        causes=causes(watched),
        findings=by_urgency(
            (*house_findings(rig.house), *watched.findings, *leads, *margin_findings(data))
        ),
        at=None if at_s is None else frame(rig, show, at_s),
        margins=data,
    )


def data_margins(watched: Scan) -> Margins:
    """The data margins in the frames that load each part most, and while the house is dark."""
    network = watched.rig.network
    frames = critical_frames(network, watched.loads) if len(network.fixed_v) else np.zeros(0, int)
    times = frames / watched.fps
    return margins(network, on_wire(watched.rig, watched.show, times, watched.brightness))
