"""What `check` tells: findings of a house file, and of each scheme shown on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from layouts import house_findings
from layouts.finding import LEVELS, Finding, by_urgency
from layouts.records import House
from sim.circuit import build, far_shorts
from sim.circuit.wiring import wiring_findings
from sim.upkeep.margins import lead_findings, margin_findings, margins

from .blocks import Block, Cautions, Findings, Section, Title, section, spans, words
from .cautions import FLASHING, WIRING
from .text import count
from .wording import finding_json

if TYPE_CHECKING:
    from effects import Scheme
    from sim.light.evenness import Evenness
    from sim.scan import Progress
    from sim.upkeep.surge import Noise


@dataclass(frozen=True, eq=False)
class CheckReport:
    """Findings of the house itself and of each scheme, dangers first."""

    house: House
    findings: tuple[Finding, ...]
    schemes: tuple[tuple[Scheme, tuple[Finding, ...]], ...]
    noise: Noise | None = None  # where it was asked for
    light: tuple[Evenness, ...] | None = None  # the same

    def _repr_html_(self) -> str:
        from .page import framed

        return framed(check_blocks(self))

    @property
    def all(self) -> tuple[Finding, ...]:
        """Every finding."""
        heard = self.noise.findings if self.noise else ()
        return (*self.findings, *heard, *(each for _, found in self.schemes for each in found))


def check_report(
    house: House,
    schemes: Sequence[Scheme],
    *,
    seconds: float | None = None,
    noisy: bool = False,
    lit: bool = False,
    progress: Progress | None = None,
) -> CheckReport:
    """Check the house, then watch every scheme on it for its loads and its flashing.

    `seconds` [s] replaces one period (or the 600 s of a scheme that never repeats). `noisy` adds
    noise and surge, `lit` how evenly the runs light their walls.
    """
    network = build(house)
    parts = 1 + len(schemes)  # what takes time: shorts, and each scheme
    shorts = far_shorts(network, progress and partial(_share, progress, 0, parts))
    wiring = wiring_findings(network, shorts)
    dark = [each for output in house.outputs for each in lead_findings(house, output)]
    dark += margin_findings(margins(network))
    told = []
    for index, scheme in enumerate(schemes):
        part = progress and partial(_share, progress, 1 + index, parts)
        told.append((scheme, _of_scheme(house, scheme, seconds, part)))
    found_here = by_urgency((*house_findings(house), *wiring, *dark))
    heard, even = None, None
    if noisy:
        from sim.upkeep.surge import noise

        heard = noise(house)
    if lit:
        from sim.light.evenness import evenness

        even = evenness(house)
    return CheckReport(house, found_here, tuple(told), heard, even)


def _of_scheme(
    house: House, scheme: Scheme, seconds: float | None, progress: Progress | None
) -> tuple[Finding, ...]:
    """What is found while one scheme is watched, most urgent first."""
    # a house alone waits for none of this
    from effects import bind
    from sim.frame import rig_for
    from sim.scan import scan

    from .colour_losses import shade_findings
    from .flash import flash_findings
    from .power import data_margins

    watched = scan(rig_for(house, scheme), bind(house, scheme), seconds=seconds, progress=progress)
    found = (*flash_findings(house, scheme), *shade_findings(house, scheme))
    data = [each for each in margin_findings(data_margins(watched)) if not each.detail["dark"]]
    return by_urgency((*watched.load_findings, *found, *data))


def _share(progress: Progress, index: int, parts: int, done: float, total: float) -> None:
    progress(index + done / total, parts)


def check_blocks(report: CheckReport) -> Iterator[Block]:
    """The report as a person reads it."""
    house = report.house
    yield Title(spans((house.name, "strong"), ("  " + _inventory(house), "quiet")))
    yield Section("", (Findings(report.findings),))
    for scheme, findings in report.schemes:
        yield section(scheme.name, Findings(findings))
    if report.noise is not None:
        from .noise import noise_blocks

        yield from noise_blocks(report.noise)
        yield section("Findings of noise and surge", Findings(report.noise.findings))
    if report.light is not None:
        from .evenness import evenness_blocks

        yield from evenness_blocks(report.light, house.units)
    yield section("In all", words(_sum(report.all)))
    yield section("Cautions", Cautions((*WIRING, *(FLASHING if report.schemes else ()))))


def _inventory(house: House) -> str:
    parts = [("run", len(house.runs)), ("pixel", house.present)]
    parts += [("supply", len(house.supplies)), ("wire", len(house.wires))]
    plurals = {"supply": "supplies"}
    return ", ".join(
        f"{count(n)} {name if n == 1 else plurals.get(name, name + 's')}" for name, n in parts
    )


def _sum(findings: tuple[Finding, ...]) -> str:
    counts = [(level, sum(each.level == level for each in findings)) for level in LEVELS]
    return ", ".join(f"{n} {level}{'' if n == 1 else 's'}" for level, n in counts)


def as_json(report: CheckReport) -> dict[str, Any]:
    """The report as plain data. Fields are stable; later versions only add."""
    from .evenness import evenness_json
    from .noise import noise_json

    return {
        "house": report.house.name,
        "file": report.house.file,
        "findings": [finding_json(each) for each in report.findings],
        "schemes": [
            {
                "scheme": scheme.name,
                "file": scheme.file,
                "findings": [finding_json(each) for each in findings],
            }
            for scheme, findings in report.schemes
        ],
        **({"noise": noise_json(report.noise)} if report.noise is not None else {}),
        **({"light": evenness_json(report.light)} if report.light is not None else {}),
    }
