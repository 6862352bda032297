"""What every scheme of a season does on a house: its mean watts, and what it overloads."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from layouts import house_findings
from layouts.finding import Finding, by_urgency
from layouts.records import CHANNELS, House
from sim.season.bill import Watts
from sim.season.plan import YearPlan
from sim.season.records import Season

if TYPE_CHECKING:
    from effects import Scheme
    from sim.frame import Rig

#: A mean needs far fewer frames than a peak: so many are spread over what is watched. A prime
#: keeps them from falling in step with a round period inside it.
FRAMES = 251


@dataclass(frozen=True)
class SchemeWatts:
    """The schemes of a season on a house; the mappings are by a scheme's name in the season."""

    watts: Watts
    house_dangers: tuple[Finding, ...]  # whatever is shown
    dangers: Mapping[str, tuple[Finding, ...]]  # seen in the frames watched


def measure(
    house: House,
    season: Season,
    progress: Callable[[float, float], None] | None = None,
    rig_of: Callable[[House, Scheme], Rig] | None = None,
) -> SchemeWatts:
    """What each scheme takes from the mains on average and overloads, and the house when dark.

    At most 251 frames of a scheme are watched: a peak between them is not seen. `rig_of` gives
    rigs that are made already.
    """
    from effects import bind
    from effects.course import span_s
    from sim.frame import rig_for
    from sim.scan import scan

    lit: dict[str, float] = {}
    dangers: dict[str, tuple[Finding, ...]] = {}
    for name, scheme in season.schemes.items():
        show = bind(house, scheme)
        watched_s = span_s(show)
        rate = max(1.0 / watched_s, min(show.fps, FRAMES / watched_s))
        rig = (rig_of or rig_for)(house, scheme)
        watched = scan(rig, show, seconds=watched_s, fps=rate)
        wall_w = watched.energy.wall_w_mean
        lit[name] = watched.energy.dc_w_mean if wall_w is None else wall_w
        dangers[name] = _dangers(watched.load_findings)
        if progress:
            progress(len(lit), len(season.schemes))
    return SchemeWatts(
        Watts(lit, _idle_w(house), bool(house.supplies), undriven_w(house)),
        _dangers(house_findings(house)),
        dangers,
    )


def warned(plan: YearPlan, measured: SchemeWatts) -> YearPlan:
    """The plan with the dangers of the house and of every scheme that it lights."""
    evenings: dict[str, int] = {}
    for evening in plan.evenings:
        if evening.lit and evening.scheme:
            evenings[evening.scheme] = evenings.get(evening.scheme, 0) + 1
    of_schemes = [
        replace(
            danger,
            where=f"{name}: {danger.where}",
            elements=danger.elements or (danger.where,),
            detail={**danger.detail, "evenings": count},
        )
        for name, count in evenings.items()
        for danger in measured.dangers[name]
    ]
    unfed = () if measured.watts.fed else (Finding("warning", "season-unfed", "supplies"),)
    findings = by_urgency((*measured.house_dangers, *of_schemes, *unfed, *plan.findings))
    return replace(plan, findings=findings)


def _dangers(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(each for each in findings if each.level == "danger")


def _idle_w(house: House) -> float:
    """Wall watts with every pixel dark and the supplies on; the pixels' own without supplies."""
    return _steady_w(house, np.zeros((len(house.pixels), len(house.channels)), np.uint8))


def undriven_w(house: House) -> float | None:
    """The most that is taken while pixels have power and no data; None where all stay dark.

    A pattern of a part's own is not known: as much as all its channels in full is allowed for.
    """
    codes = np.zeros((len(house.pixels), len(house.channels)), np.uint8)
    for run in house.runs:
        shown = _SHOWN[run.kind.boots or "dark"]
        codes[run.pixels] = [
            shown[name] if run.kind.channel(name) else 0 for name in house.channels
        ]
    return _steady_w(house, codes) if codes.any() else None


_FULL = dict.fromkeys(CHANNELS, 255)
#: Codes of what a part shows by itself.
_SHOWN: Mapping[str, Mapping[str, int]] = {
    "dark": dict.fromkeys(CHANNELS, 0),
    "blue": dict.fromkeys(CHANNELS, 0) | {"b": 255},
    "pattern": _FULL,
    "lit": _FULL,
}


def _steady_w(house: House, codes: np.ndarray) -> float:
    from sim.circuit import build, energy, loads

    network = build(house)
    steady = loads(network, codes[None])
    idle = energy(network, steady, steady)
    return idle.idle_dc_w if idle.idle_wall_w is None else idle.idle_wall_w
