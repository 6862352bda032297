"""The drawer's controls: the rows of the table with the values of a state.

Mouse and keyboard both end in `Set(control, value)`; how far a value goes, how it is stepped and
how it is written out stands here once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.app.state.layers import ALWAYS, Value
from sim.app.state.record import State
from sim.app.state.setting import Form, Setting
from sim.app.state.settings import setting, settings
from sim.report.text import beside_ceilings, brightness_percent


@dataclass(frozen=True)
class Control:
    """One thing that can be set. `mark` is a value worth a line on the slider."""

    id: str
    label: str
    form: Form
    value: Value = ""
    low: float = 0.0
    high: float = 1.0
    step: float = 0.01
    knee: float = 0.0  # above 0: fine below about this, coarse far above it
    options: tuple[str, ...] = ()
    unit: str = ""
    mark: float | None = None
    help: str = ""
    section: str = ""
    beside: bool = False  # stands in the header of its section
    spoken: str = ""  # its name where it is told alone
    changed: bool = False  # differs from the file, or would write what does
    opens: str = ""  # the page on which it is chosen by looking
    usual: float | None = None
    whole: bool = False

    @property
    def share(self) -> float:
        """Where a slider's knob stands, 0..1; `mark_share` where its mark does."""
        return self._share(float(self.value))

    @property
    def mark_share(self) -> float | None:
        """Where the mark stands, 0..1."""
        return None if self.mark is None else self._share(self.mark)

    def _share(self, value: float) -> float:
        low, high = self._warp(self.low), self._warp(self.high)
        share = (self._warp(value) - low) / ((high - low) or 1.0)
        return min(max(share, 0.0), 1.0)

    def _warp(self, value: float) -> float:
        return math.asinh(value / self.knee) if self.knee else value

    def at(self, share: float) -> float:
        """The round value whose knob stands nearest to a share 0..1 of the slider."""
        low, high = self._warp(self.low), self._warp(self.high)
        warped = low + min(max(share, 0.0), 1.0) * (high - low)
        return self._round(self.knee * math.sinh(warped) if self.knee else warped)

    def _round(self, value: float) -> float:
        unit = self._unit_near(value)
        return min(max(round(round(value / unit) * unit, 9), self.low), self.high)

    def _unit_near(self, value: float) -> float:
        """What values near `value` are rounded to: the step, or a fiftieth or so where warped."""
        if not self.knee:
            return self.step
        return 10.0 ** math.floor(math.log10(max(abs(value), self.knee) / 20))

    def stepped(self, steps: int) -> Value:
        """The value `steps` further, kept within the control's range."""
        if self.form == "choice":
            if not self.options:
                return self.value
            at = self.options.index(str(self.value)) if self.value in self.options else 0
            return self.options[(at + steps) % len(self.options)]
        if self.form == "field":
            moved = (float(self.value) if self.value != ALWAYS else 0.0) + steps * self.step
            return min(max(round(moved, 9), self.low), self.high)
        if self.form != "slider":
            return not self.value
        value = float(self.value)
        if not self.knee:
            return self._round(value + steps * self.step)
        moved = self.at(self.share + steps / 100)
        return moved if moved != value else self._round(value + steps * self._unit_near(value))

    @property
    def text(self) -> str:
        """The value as a person reads it."""
        if self.form == "field":
            return "always" if self.value == ALWAYS else f"{float(self.value):g} {self.unit}"
        if self.form != "slider":
            return str(self.value)
        value = float(self.value)
        if self.unit == "%":
            if self.mark is not None:
                return beside_ceilings(value, [self.mark])[0]
            return brightness_percent(value)
        digits = max(0, -math.floor(math.log10(self._unit_near(value)) + 1e-9))
        exact = f"{value:.6g}"
        shown = exact if len(exact.partition(".")[2]) > digits else f"{value:.{digits}f}"
        return f"{shown} {self.unit}".rstrip()


def controls(state: State) -> tuple[Control, ...]:
    """Every control of the drawer in order of place; none before a house is loaded."""
    if state.facts is None:
        return ()
    return tuple(_control(row, state) for row in settings(state.facts) if row.shown(state))


def control(state: State, name: str) -> Control | None:
    """The control called `name`, or None where the drawer has none such."""
    rows = settings(state.facts) if state.facts is not None else ()
    row = next((one for one in rows if one.key == name), None)
    return _control(row, state) if row is not None and row.shown(state) else None


def any_control(state: State, name: str) -> Control | None:
    """The control called `name`, also where it stands on another page than the drawer."""
    row = setting(state.facts, name) if state.facts is not None else None
    return _control(row, state) if row is not None else control(state, name)


def _control(row: Setting, state: State) -> Control:
    """A row of the table with the values of a state."""
    return Control(
        row.key, row.label, row.form, row.read(state), row.low, row.high, row.step, row.knee,
        row.options(state), row.unit, row.mark(state),
        row.help if isinstance(row.help, str) else row.help(state),
        row.section, row.beside, row.spoken, _changed(row, state), row.opens,
        row.usual, row.whole,
    )  # fmt: skip


def _changed(row: Setting, state: State) -> bool:
    """Whether a value differs from the file; the buttons that write or drop it say so too."""
    if row.key in ("write", "revert"):
        return state.changed
    return row.file is not None and row.file.mine(state) is not None


def spoken_of(found: Control) -> str:
    """A control and its value, in words that need no sight of the drawer."""
    if found.form == "head":
        return found.spoken
    value = ("on" if found.value else "off") if found.form == "switch" else found.text
    words = f"{found.spoken}: {value}" if value else found.spoken
    return f"{words}, not written" if found.changed and found.form != "button" else words
