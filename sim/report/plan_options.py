"""The house planned anew for each of several kinds of pixel: what every option costs and gives.

Each option gets the same metres of the same runs, is wired at least cost for the same load and
then measured as any wired house is. One that cannot be built says why. The price is the bill's
(`sim.parts.bill_of` of the planned house): whatever the planner reckoned with is in it once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from effects import Scheme
from layouts.catalogue import kinds
from layouts.errors import EvenfallError
from layouts.files.names import did_you_mean
from layouts.records import House, Kind
from sim.parts import MaterialBill, Parts, bill_of
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, Wanted, plan_house
from sim.plan.shows import plan_for
from sim.report.other_kind import unwired_of_kind
from sim.report.plan_measured import Measured, Repair, measured, repair_of
from sim.scan import Scan
from sim.season import YearPlan

Progress = Callable[[float, float], None]


@dataclass(frozen=True)
class PlannedLoad:
    """What every option has to carry: schemes at their brightness, or every channel full."""

    schemes: tuple[Scheme, ...] = ()
    full: bool = False
    brightness: float | None = None  # None: the schemes' own, or 1
    seconds: float | None = None  # how long a scheme is looked at; None: one period

    @property
    def level(self) -> float:
        """Brightness of the full load, 0..1."""
        return 1.0 if self.brightness is None else self.brightness

    @property
    def shown(self) -> tuple[Scheme, ...]:
        """The schemes at the brightness asked."""
        if self.brightness is None:
            return self.schemes
        return tuple(replace(each, brightness=self.brightness) for each in self.schemes)


@dataclass(frozen=True, eq=False)
class Built:
    """What a plan comes to."""

    plan: Plan
    bill: MaterialBill
    measured: Measured

    @property
    def feeds(self) -> int:
        """Ends of wires on runs, joints between two runs not counted."""
        return sum(len(fed.plan.feeds) for fed in self.plan.proposal.fed)

    @property
    def cuts(self) -> int:
        """Cuts of + in all runs."""
        return sum(len(run.cuts) for run in self.plan.house.runs)

    @property
    def wire_m(self) -> dict[str, float]:
        """[m] of wire of each size, the thickest first."""
        found: dict[str, float] = {}
        for wire in sorted(self.plan.house.wires, key=lambda each: -each.size.area_mm2):
            found[wire.size.name] = found.get(wire.size.name, 0.0) + wire.length_m
        return found

    @property
    def fuses_a(self) -> dict[float, int]:
        """How many fuses there are of each rating [A], the largest first."""
        ratings = [wire.fuse_a for wire in self.plan.house.wires if wire.fuse_a is not None]
        return {each: ratings.count(each) for each in sorted(set(ratings), reverse=True)}


@dataclass(frozen=True, eq=False)
class Option:
    """A kind on the house: planned and measured, or why it cannot be."""

    kind: Kind
    notes: tuple[str, ...]  # what of the house had to change for this kind, and remarks
    repair: Repair
    built: Built | None
    why: str = ""  # it cannot be built

    @property
    def status(self) -> str:
        """`optimal` where the wiring's price is its lower bound, else `bounded`; `infeasible`."""
        if self.built is None:
            return "infeasible"
        return "optimal" if self.built.plan.proposal.proven_least else "bounded"

    @property
    def price(self) -> float | None:
        """Of all it takes to build; None where it cannot be, or something has no price."""
        return self.built.bill.total if self.built else None

    @property
    def order(self) -> tuple[int, float]:
        """For sorting: what has a price by it, then what has not, last what cannot be built."""
        if self.built is None:
            return 2, 0.0
        if self.price is None:
            return 1, self.built.plan.price
        return 0, self.price


def options(
    house: House,
    load: PlannedLoad,
    kinds: Sequence[Kind],
    parts: Parts,
    wanted: Wanted | None = None,
    season: YearPlan | None = None,
    progress: Progress | None = None,
) -> tuple[Option, ...]:
    """`house` planned anew for `load` with its runs of each of `kinds`, in their order.

    `wanted.anew` is implied. `progress(done, total)` counts options.
    """
    made = []
    for number, kind in enumerate(kinds):

        def within(done: float, total: float, number: int = number) -> None:
            if progress is not None:
                progress(number + 0.9 * done / max(total, 1.0), len(kinds))

        made.append(option(house, load, kind, parts, wanted, season, within))
    return tuple(made)


def option(
    house: House,
    load: PlannedLoad,
    kind: Kind,
    parts: Parts,
    wanted: Wanted | None = None,
    season: YearPlan | None = None,
    progress: Progress | None = None,
) -> Option:
    """One of `options`."""
    notes: tuple[str, ...] = ()
    repair = repair_of(kind, parts)
    try:
        bare, notes = unwired_of_kind(house, kind)
        plan, watched = _planned(bare, load, parts, wanted, progress)
        seen = measured(plan.house, kind, watched, plan.codes, load.level, season)
    except EvenfallError as error:
        return Option(kind, notes, repair, None, str(error))
    built = Built(plan, bill_of(plan.house, parts), seen)
    return Option(kind, (*notes, *plan.remarks), repair, built)


def _planned(
    house: House, load: PlannedLoad, parts: Parts, wanted: Wanted | None, progress: Progress | None
) -> tuple[Plan, tuple[Scan, ...]]:
    """The plan for the load, and every scheme watched on the wired house."""
    if load.full:
        return plan_house(house, full_codes(house, load.level), parts, wanted, progress), ()
    return plan_for(house, load.shown, parts, wanted, seconds=load.seconds, progress=progress)


def chosen(names: Sequence[str], densities: Sequence[float], house: House) -> tuple[Kind, ...]:
    """Every kind of `names` at every density of `densities` [pixels/m], in that order.

    Without densities, kinds as the catalogue or the house has them. Raises EvenfallError with
    every name that is unknown or stands there twice.
    """
    problems = [
        f"unknown kind '{name}'; {did_you_mean(name, house.kinds)}"
        for name in dict.fromkeys(names)
        if name not in house.kinds
    ]
    problems += [
        f"a kind is named twice: {name}; name each once"
        for name in dict.fromkeys(names)
        if list(names).count(name) > 1
    ]
    problems += [
        f"a density of {each:g} pixels a metre; write 1 to 1000"
        for each in densities
        if not 1 <= each <= 1000
    ]
    if problems:
        raise EvenfallError("; ".join(problems))
    return tuple(_each_kind(names, densities, house))


def _each_kind(names: Sequence[str], densities: Sequence[float], house: House) -> Iterator[Kind]:
    for name in names:
        if densities:
            yield from (at_density(house.kinds[name], each) for each in densities)
        else:
            yield house.kinds[name]


def at_density(kind: Kind, per_metre: float) -> Kind:
    """The kind with `per_metre` pixels on each metre, on the copper it has.

    Its name gains the density where it changes, as `sk6812-144`: a parts file prices it by that
    name. Where the catalogue has that row, it is meant.
    """
    if abs(kind.pitch_m * per_metre - 1) < 1e-9:
        return kind
    listed = kinds().get(f"{kind.name}-{per_metre:g}")
    if listed is not None and kinds().get(kind.name) == kind:
        return listed
    note = f"{kind.name} at {per_metre:g} pixels a metre; copper as at {1 / kind.pitch_m:g}"
    return replace(kind, name=f"{kind.name}-{per_metre:g}", pitch_m=1.0 / per_metre, note=note)
