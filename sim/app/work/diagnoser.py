"""What is broken, from what was seen: worked out on a thread while the window goes on.

The same engine as `evenfall diagnose`, from the same text: sightings are written as their file has
them and read again, so that what the window takes the command takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from effects import Scheme, bind
from layouts import EvenfallError, House, InputError
from layouts.fault_lines import sightings_text
from layouts.sightings import Sighting, sightings_from_text
from sim.app.state.actions import Action, Failed
from sim.app.state.mending import sheet_of
from sim.app.state.record import State
from sim.app.state.shown import Stage
from sim.app.state.sighted_record import Diagnosed, SeenLine
from sim.app.work.guard import in_words, write_down
from sim.app.work.worker import Alive, Worker

if TYPE_CHECKING:
    from sim.upkeep.diagnosis import Case

FAULT = "finding what is broken"


class Diagnoser:
    """Owns the thread, started when first asked, and the case of the house on show."""

    def __init__(self) -> None:
        self._worker: Worker | None = None
        self._asked: tuple[House, Scheme | None, tuple[SeenLine, ...]] | None = None
        #: The case with the house and scheme it is of; only the thread touches it.
        self._case: tuple[House, Scheme | None, Case] | None = None

    @property
    def idle(self) -> bool:
        """Whether nothing is being worked out."""
        return self._worker is None or self._worker.idle

    def follow(self, state: State, stage: Stage | None) -> list[Action]:
        """Begin as the state asks, and tell what has come of it.

        The case is begun as soon as the page is open: all causes are tried while one looks.
        """
        told: list[Action] = []
        asked = self._asked
        for result in self._worker.drain() if self._worker is not None else ():
            if isinstance(result, Diagnosed):
                told.append(result)
            elif asked is not None:
                told += _failed(result, asked[0], asked[2])
        if stage is None or stage.plain or sheet_of(state) != "seen":
            return told
        house, scheme, seen = stage.left.rig.house, stage.scheme, state.sighted.seen
        if asked is not None and asked[0] is house and asked[1] is scheme and asked[2] == seen:
            return told
        self._asked = (house, scheme, seen)
        if self._worker is None:
            self._worker = Worker("diagnose", low=True)
        self._worker.submit(lambda alive: self._work(house, scheme, seen, alive))
        return told

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker is None or self._worker.close()

    def _work(
        self, house: House, scheme: Scheme | None, seen: tuple[SeenLine, ...], alive: Alive
    ) -> Iterator[Diagnosed]:
        from sim.upkeep.diagnosis import diagnose

        sightings = told_as_file(seen, house) if seen else ()
        of = self._case_of(house, scheme)
        of.all_of("scheme")
        if sightings and alive():
            yield Diagnosed(house, seen, diagnose(of, sightings))

    def _case_of(self, house: House, scheme: Scheme | None) -> Case:
        kept = self._case
        if kept is not None and kept[0] is house and kept[1] is scheme:
            return kept[2]
        made = case_of(house, scheme)
        self._case = (house, scheme, made)
        return made


def told_as_file(seen: tuple[SeenLine, ...], house: House) -> tuple[Sighting, ...]:
    """The sightings that a file with these lines has. Raises InputError where it cannot be."""
    text = sightings_text(line.entry for line in seen)
    name = Path(house.file).with_name("window.sightings.yaml")
    return sightings_from_text(text, str(name), house).seen


def case_of(house: House, scheme: Scheme | None) -> Case:
    """The case of a house and the scheme of its file, as `evenfall diagnose` makes it."""
    from sim.frame import rig, rig_for
    from sim.upkeep.diagnosis import case, load_priors
    from sim.upkeep.diagnosis.shown import shown

    if scheme is None:
        return case(rig(house), load_priors())
    made = rig_for(house, scheme)
    return case(made, load_priors(), shown(made, bind(house, scheme)))


def _failed(error: Exception, house: House, seen: tuple[SeenLine, ...]) -> list[Action]:
    """What was refused is told on the sheet; anything else is a fault too."""
    if isinstance(error, InputError):
        first = error.problems[0]
        return [Diagnosed(house, seen, None, f"{first.what}; {first.do}")]
    if isinstance(error, EvenfallError):
        return [Diagnosed(house, seen, None, str(error))]
    write_down(FAULT, error)
    return [Diagnosed(house, seen, None, in_words(FAULT, error)), Failed(in_words(FAULT, error))]
