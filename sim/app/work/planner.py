"""Feeds worked out on a thread of their own, while the picture goes on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from effects import Show, bind
from layouts import EvenfallError, House
from layouts.files.writeback import digest_of
from sim.app.state.actions import Action, Failed, FeedsLost, FeedsProposed, FeedsSought, NoFeeds
from sim.app.state.record import Asking, Proposed, State
from sim.app.state.shown import Stage
from sim.app.work.file_facts import edited
from sim.app.work.guard import in_words, write_down
from sim.app.work.watch import Stamp
from sim.app.work.worker import Alive, Worker
from sim.frame import Rig
from sim.parts.load import parts_beside
from sim.plan.loadcase import envelope_codes, full_codes
from sim.plan.plan import Plan, plan_house
from sim.plan.write import write_plan
from sim.report.plan_words import proposal_words

FAULT = "proposing feeds"
#: So many plans are kept whether or not a step of the history may ask for them again.
KEPT = 4


@dataclass(frozen=True, eq=False)
class Found:
    """The plan that answers an asking."""

    asking: Asking
    plan: Plan
    digest: str  # of the house file that it was made from
    of_scheme: bool  # made for the scheme on show too


@dataclass(frozen=True, eq=False)
class Wired:
    """A house as a plan wires it, and what tells the file that it was made from."""

    house: House
    digest: str


class _PlanDropped(Exception):
    """Nobody waits for it any more."""


class Planner:
    """Owns the thread; keeps every plan that a step back or on may ask for again."""

    def __init__(self) -> None:
        self._worker = Worker("plan")
        self._asking: Asking | None = None  # being worked out
        self._found: dict[int, Found] = {}
        self._made_from: Stamp = ()  # the house file when feeds were asked for
        self._fits: tuple[int, Stamp] | None = None  # the proposal last seen to be of its file
        self._share = self._told_share = 0.0

    @property
    def idle(self) -> bool:
        """Whether nothing is being worked out."""
        return self._worker.idle and self._asking is None

    def write(self, number: int) -> str:
        """Put the plan made for an asking into its house file; returns that file's new digest.

        Raises EvenfallError (Conflict where the file is another one since) or OSError.
        """
        found = self._found.get(number)
        if found is None:
            raise EvenfallError("what was proposed is not there any more; propose anew")
        return write_plan(found.plan, found.plan.before.file, expected=found.digest)

    def wired(self, number: int) -> Wired | None:
        """The house as wired for an asking; None where there is no plan for it."""
        found = self._found.get(number)
        return Wired(found.plan.house, found.digest) if found else None

    def lost(self, state: State, house_file: Stamp) -> list[Action]:
        """Whether what is proposed, or sought, was for a house file that has changed since.

        A step of the history may bring back what was proposed before a change of the file.
        """
        gone = self._asking is not None and state.asking is not None and (
            house_file != self._made_from
        )  # fmt: skip
        found = self._found.get(state.proposal.number) if state.proposal else None
        if found is not None and (found.asking.number, house_file) != self._fits:
            gone = gone or digest_of(found.plan.before.file) != found.digest
            self._fits = None if gone else (found.asking.number, house_file)
        if not gone:
            return []
        self._give_up()
        return [FeedsLost()]

    def follow(self, state: State, stage: Stage | None, house_file: Stamp) -> list[Action]:
        """Begin or give up as the state asks, and tell what has come of it."""
        told: list[Action] = []
        if state.asking is None and self._asking is not None:
            self._give_up()
        asking = state.asking
        if asking is not None and asking != self._asking:
            if stage is None or stage.left.kind != asking.kind:
                return told  # the house with that kind is on its way
            rig = stage.left.rig
            show = bind(stage.house, edited(stage.scheme, state)) if stage.scheme else None
            self._asking, self._made_from = asking, house_file
            self._share = self._told_share = 0.0
            digest = stage.digest or digest_of(rig.house.file)
            self._worker.submit(lambda alive: self._work(rig, show, asking, digest, alive))
        for result in self._worker.drain():
            told += self._heard(result)
            self._let_go(state)
        if self._asking is not None and self._share != self._told_share:
            self._told_share = self._share
            told.append(FeedsSought(self._share))
        return told

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker.close()

    def _give_up(self) -> None:
        self._asking = None
        self._worker.cancel()

    def _let_go(self, state: State) -> None:
        """Drop the plans that nothing can ask for: neither what is on show nor a step."""
        if len(self._found) <= KEPT:
            return
        steps = (*state.history.done, *state.history.undone)
        ends = [end for step in steps for end in step.proposal or () if end is not None]
        spoken_of = {end.number for end in ends}
        if state.proposal is not None:
            spoken_of.add(state.proposal.number)
        for number in sorted(self._found)[:-KEPT]:
            if number not in spoken_of:
                del self._found[number]

    def _heard(self, result: Found | Exception) -> list[Action]:
        asking, self._asking = self._asking, None
        if asking is None:
            return []
        if isinstance(result, Found):
            self._found[asking.number] = result
            title, lines = proposal_words(result.plan, asking.brightness, result.of_scheme)
            # Feeds made for another kind of pixel than the file's are no matter of the file.
            can = asking.kind is None and result.digest
            file = Path(result.plan.before.file).name if can else ""
            return [FeedsProposed(Proposed(asking.number, asking.kind, title, lines, file=file))]
        if isinstance(result, EvenfallError):
            return [NoFeeds(asking.number, str(result))]
        write_down(FAULT, result)
        return [NoFeeds(asking.number, ""), Failed(in_words(FAULT, result))]

    def _work(
        self, rig: Rig, show: Show | None, asking: Asking, digest: str, alive: Alive
    ) -> Iterator[Found]:
        """Every channel full at the brightness on show, and the scheme on show at it.

        A warm white can ask more of red than every channel at that brightness does.
        """
        house = rig.house

        def progress(done: float, total: float) -> None:
            if not alive():
                raise _PlanDropped
            self._share = done / total if total else 0.0

        try:
            codes = full_codes(house, asking.brightness)
            if show is not None:
                scheme = envelope_codes(rig, show, asking.brightness, progress)
                codes = np.maximum(codes, scheme)
            made = plan_house(house, codes, parts_beside(house), progress=progress)
            yield Found(asking, made, digest, show is not None)
        except _PlanDropped:
            return
