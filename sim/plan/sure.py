"""A plan that keeps its limits with a probability asked for, whatever the parts turn out to be.

The plan without it comes first, and draws of its parts say by how much more supplies and wires are
loaded than their sheets have it. Loads are planned with that much room. Volts are asked back as any
other lack: the judge of every proposal has the effects of first order look first, which costs
little and says how much is lacking, and draws through the exact circuit where those see no lack.
A draw is known by its seed and by what it is of, so all proposals are judged by the same draws
(common random numbers). What is told in the end is counted with draws that took no part in it.

Not drawn: whether a far short opens its fuse, which is judged as the sheets have it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from layouts import change
from layouts.catalogue import limits
from layouts.errors import EvenfallError
from layouts.records import House
from sim.circuit import Network, build, critical_frames, loads, utilisation
from sim.circuit.limits import limit_name
from sim.spread.bands import chance_of
from sim.spread.draws import Draws
from sim.spread.first_order import first_order
from sim.spread.quick import limits_of
from sim.spread.trials import Trials, of_draws, trials
from sim.spread.unknowns import unknowns

from .proposal import Infeasible
from .records import Market, Rules

if TYPE_CHECKING:
    from .plan import Plan

#: Draws that judge proposals, and their seed; others tell what a plan keeps.
DRAWS, _SEED, _OTHERS = 1000, 0, 1
#: Between these a probability can be planned for: more than the draws can tell apart is none.
LEAST, MOST = 0.5, 0.99
#: First order that is this far below what is asked needs no draws to say no.
_CLEARLY = 0.05
#: [V] that is asked back at least, so that a search comes to an end.
_STEP_V = 0.02
#: How often draws may ask for more voltage; the last steps are small ones.
_ROUNDS = 16
#: Loads below this share of a limit say nothing of how much more a draw takes.
_LOADED = 0.2


@dataclass(frozen=True)
class Kept:
    """In how many draws a wired house keeps every limit."""

    draws: int
    chance: float
    low: float  # of the 95 % interval of the chance itself
    high: float
    often: tuple[tuple[str, float], ...]  # limits exceeded, and in what share of draws


@dataclass(frozen=True)
class Sized:
    """What a plan was sized for, and the one that was not."""

    share: float  # asked
    load: float  # times the loads of the sheets that supplies, fuses and wires have room for
    kept: Kept
    plain: Kept  # the plan without it
    plain_price: float


@dataclass(frozen=True)
class Tight:
    """What a search with a probability asked for has beside the usual rules."""

    share: float
    load: float
    rounds: int = _ROUNDS

    def rules(self, rules: Rules) -> Rules:
        """Room for the loads of draws."""
        return replace(
            rules, supply_load=rules.supply_load / self.load, fuse_load=rules.fuse_load / self.load
        )

    def market(self, market: Market) -> Market:
        """Wires that carry the loads of draws."""
        wires = (replace(wire, carries_a=wire.carries_a / self.load) for wire in market.wires)
        return replace(market, wires=tuple(wires))

    def lacks_v(self, house: House, codes: np.ndarray, most_drop: float) -> float:
        """[V] that a wired house lacks to keep every limit in so many draws; 0: it does."""
        judged = Judged(house, codes, most_drop)
        guess = judged.first_order()
        if float(judged.keeps(guess).mean()) < self.share - _CLEARLY:
            return max(judged.lack_v(guess, self.share), _STEP_V)
        found = judged.drawn(DRAWS, _SEED)
        if chance_of(judged.keeps(found.used.max(axis=1)))[1] >= self.share:
            return 0.0
        return max(judged.lack_v(limits_of(found), _needed(self.share)), _STEP_V)


def _needed(share: float) -> float:
    """The share of the draws whose lower bound is the one asked for (Wilson 1927)."""
    for kept in range(int(share * DRAWS), DRAWS + 1):
        if chance_of(np.arange(DRAWS) < kept)[1] >= share:
            return kept / DRAWS
    return 1.0


class Judged:
    """A wired house in the frames that come nearest to its limits."""

    def __init__(self, house: House, codes: np.ndarray, most_drop: float):
        self.network: Network = build(house)
        seen = loads(self.network, codes)
        self._codes = codes[critical_frames(self.network, seen)]
        self._known = unknowns(house)
        self.sheet = utilisation(self.network, seen).max(axis=0)
        rated_a = np.array([supply.rated_a for supply in house.supplies])
        self._load = seen.supply_a.max(axis=0) / rated_a
        runs = len(house.runs)
        self.allowed = np.ones(len(self.sheet))
        # Of the volts that the usual limit leaves, the share that the plan may lose.
        self.allowed[-runs:] = min(1.0, most_drop / limits().drop_warning)
        law, firsts = self.network.law, [run.first for run in house.runs]
        feed_v = self.network.feed_v[firsts]
        need_v = law.need_v[law.kind[firsts]].max(axis=1)
        least_v = np.maximum(need_v, (1 - limits().drop_warning) * feed_v)
        self._volts = np.maximum(feed_v - least_v, 0.0)

    def drawn(self, count: int, seed: int) -> Trials:
        """Draws through the exact circuit."""
        return trials(
            self.network, self._known, self._codes, count, seed=seed, supply_load=self._load
        )

    def first_order(self) -> np.ndarray:
        """(D, columns) how far each limit is used, of what each unknown does alone."""

        def figures(drawn: Draws) -> np.ndarray:
            found = of_draws(self.network, drawn, self._codes, supply_load=self._load)
            return np.minimum(limits_of(found), 10.0)

        return first_order(self._known, figures).values(_SEED)

    def keeps(self, used: np.ndarray) -> np.ndarray:
        """(D,) bool of `used` (D, columns)."""
        return np.asarray((used <= self.allowed + 1e-9).all(axis=1))

    def lack_v(self, used: np.ndarray, share: float) -> float:
        """[V] by which less may be lost on the way, for so many draws to keep the limits of runs.

        Draws lose so many times what the sheets lose; to keep to what is allowed, the sheets may
        lose that much less.
        """
        runs = len(self._volts)
        times = np.maximum(used[:, -runs:], 1e-9) / self.allowed[-runs:]
        lost_v = self.sheet[-runs:] * self._volts
        each = np.where(times > 1, lost_v * (1 - 1 / times), 0.0).max(axis=1)
        return float(np.quantile(each, share))

    def kept(self, seed: int) -> Kept:
        """What draws of another seed say."""
        used = self.drawn(DRAWS, seed).used.max(axis=1)
        past = used > self.allowed + 1e-9
        often = past.mean(axis=0)
        order = np.argsort(-often, kind="stable")
        names = [(limit_name(self.network, int(at)), float(often[at])) for at in order]
        return Kept(DRAWS, *chance_of(self.keeps(used)), tuple(e for e in names if e[1] > 0))

    def load(self, share: float) -> float:
        """Times the loads of the sheets that all loads stay below in so many draws."""
        runs = len(self._volts)
        loaded = np.flatnonzero(self.sheet[:-runs] > _LOADED)
        if not len(loaded):
            return 1.0
        used = self.drawn(DRAWS, _SEED).used.max(axis=1)[:, loaded]
        times = (used / self.sheet[loaded]).max(axis=1)
        return max(1.0, float(np.quantile(times, share)))


def sure_plan(plain: Plan, share: float, again: Callable[[Tight], Plan]) -> Plan:
    """The plan that keeps every limit with probability `share`; `again` plans with more room.

    `plain` is the plan without it. Raises Infeasible where nothing that can be bought does.
    """
    drop = plain.wanted.rules.most_drop
    first = Judged(_hottest(plain), plain.codes, drop)
    before = first.kept(_OTHERS)
    # Loads and volts each get half of what may go wrong.
    tight = Tight(share, first.load((1 + share) / 2))
    if Tight(share, 1.0).lacks_v(_hottest(plain), plain.codes, drop) <= 0:
        return replace(plain, sized=Sized(share, 1.0, before, before, plain.price))
    try:
        made = again(tight)
    except Infeasible as error:
        worst = f", {before.often[0][0]} first" if before.often else ""
        raise Infeasible(
            f"nothing that can be bought keeps every limit in {share:.0%} of all draws; without"
            f" --sure they are kept in {before.chance:.0%}{worst}: lower the brightness, list"
            f" larger parts, or ask for less ({error})"
        ) from None
    kept = Judged(_hottest(made), made.codes, drop).kept(_OTHERS)
    return replace(made, sized=Sized(share, tight.load, kept, before, plain.price))


def _hottest(plan: Plan) -> House:
    """The wired house as warm as it was planned for, where its copper has most resistance."""
    between = plan.wanted.between_c
    return change(plan.house, temperature_c=max(between)) if between else plan.house


def check_share(share: float) -> None:
    """Raises EvenfallError for a probability that draws cannot plan for."""
    if not LEAST <= share <= MOST:
        raise EvenfallError(
            f"a probability of {share:.4g} cannot be planned for; write {LEAST:.0%} to {MOST:.0%}"
        )
