"""A value that is being typed in the place of a slider's, and what can happen to it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class NumberField:
    """What is typed for a control so far, and why it cannot be taken."""

    control: str
    text: str = ""
    wrong: str = ""


@dataclass(frozen=True)
class BeginNumber:
    """Type a value for a control."""

    control: str


@dataclass(frozen=True)
class TypeNumber:
    """Letters more; "" takes the last one away."""

    text: str


@dataclass(frozen=True)
class TakeNumber:
    """Take what is typed; `or_leave`: what cannot be taken is left."""

    or_leave: bool = False


@dataclass(frozen=True)
class LeaveNumber:
    """Leave the value as it was."""


@dataclass(frozen=True)
class UsualValue:
    """Give a control the value that it has where nobody says anything; "": that with the keys."""

    control: str = ""


NumberAction = BeginNumber | TypeNumber | TakeNumber | LeaveNumber | UsualValue
