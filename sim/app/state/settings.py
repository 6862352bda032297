"""The table of everything that can be set: one row says all there is to know of one control.

The drawer, the keys, the pointer, what is written to the scheme file, what is asked where file and
window differ, and what is said of a control are all read from these rows.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath

from sim.app.state.comparing import compare
from sim.app.state.layer_settings import layer_rows
from sim.app.state.layers import Value, same
from sim.app.state.record import (
    COLOURS,
    EXPOSURE_REACH_EV,
    HOURS,
    ON_THE_GROUND,
    SCALES,
    WHITES,
    Facts,
    State,
)
from sim.app.state.setting import InFile, Setting

HOUSE_KINDS = "as in the house file"


def scale_name(scale: float) -> str:
    """A scale as the drawer shows it."""
    return f"{100 * scale:.0f} %"


def white_name(white: str | float) -> str:
    """The white use as the drawer shows it: a share becomes a percentage."""
    return white if isinstance(white, str) else f"{100 * white:.0f} %"


def _facts(state: State) -> Facts:
    assert state.facts is not None
    return state.facts


def _put_scheme(state: State, value: Value) -> State:
    paths = [path for path, scheme in _facts(state).schemes if scheme == value]
    return replace(state, scheme_path=paths[0], time_s=0.0) if paths else state


def _put_brightness(state: State, value: Value) -> State:
    bright = min(max(float(value), 0.0), 1.0)
    held = same(bright, _facts(state).brightness)
    return replace(state, brightness=None if held else bright)


def _put_colour(state: State, value: Value) -> State:
    return replace(state, colour=None if value == _facts(state).colour else str(value))


def _put_white(state: State, value: Value) -> State:
    own = value in (_facts(state).white, white_name(_facts(state).white))
    share = isinstance(value, float)
    return replace(state, white=None if own else value if share else str(value))


def _white_options(state: State) -> tuple[str, ...]:
    """The named uses, and the share of the scheme file where it gives one."""
    own = _facts(state).white
    return WHITES if isinstance(own, str) else (*WHITES, white_name(own))


def _read_white(state: State) -> Value:
    return white_name(state.white if state.white is not None else _facts(state).white)


def _put_scale(state: State, value: Value) -> State:
    scale = next((one for one in SCALES if scale_name(one) == value), state.scale)
    return replace(state, scale=scale, scroll=0.0)


def _kinds(state: State) -> tuple[str, ...]:
    return (HOUSE_KINDS, *_facts(state).kinds)


def _chosen(value: Value) -> str | None:
    return None if value == HOUSE_KINDS else str(value)


#: What a house and any scheme have. Lambdas read; `_put_…` write.
WHOLE: tuple[Setting, ...] = (
    Setting(
        "scheme", "Scheme", "Scheme", "choice",
        lambda state: _facts(state).scheme, _put_scheme, "Scheme on show",
        help="Scheme: which of those beside the house file is on show.",
        options=lambda state: tuple(name for _, name in _facts(state).schemes)
        or (_facts(state).scheme,),
    ),
    Setting(
        "brightness", "Brightness", "Scheme", "slider",
        lambda state: state.shown_brightness, _put_brightness, "Brightness of the scheme",
        unit="%", usual=1.0, mark=lambda state: state.ceiling,
        help=lambda state: "Brightness: share of the scheme's full light."
        + (f" The ceiling is held by {state.ceiling_limit}." if state.ceiling_limit else ""),
        file=InFile(("brightness",), lambda facts: facts.brightness,
                    lambda state: state.brightness),
    ),
    Setting(
        "colour", "Colour", "Colour", "choice",
        lambda state: state.colour or _facts(state).colour, _put_colour, "Colour, matched or raw",
        options=lambda _: COLOURS,
        help="Colour: matched gives the colour asked, raw the codes as they are.",
        file=InFile(("colour",), lambda facts: facts.colour, lambda state: state.colour),
    ),
    Setting(
        "white", "White channel", "Colour", "choice",
        _read_white, _put_white, "Use of the white channel",
        options=_white_options,
        help="White channel: how much of the white in a colour the white LEDs carry.",
        file=InFile(("white",), lambda facts: facts.white, lambda state: state.white),
    ),
    Setting(
        "kind", "Pixels", "House", "choice",
        lambda state: state.kind or HOUSE_KINDS,
        lambda state, value: replace(state, kind=_chosen(value)), "Kind of pixel on the house",
        options=_kinds, help="Pixels: the kind of every run, for looking; the file stays as it is.",
    ),
    Setting(
        "compare", "Compare", "House", "switch",
        lambda state: state.compare, lambda state, value: compare(state, bool(value)),
        "Compare with another kind of pixel",
        help="Compare: another kind of pixel right of the divider, at the same exposure.",
    ),
    Setting(
        "other", "Compare with", "House", "choice",
        lambda state: state.other or HOUSE_KINDS,
        lambda state, value: replace(state, other=_chosen(value)),
        "Kind of pixel to compare with",
        options=_kinds, shown=lambda state: state.compare,
        help="Compare with: the kind of pixel right of the divider.",
    ),
    Setting(
        "propose", "Propose feeds", "Feeds", "button", lambda _: "",
        spoken="Propose feeds for runs without a supply",
        help="Propose feeds: supplies, feeds, cuts, wire and fuses at least cost, for every "
        "channel full at the brightness on show and for the scheme; with the parts file beside "
        "the house.",
        shown=lambda state: bool(_facts(state).unfed) and not (state.asking or state.proposal),
    ),
    Setting(
        "stop-proposing", "Stop proposing", "Feeds", "button", lambda _: "",
        spoken="Stop proposing feeds", shown=lambda state: state.asking is not None,
    ),
    Setting(
        "accept", "Accept the feeds", "Feeds", "button", lambda _: "",
        spoken="Accept the proposed feeds",
        shown=lambda state: state.proposal is not None and not state.proposal.accepted,
    ),
    Setting(
        "write-feeds", "Write to the house file", "Feeds", "button", lambda _: "",
        spoken="Write the accepted feeds to the house file",
        shown=lambda state: state.proposal is not None and state.proposal.accepted
        and bool(state.proposal.file),
    ),
    Setting(
        "undo", "Undo the feeds", "Feeds", "button", lambda _: "",
        spoken="Undo the proposed feeds", shown=lambda state: state.proposal is not None,
    ),
    Setting(
        "hour", "Hour of night", "View", "choice",
        lambda state: state.hour, lambda state, value: replace(state, hour=str(value)),
        "Hour of the night", options=lambda _: HOURS,
        help="Hour of night: how dark the sky is.",
    ),
    Setting(
        "ground", "Ground", "View", "choice",
        lambda state: state.ground, lambda state, value: replace(state, ground=str(value)),
        "What lies on the ground", options=lambda _: ON_THE_GROUND,
        help="Ground: wet paths mirror the lights; the house file has it under drawing.",
    ),
    Setting(
        "exposure", "Exposure", "View", "slider",
        lambda state: 0.0 - state.exposure_offset_ev,
        lambda state, value: replace(state, exposure_offset_ev=-float(value)),
        "Exposure of the picture",
        low=-EXPOSURE_REACH_EV, high=EXPOSURE_REACH_EV, step=0.25, unit="EV", usual=0.0,
        help="Exposure: lighter or darker pictures; the light is the same.",
    ),
    Setting(
        "calm", "Reduce flashing", "View", "switch",
        lambda state: state.calm, lambda state, value: replace(state, calm=bool(value)),
        "Reduce flashing in the window",
        help="Reduce flashing: limits how fast the picture may change, and nothing slides or "
        "fades; the house itself would still flash.",
    ),
    Setting(
        "contrast", "High contrast", "View", "switch",
        lambda state: state.access.contrast,
        lambda state, value: replace(state, access=replace(state.access, contrast=bool(value))),
        "High contrast of words and controls",
        help="High contrast: stronger colours of words and controls; the picture stays as it is.",
    ),
    Setting(
        "type", "Size of type", "View", "choice",
        lambda state: scale_name(state.scale), _put_scale, "Size of type and widgets",
        options=lambda _: tuple(scale_name(scale) for scale in SCALES),
        help="Size of type: of words and widgets, not of the house.",
    ),
)  # fmt: skip


def _buttons(facts: Facts) -> tuple[Setting, ...]:
    """What `update` and the loop answer themselves; there while something is unwritten."""
    if not facts.layers:
        return ()
    name = PurePath(facts.scheme_file).name
    return (
        Setting("write", "Write to the file", "Values", "button", lambda _: "",
                spoken=f"Write the values to {name}", shown=lambda state: state.changed,
                help=lambda state: f"Write: {unwritten_words(state)}; it keeps all else, comments "
                "too."),
        Setting("revert", "Back to the file", "Values", "button", lambda _: "",
                spoken="Back to what the file says", shown=lambda state: state.changed,
                help=f"Back: every value as {name} says. One alone: its mark, or Backspace."),
    )  # fmt: skip


def unwritten_words(state: State) -> str:
    """How many values stand in the window only."""
    count = len(changes_of(state)) + len(state.aside)
    values = "1 value is" if count == 1 else f"{count} values are" if count else "values are"
    return f"{values} not in the scheme file"


def settings(facts: Facts) -> tuple[Setting, ...]:
    """Every row of the table for a house and its scheme, in order of place."""
    first = tuple(row for row in WHOLE if row.section in ("Scheme", "Feeds"))
    rest = tuple(row for row in WHOLE if row not in first)
    return (*first, *layer_rows(facts), *rest, *_buttons(facts))


def setting(facts: Facts, key: str) -> Setting | None:
    """The row of a key; None where there is none such."""
    rows = WHOLE if "." not in key else layer_rows(facts)
    return next((row for row in rows if row.key == key), None)


def set_control(state: State, key: str, value: Value) -> State:
    """The state after the control of a key was given a value; what the file says is no edit."""
    row = setting(state.facts, key) if state.facts else None
    return row.put(state, value) if row else state


def changes_of(state: State) -> dict[tuple[str | int, ...], Value]:
    """What to write to the scheme file: path of the node → value."""
    found: dict[tuple[str | int, ...], Value] = {}
    for row in settings(state.facts) if state.facts else ():
        value = row.file.mine(state) if row.file else None
        if row.file and value is not None:
            found[row.file.where] = value
    return found
