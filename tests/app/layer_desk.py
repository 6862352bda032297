"""A scheme file and the state of a window that has read it, without the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from effects import Scheme, bind
from effects.load import scheme_from_text
from layouts import House, load_house
from layouts.files.write import digest
from sim.app.state import actions as act
from sim.app.state.history import filed_step
from sim.app.state.history_values import values_to_write, with_layers
from sim.app.state.record import State
from sim.app.state.update import update
from sim.app.work.file_facts import edited, facts_of
from sim.app.work.file_steps import wrote

TEXT = """\
# Invented for a test.
format: evenfall-scheme/1
name: Winter
layers:
  # The eave runs.
  - zones: [both]
    effect: chase
    palette: ["#ff2010", "#ffffff"]
    set: {speed: 0.5, soft: 0.2}   # half a metre
  - {zones: [door], effect: steady, palette: ["#3050ff"], opacity: 0.5}
  - {zones: eave, effect: twinkle, palette: hollybush, blend: lighten}   # on top
"""


class Desk:
    """A scheme file, and the state of a window that has read it."""

    def __init__(self, house_file: Path):
        self.house: House = load_house(house_file)
        self.path = house_file.parent / "layers.scheme.yaml"
        self.path.write_text(TEXT)
        self.state = State(str(house_file), str(self.path))
        self.read()

    def scheme(self) -> Scheme:
        return scheme_from_text(self.path.read_text(), str(self.path), self.house)

    def loaded(self) -> act.Loaded:
        scheme = self.scheme()
        return act.Loaded(facts_of(self.house, scheme, bind(self.house, scheme),
                                   digest(self.path.read_bytes())))  # fmt: skip

    def read(self) -> None:
        self.do(self.loaded())

    def do(self, *actions: act.Action) -> None:
        for action in actions:
            self.state = update(self.state, action)

    @property
    def shown(self) -> Scheme:
        """What the house shows, as the files and the window have it."""
        scheme = self.scheme() if self.state.facts.scheme_digest == digest(
            self.path.read_bytes()) else self.old  # fmt: skip
        self.old = scheme
        return edited(scheme, self.state)

    def list(self) -> list[tuple[str, tuple[str, ...]]]:
        return [(layer.effect, layer.zones) for layer in self.shown.layers]


CHASE, STEADY, TWINKLE = (("chase", ("both",)), ("steady", ("door",)), ("twinkle", ("eave",)))
ADDED = ("steady", ("all",))


def put(desk: Desk, writes: Callable[[], str]) -> None:
    """Write as the window does, with a step of the history."""
    before = desk.state
    step = with_layers(wrote(str(desk.path), writes, values_to_write(before)), before)
    desk.do(act.ValuesWritten(step.digests[1]))
    desk.state = filed_step(before, desk.state, "write", step, False)
