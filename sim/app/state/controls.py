"""The drawer as a table: every control, made from the state alone.

Mouse and keyboard both end in `Set(control, value)`; what a control is called, how far it goes
and how big a step is stands here once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from sim.app.state.record import (
    COLOURS,
    EXPOSURE_REACH_EV,
    HOURS,
    SCALES,
    WHITES,
    ParameterFacts,
    State,
    Value,
)
from sim.app.state.scales import round_step

HOUSE_KINDS = "as in the house file"


@dataclass(frozen=True)
class Control:
    """One thing that can be set. `mark` is a value worth a line on the slider."""

    id: str
    label: str
    form: Literal["slider", "choice", "switch", "button"]
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
            at = self.options.index(str(self.value)) if self.value in self.options else 0
            return self.options[(at + steps) % len(self.options)]
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
        if self.form != "slider":
            return str(self.value)
        value = float(self.value)
        if self.unit == "%":
            return f"{100 * value:.0f} %"
        digits = max(0, -math.floor(math.log10(self._unit_near(value)) + 1e-9))
        exact = f"{value:.6g}"
        shown = exact if len(exact.partition(".")[2]) > digits else f"{value:.{digits}f}"
        return f"{shown} {self.unit}".rstrip()


def controls(state: State) -> tuple[Control, ...]:
    """Every control of the drawer in order of place; none before a house is loaded."""
    if state.facts is None:
        return ()
    return (
        *_scheme_controls(state),
        *_house_controls(state),
        *_view_controls(state),
        *_layer_controls(state),
    )


def control(state: State, name: str) -> Control | None:
    """The control called `name`, or None where the drawer has none such."""
    return next((one for one in controls(state) if one.id == name), None)


def _scheme_controls(state: State) -> list[Control]:
    facts = state.facts
    assert facts is not None
    names = tuple(name for _, name in facts.schemes) or (facts.scheme,)
    white = state.white if state.white is not None else facts.white
    section = "Scheme"
    return [
        Control("scheme", "Scheme", "choice", facts.scheme, options=names, section=section),
        Control(
            "brightness", "Brightness", "slider", state.shown_brightness, unit="%",
            mark=state.ceiling, section=section,
            help=f"The ceiling is held by {state.ceiling_limit}" if state.ceiling_limit else "",
        ),
        Control(
            "colour", "Colour", "choice", state.colour or facts.colour, options=COLOURS,
            section=section, help="matched: the colour asked; raw: the codes as they are.",
        ),
        Control(
            "white", "White channel", "choice", white_name(white),
            options=white_options(facts.white), section=section,
            help="How much of the white in a colour the white LED carries.",
        ),
    ]  # fmt: skip


def white_name(white: str | float) -> str:
    """The white use as the drawer shows it: a share becomes a percentage."""
    return white if isinstance(white, str) else f"{100 * white:.0f} %"


def white_options(own: str | float) -> tuple[str, ...]:
    """The named uses, and the share of the scheme file where it gives one."""
    return WHITES if isinstance(own, str) else (*WHITES, white_name(own))


def _house_controls(state: State) -> list[Control]:
    facts = state.facts
    assert facts is not None
    section = "House"
    kinds = (HOUSE_KINDS, *facts.kinds)
    found = [
        Control("kind", "Pixels", "choice", state.kind or HOUSE_KINDS, options=kinds,
                section=section),
        Control("compare", "Beside another kind", "switch", state.compare, section=section),
    ]  # fmt: skip
    if state.compare:
        found.append(
            Control("other", "Right side", "choice", state.other or HOUSE_KINDS,
                    options=kinds, section=section)
        )  # fmt: skip
    return found


def _view_controls(state: State) -> list[Control]:
    reach, section = EXPOSURE_REACH_EV, "View"
    sizes = tuple(scale_name(scale) for scale in SCALES)
    return [
        Control("hour", "Hour of night", "choice", state.hour, options=HOURS, section=section),
        Control(
            "exposure", "Exposure", "slider", 0.0 - state.exposure_offset_ev, -reach, reach, 0.25,
            unit="EV", section=section, help="Lighter or darker pictures; the light is the same.",
        ),
        Control(
            "calm", "Reduce flashing", "switch", state.calm, section=section,
            help="Limits how fast the picture may change; the house itself would still flash.",
        ),
        Control("type", "Size of type", "choice", scale_name(state.scale), options=sizes,
                section=section),
    ]  # fmt: skip


def scale_name(scale: float) -> str:
    """A scale as the drawer shows it."""
    return f"{100 * scale:.0f} %"


def _layer_controls(state: State) -> list[Control]:
    facts = state.facts
    assert facts is not None
    found: list[Control] = []
    for index, layer in enumerate(facts.layers):
        section = f"{index + 1}  {layer.effect} · {', '.join(layer.zones)}"
        found.append(Control(f"{index}.only", "Only this", "switch", state.only == index,
                             section=section, beside=True))  # fmt: skip
        found.append(Control(f"{index}.hide", "Hide", "switch", index in state.hidden,
                             section=section, beside=True))  # fmt: skip
        for parameter in layer.parameters:
            found.append(_parameter_control(state, index, parameter, section))
    if facts.layers:
        path = Path(facts.scheme_file).name
        found.append(Control("write", f"Write to {path}", "button", section="Values"))
        found.append(Control("revert", "Back to the file", "button", section="Values"))
    return found


def _parameter_control(
    state: State, layer: int, parameter: ParameterFacts, section: str
) -> Control:
    name, value = f"{layer}.{parameter.name}", state.value(layer, parameter.name)
    label = parameter.name.replace("_", " ").capitalize()
    if parameter.choices:
        return Control(name, label, "choice", value, options=parameter.choices,
                       help=parameter.help, section=section)  # fmt: skip
    step = round_step((parameter.high - parameter.low) / 100)
    return Control(
        name,
        label,
        "slider",
        value,
        parameter.low,
        parameter.high,
        max(round(step), 1) if parameter.whole else step,
        knee_of(parameter),
        unit=parameter.unit,
        help=parameter.help,
        section=section,
    )


def knee_of(parameter: ParameterFacts) -> float:
    """0 for an even slider. Lengths, times and speeds that reach far beyond what is usual get one
    that is fine around the usual: asinh, which is even below the knee and logarithmic above it."""
    usual = abs(parameter.usual)
    if parameter.whole or parameter.unit in ("", "deg") or usual <= 0:
        return 0.0
    return usual / 2 if parameter.high > 8 * usual else 0.0
