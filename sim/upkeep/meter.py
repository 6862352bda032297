"""From readings at the wall to the currents of the pixels: fitted in the circuit of the house.

What is sought is by how much the idle current and the current of each channel differ from the
kind's sheet, and what the supply itself takes. The circuit says what each reading would be, drop on
the way and all; least squares finds the factors. Only what the readings determine is fitted:

    off                  the idle current
    each channel alone   the current of each; any other look lit: one factor for all channels
    unplugged            what the supply takes alone (a)
    amps                 watts at the wall for each watt out (b); without, efficiency as the file's
    unplugged and two    how the supply's loss grows with load (c), where it shows
      to spare

A meter that is wrong by a share is wrong in all readings alike, so its share does not average out;
the watts it is wrong by do (JCGM 100: systematic parts are carried on their own).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from layouts.calibration import Calibration
from layouts.errors import InputError, Problem
from layouts.faults import Fault
from layouts.finding import Finding, Remedy, by_urgency
from layouts.records import CHANNELS, House, Run, Supply
from sim.circuit import Network, build
from sim.upkeep.faults_circuit import circuit_with
from sim.upkeep.identify import Followed, followed
from sim.upkeep.impossible import refuse_impossible
from sim.upkeep.meter_model import (
    MeterModel,
    curve_of,
    fitted,
    random_errors,
    rises,
    scatter_w_of,
    uncertainty_of,
)
from sim.upkeep.meter_odds import at_odds
from sim.upkeep.readings import Accuracy, Reading, Readings

#: A reading off by more than so many times the meter's own watts, and this share of what it shows,
#: is more than scatter.
_OFF_READINGS, _OFF_SHARE = 2, 0.03


@dataclass(frozen=True, eq=False)
class Fitted:
    """What one reading came to: read, as the sheets say, and as fitted [W]."""

    reading: Reading
    sheet_w: float
    fitted_w: float

    @property
    def residual_w(self) -> float:
        return self.reading.watts - self.fitted_w


@dataclass(frozen=True, eq=False)
class MeterFit:
    """The readings of one supply, fitted."""

    supply: Supply
    runs: tuple[Run, ...]
    found: Mapping[str, float]  # idle, all or r g b w, curve_a curve_b curve_c
    uncertainty: Mapping[str, float]  # standard, of each of these
    rows: tuple[Fitted, ...]
    spare: int
    accuracy: Accuracy
    missing: tuple[str, ...]  # looks whose readings would say more
    follows: Followed | None  # what the readings follow by themselves, if they can tell
    written_law: str  # of the kinds; "" where they differ
    readings_file: str

    @property
    def law_holds(self) -> bool:
        """Whether the pixels follow the law of their kind, as far as can be told."""
        return self.follows is None or not self.written_law or self.follows.law == self.written_law

    @property
    def can_write(self) -> bool:
        """Whether there is something to keep, and it can be trusted."""
        return bool(self.found) and self.law_holds

    @property
    def doubt(self) -> float:
        """Standard uncertainty of the least certain current; for ever where none is found."""
        own = [self.uncertainty[name] for name in self.found if not name.startswith("curve")]
        return max(own, default=float("inf"))

    @property
    def deviation_w(self) -> float | None:
        """s [W] of a reading; None where none is spare."""
        if self.spare < 1:
            return None
        return float(np.sqrt(sum(row.residual_w**2 for row in self.rows) / self.spare))

    @property
    def worst(self) -> Fitted:
        """The reading that fits least."""
        return max(self.rows, key=lambda row: abs(row.residual_w))

    @cached_property
    def calibration(self) -> Calibration:
        """What the house file keeps of it."""
        lit = {c.name for run in self.runs for c in run.kind.channels}
        currents = {c: self.found[c if c in self.found else "all"] for c in CHANNELS
                    if c in lit and (c in self.found or "all" in self.found)}  # fmt: skip
        return Calibration(
            supply=self.supply.name,
            volts=self.supply.volts,
            runs={run.name: run.kind.name for run in self.runs},
            idle=_four(self.found.get("idle", 1.0)),
            currents={name: _four(value) for name, value in currents.items()},
            curve=curve_of(self.supply, self.found),
            uncertainty={name: _four(value) for name, value in self.uncertainty.items()},
            readings=self.readings_file,
        )


def fit(readings: Readings, house: House) -> tuple[MeterFit, ...]:
    """The readings fitted, supply by supply in the house's order.

    Raises InputError for readings that cannot be, of a supply that shares a run with another, or
    that come to currents below nothing.
    """
    refuse_impossible(readings, house)
    bare = replace(house, calibration=())
    network = build(bare)
    made = []
    for number, supply in enumerate(house.supplies):
        own = [each for each in readings.readings if each.supply == supply.name]
        if own:
            made.append(_fit(number, own, readings, network))
    return tuple(made)


def calibrated(house: House, fits: Sequence[MeterFit]) -> House:
    """The house with what was fitted; supplies that were not read again keep what they had.

    A run that several supplies were read with, each alone, is kept with the one that says more
    surely what it draws.
    """
    new = {each.supply.name for each in fits}
    kept = [each for each in house.calibration if each.supply not in new]
    surest: dict[str, MeterFit] = {}
    for each in sorted(fits, key=lambda one: one.doubt):
        for run in each.runs:
            surest.setdefault(run.name, each)
    made = [_less(each, surest.keys()) for each in kept]
    for each in fits:
        others = {name for name, best in surest.items() if best is not each}
        made.append(_less(each.calibration, others))
    return replace(house, calibration=tuple(each for each in made if each.runs or each.supply))


def _less(each: Calibration, runs: Collection[str]) -> Calibration:
    """The calibration without these runs."""
    return replace(each, runs={name: kind for name, kind in each.runs.items() if name not in runs})


def _fit(number: int, own: list[Reading], readings: Readings, network: Network) -> MeterFit:
    if all(each.alone for each in own):
        network = _only(number, network)
    house = network.house
    supply = house.supplies[number]
    runs = tuple(r for r, fed in zip(house.runs, network.feeds[number], strict=True) if fed)
    _refuse_shared(number, own, readings, network)
    model = MeterModel(network, number, supply, runs, own)
    names = _names(own, runs)
    values, spare = fitted(model, names, readings.accuracy)
    with_c = (*names, "curve_c")
    if spare >= 2 and "curve_a" in names:
        tried, left = fitted(model, with_c, readings.accuracy)
        error = random_errors(
            model, with_c, tried, readings.accuracy, scatter_w_of(model, tried, left)
        )
        if abs(tried["curve_c"]) > 2 * error["curve_c"] and rises(tried, supply):
            names, values, spare = with_c, tried, left
    _refuse_negative(values, own, readings)
    before, after = model.watts({}), model.watts(values)
    rows = tuple(map(Fitted, own, before, after))
    kinds = {run.kind.law for run in runs}
    return MeterFit(
        supply=supply,
        runs=runs,
        found=values,
        uncertainty=uncertainty_of(model, names, values, readings.accuracy, spare),
        rows=rows,
        spare=spare,
        accuracy=readings.accuracy,
        missing=_missing(own, runs),
        follows=_follows(own, runs),
        written_law=kinds.pop() if len(kinds) == 1 else "",
        readings_file=readings.file.rsplit("/", 1)[-1],
    )


def meter_findings(fits: Sequence[MeterFit]) -> tuple[Finding, ...]:
    """What the readings do not say, and where they contradict the pixels' law."""
    found = [found for each in fits for found in _findings(each)]
    return by_urgency([*found, *at_odds(fits)])


def _findings(fit: MeterFit) -> Iterator[Finding]:
    name = fit.supply.name
    if not fit.law_holds and fit.follows is not None:
        yield Finding(
            "danger",
            "meter-law",
            name,
            value=fit.follows.sum_off_w,
            limit=fit.follows.max_off_w,
            unit="W",
            remedies=(Remedy("other-kind", fit.runs[0].name),),
            detail={**vars(fit.follows), "kind": fit.runs[0].kind.name},
        )
    worst = fit.worst
    allowed_w = max(_OFF_READINGS * fit.accuracy.watts, _OFF_SHARE * worst.reading.watts)
    if fit.found and fit.law_holds and abs(worst.residual_w) > allowed_w:
        yield Finding(
            "warning",
            "meter-residual",
            name,
            value=worst.residual_w,
            limit=allowed_w,
            unit="W",
            remedies=(Remedy("read-again", name),),
            detail={"look": worst.reading.said, "read": worst.reading.watts},
        )
    if fit.missing and ("all" in fit.found or not fit.found or fit.found.keys() == {"idle"}):
        yield Finding(
            "note" if "all" in fit.found else "warning",
            "meter-too-few",
            name,
            value=float(len(fit.rows)),
            remedies=tuple(Remedy("read", name) for _ in fit.missing[:1]),
            detail={"missing": fit.missing, "found": tuple(fit.found)},
        )
    elif fit.spare < 1:
        yield Finding("note", "meter-law-not-tried", name, detail={"missing": fit.missing})


def _names(own: list[Reading], runs: tuple[Run, ...]) -> tuple[str, ...]:
    """What the readings determine."""
    looks = {each.lit for each in own}
    lit = [each for each in own if each.codes.any()]
    channels = tuple(c for c in CHANNELS if any(run.kind.channel(c) for run in runs))
    series = all(run.kind.law == "series" for run in runs)
    names: list[str] = []
    if "off" in looks:
        names.append("idle")
        if lit:
            alone = not series and set(channels) <= looks
            names += channels if alone else ("all",)
    if "unplugged" in looks:
        names.append("curve_a")
    if any(each.amps is not None for each in lit) and "off" in looks:
        names.append("curve_b")
    return tuple(names)


def _missing(own: list[Reading], runs: tuple[Run, ...]) -> tuple[str, ...]:
    """The looks that would say more."""
    looks = {each.lit for each in own}
    channels = [c for c in CHANNELS if any(run.kind.channel(c) for run in runs)]
    return tuple(look for look in ("off", *channels, "all", "half") if look not in looks)


def _follows(own: list[Reading], runs: tuple[Run, ...]) -> Followed | None:
    """Which law the readings follow, from the plain looks alone."""
    plain = [each for each in own if each.brightness is None and len(each.codes) == 1]
    plain = [each for each in plain if each.lit != "unplugged"]
    if not plain:
        return None
    pixels = np.concatenate([np.arange(run.first, run.first + run.count) for run in runs])
    duty = np.array([each.codes[0, pixels].max(axis=0) / 255 for each in plain])
    duty = duty[:, duty.any(axis=0)]
    return followed(duty, np.array([each.watts for each in plain])) if duty.size else None


def _refuse_shared(number: int, own: list[Reading], readings: Readings, network: Network) -> None:
    feeds = network.feeds
    for run, by in zip(network.house.runs, feeds.T, strict=True):
        if by[number] and by.sum() > 1:
            others = [s.name for s, on in zip(network.house.supplies, by, strict=True) if on]
            what = f"run {run.name} is fed by {', '.join(others)}"
            do = (
                "a meter at one of them does not tell what it draws: read with all others unplugged"
                " and add 'alone: true' to every reading of this supply, or leave them out"
            )
            raise InputError([readings.document.problem(own[0].at, what, do)])
    if not feeds[number].any():
        what = f"no run is fed by {network.house.supplies[number].name}"
        do = "its meter tells nothing of pixels; leave these readings out"
        raise InputError([readings.document.problem(own[0].at, what, do)])


def _only(number: int, network: Network) -> Network:
    """The circuit with every supply but one unplugged."""
    others = [s.name for n, s in enumerate(network.house.supplies) if n != number]
    return circuit_with(network, [Fault("off", supply=name) for name in others])


def _refuse_negative(values: Mapping[str, float], own: list[Reading], readings: Readings) -> None:
    problems: list[Problem] = []
    for name, value in values.items():
        if name == "curve_c" or value > 0:
            continue
        what = f"these readings come to a factor of {value:.2f} for '{name}', which cannot be"
        worst = next((each for each in own if each.lit == "off"), own[0])
        do = "read again; is the supply's no_load_w in the house file right?"
        problems.append(readings.document.problem(worst.at, what, do))
    if problems:
        raise InputError(problems)


def _four(value: float) -> float:
    """To four figures, as the file keeps it."""
    return float(f"{value:.4g}")
