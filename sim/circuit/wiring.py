"""What is questionable in the wiring itself, whatever it carries."""

from __future__ import annotations

from layouts.finding import Finding

from .build import Network
from .fuse_opening import Short, far_shorts
from .limits import class_2_findings
from .short_findings import short_findings
from .unreached import unreached_findings


def wiring_findings(
    network: Network, shorts: tuple[Short | None, ...] | None = None
) -> tuple[Finding, ...]:
    """Far shorts (`shorts`, if known), pixels that no supply reaches, supplies past a class."""
    if shorts is None:
        shorts = far_shorts(network)
    return (
        *unreached_findings(network),
        *short_findings(network, shorts),
        *class_2_findings(network.house.supplies),
    )
