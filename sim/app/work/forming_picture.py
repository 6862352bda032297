"""The house of a dialogue as a picture: coarse at once, exact once it is at rest. One thread."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from effects import Layer, Scheme, bind
from layouts import House, house_from, kinds
from layouts.forms import FormMeasures, house_of_form
from sim.app.state.formed import FormFacts, FormPicture
from sim.app.work.worker import Alive, Worker
from sim.circuit.law import nameplate_a
from sim.frame import Rig, frame, rig_for, scene
from sim.light import lifted, picture
from sim.light.lattice import NODES_ACROSS

#: What the house is shown in.
WARM = Scheme("Warm white", "", (Layer("steady", palette=("3000 K",)),), brightness=0.4)
#: The coarse picture has so many pixels across, with light computed at so many places across.
COARSE_PX, COARSE_ACROSS = 300, 50
#: The exact picture is begun once nothing has changed for this long [s].
REST_S = 0.12


@dataclass(frozen=True)
class FormAsked:
    """What decides the picture."""

    measures: FormMeasures
    hour: str
    bright: bool  # lifted out of the night, to see the house
    size_px: tuple[int, int]


class FormPainter:
    """Asks for pictures and hands them on. The exposure of an hour stays that of its first."""

    def __init__(self) -> None:
        self.facts: FormFacts | None = None
        self.shown: FormPicture | None = None
        self.failed: Exception | None = None
        self.took_s: dict[str, float] = {}  # from the last asking to each sort of picture
        # Of its own, for the worker's drops what is of an older asking: while a number is held the
        # newest picture is always of the last but one.
        self._ready: queue.SimpleQueue[FormFacts | FormPicture] = queue.SimpleQueue()
        self._worker = Worker("picture of the measures")
        self._asked: FormAsked | None = None
        self._exposures: dict[tuple[str, str], float] = {}

    @property
    def idle(self) -> bool:
        """Whether the newest picture asked for is there."""
        return self._worker.idle and self._ready.empty()

    def follow(self, asked: FormAsked) -> bool:
        """Ask for what is to be shown, take what is ready; whether anything new is."""
        if asked != self._asked:
            self._asked = asked
            self._worker.submit(lambda alive: self._job(asked, time.monotonic(), alive))
        new = False
        with suppress(queue.Empty):
            while True:
                result = self._ready.get_nowait()
                new = True
                if isinstance(result, FormFacts):
                    self.facts = result
                else:
                    self.shown, self.failed = result, None
        for failed in self._worker.drain():
            if isinstance(failed, Exception):
                self.failed, new = failed, True
        return new

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker.close()

    def _job(self, asked: FormAsked, since_s: float, alive: Alive) -> Iterator[bool]:
        """Puts facts, the coarse and the exact picture where they are fetched; tells exactness."""
        house = house_from(house_of_form(asked.measures))
        made = rig_for(house, WARM)
        self._ready.put(_facts(house, made))
        light = frame(made, bind(house, WARM), 0.0).light
        width, height = asked.size_px
        least = min(1.0, COARSE_PX / width)
        small = max(round(width * least), 8), max(round(height * least), 8)
        self._ready.put(FormPicture(self._drawn(house, light, asked, small, exact=False), False))
        self.took_s["coarse"] = time.monotonic() - since_s
        yield False
        while time.monotonic() < since_s + REST_S:
            if not alive():
                return
            time.sleep(0.01)
        exact = FormPicture(self._drawn(house, light, asked, asked.size_px, exact=True), True)
        if alive():
            self._ready.put(exact)
            self.took_s["exact"] = time.monotonic() - since_s
            yield True

    def _drawn(
        self, house: House, light: np.ndarray, asked: FormAsked, size: tuple[int, int], exact: bool
    ) -> np.ndarray:
        across = NODES_ACROSS if exact else COARSE_ACROSS
        night = scene(house, size, asked.hour, across)
        key = (asked.hour, asked.measures.kind)
        ev = self._exposures.get(key, night.exposure_ev)
        if exact:
            self._exposures.setdefault(key, ev)
        return picture(lifted(night, ev) if asked.bright else night, light, exposure_ev=ev)


def _facts(house: House, made: Rig) -> FormFacts:
    """Runs, metres, pixels, and watts of every channel full, from what the kind draws."""
    named = {run.kind.name for run in house.runs}
    volts = np.array([run.kind.supply_v for run in house.runs])
    counts = [run.count for run in house.runs]
    watts = float((nameplate_a(made.network.law) * np.repeat(volts, counts)).sum())
    length_m = sum(run.length_m for run in house.runs)
    sources = kinds()[min(named)].sources or {}
    said = next((text for field, text in sources.items() if field.endswith("r.ma")), "")
    return FormFacts(len(house.runs), length_m, len(house.pixels), watts, said)
