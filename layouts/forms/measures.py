"""What somebody measures of a house from the street, and whether a house can be like that."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from layouts.catalogue import kinds, materials, profiles
from layouts.errors import InputError, Problem
from layouts.forms import roof
from layouts.forms.finish import Finish, finish_of
from layouts.forms.usual import (
    DOOR_BAY,
    DORMER,
    DORMER_WALL,
    FLOOR,
    FORMS,
    LOW_STOREY,
    RANGES,
    ROOM,
    SIDES,
    STOREY,
    TURNED,
)
from layouts.units import METRES, length_text


@dataclass(frozen=True)
class FormMeasures:
    """A house as it is measured from the street. Lengths in metres; None is decided by rule.

    `width` is that of the front between its corners, without the garage. `eave` is the height of
    the lower edge of the fascia above the ground, and what people can stand a ladder against.
    `pitch` is rise over run: of a gambrel, that of its upper part. `facing` says whether the street
    sees the eave or the gable end. Raises InputError with all that no house can be.
    """

    form: str
    width: float
    eave: float | None = None
    pitch: float | None = None
    storeys: int = 1
    facing: str | None = None
    depth: float | None = None
    overhang: float = 0.45
    garage: str = "none"
    garage_width: float | None = None
    porch: float | None = None
    porch_depth: float = 1.5
    dormers: int = 0
    chimney: str = "none"
    wall: str | None = None
    roof: str | None = None
    lit: bool = True
    kind: str = "ws2815"
    profile: str | None = None
    units: str = "m"
    name: str = "My house"

    def __post_init__(self) -> None:
        """Fill in what follows by rule, and refuse what cannot be."""
        problems = list(_unreadable(self))
        if problems:
            raise InputError(problems)
        for key, value in _by_rule(self).items():
            if getattr(self, key) is None:
                object.__setattr__(self, key, value)
        problems = list(_out_of_range(self)) or list(_impossible(self))
        if problems:
            raise InputError(problems)

    @property
    def look(self) -> Finish:
        """What it is built of."""
        return finish_of(self.form, self.wall, self.roof)

    @property
    def brick(self) -> bool:
        return self.look.brick

    @property
    def eave_m(self) -> float:
        assert self.eave is not None  # filled in
        return self.eave

    @property
    def slope(self) -> float:
        assert self.pitch is not None
        return self.pitch

    @property
    def deep(self) -> float:
        assert self.depth is not None
        return self.depth

    @property
    def half_span(self) -> float:
        """Horizontal run [m] of the roof from its eave to its ridge, overhang included."""
        across = self.width if self.facing == "gable" else self.deep
        if self.form == "hip":
            across = min(self.width, self.deep)
        return across / 2 + self.overhang

    @property
    def rise(self) -> float:
        """From the eave to the ridge [m]."""
        half = self.half_span
        if self.form == "flat":
            return 0.0
        if self.form == "shed":
            return self.slope * 2 * half
        if self.form == "gambrel":
            return roof.gambrel(-half, half, 0.0, self.slope)[2][1]
        return self.slope * half

    @property
    def floors(self) -> int:
        """Storeys below the eave; what is left of `storeys` lies in the roof."""
        fit = int((self.eave_m - FLOOR + 0.12) / (LOW_STOREY + 0.12))
        return max(1, min(self.storeys, fit))

    @property
    def has_roof_plane(self) -> bool:
        """Whether the street looks onto a slope of the roof."""
        return self.form in ("cross-gable", "hip") or (
            self.form in TURNED and self.facing == "eave"
        )


def _by_rule(m: FormMeasures) -> dict[str, Any]:
    pitch = {"gambrel": 6 / 12, "shed": 3 / 12, "flat": 0.0, "cross-gable": 10 / 12}.get(
        m.form, 8 / 12
    )
    width = m.width if math.isfinite(m.width) else 10.0
    return {
        "eave": FLOOR + STOREY * min(3, max(1, m.storeys)) - 0.2,
        "pitch": pitch,
        "facing": FORMS[m.form],
        "depth": min(9.0, max(5.5, (0.54 if m.form == "cross-gable" else 0.64) * width)),
        "garage_width": 3.7 if m.garage != "none" else 0.0,
        "porch": 0.0,
        "profile": "channel-deep-frosted" if kinds()[m.kind].mount == "strip" else "bare",
    }


def _problem(where: str, what: str, do: str) -> Problem:
    return Problem(where, 0, 0, what, do)


def _unreadable(m: FormMeasures) -> Iterator[Problem]:
    """What is no number and no known word."""
    words: dict[str, tuple[str, ...]] = {
        "form": tuple(FORMS),
        "garage": SIDES,
        "chimney": SIDES,
        "units": tuple(METRES),
        "kind": tuple(kinds()),
    }
    if m.facing is not None:
        words["facing"] = ("eave", "gable")
    for key, table in (("wall", materials()), ("roof", materials()), ("profile", profiles())):
        if getattr(m, key) is not None:
            words[key] = tuple(table)
    for key, known in words.items():
        if getattr(m, key) not in known:
            yield _problem(key, f"'{getattr(m, key)}' is not known", f"write {' or '.join(known)}")
    for each in fields(m):
        value = getattr(m, each.name)
        if isinstance(value, float) and not math.isfinite(value):
            yield _problem(_flag(each.name), f"{value} is not a length", "write a number")
    if not m.name.strip():
        yield _problem("name", "the name is empty", "write one, or leave it out")


def _flag(key: str) -> str:
    return key.replace("_", "-")


def _out_of_range(m: FormMeasures) -> Iterator[Problem]:
    """Numbers that are no house, each by itself."""
    has_garage, has_porch = m.garage != "none", bool(m.porch)
    for key, (least, most) in RANGES.items():
        value = getattr(m, key)
        if (key == "garage_width" and not has_garage) or (
            key.startswith("porch") and not has_porch
        ):
            continue
        if not least <= value <= most:
            said = length_text(value, m.units)
            do = f"between {length_text(least, m.units)} and {length_text(most, m.units)}"
            small = "too small" if value < least else "too large"
            yield _problem(_flag(key), f"{said} is {small} for a house", f"write a length {do}")
    if not 1 <= m.storeys <= 3:
        yield _problem("storeys", f"{m.storeys} storeys are not drawn", "write 1, 2 or 3")
    if not 0 <= m.dormers <= 6:
        yield _problem("dormers", f"{m.dormers} dormers are not drawn", "write 0 to 6")
    if m.form == "flat":
        if m.slope:
            yield _problem("pitch", "a flat roof has none", "leave it out, or write --form shed")
    elif not (1 / 4 if m.form == "cross-gable" else 1 / 24) <= m.slope <= 3:
        do = "write 4/12 to 24/12" if m.slope else "write 4/12 or steeper, or --form flat"
        yield _problem("pitch", f"{m.slope * 12:.3g}/12 is no pitch of a {m.form} roof", do)
    if m.form not in TURNED and m.facing != FORMS[m.form]:
        yield _problem(
            "facing", f"a {m.form} roof looks the same from every side here", "leave it out"
        )


def _impossible(m: FormMeasures) -> Iterator[Problem]:
    """FormMeasures that do not go together."""
    told = m.units
    if m.storeys > m.floors + (m.rise >= ROOM and m.form not in ("flat", "shed")):
        need = FLOOR + STOREY * m.storeys - 0.2
        fits = m.floors + (m.rise >= ROOM and m.form not in ("flat", "shed"))
        yield _problem(
            "storeys",
            f"{m.storeys} storeys do not fit under an eave of {length_text(m.eave_m, told)}",
            f"write --eave '{length_text(need, told)}', or --storeys {fits}",
        )
    if m.eave_m - FLOOR > 4.2 * m.storeys:
        fits = min(3, round((m.eave_m - FLOOR) / STOREY))
        high = FLOOR + STOREY * m.storeys - 0.2
        storeys = "storey" if m.storeys == 1 else "storeys"
        yield _problem(
            "eave",
            f"{length_text(m.eave_m, told)} is very high for {m.storeys} {storeys}",
            f"write --storeys {fits}"
            if fits > m.storeys
            else f"write --eave '{length_text(high, told)}'",
        )
    if m.rise > 12:
        yield _problem(
            "pitch",
            f"the ridge would be {length_text(m.rise, told)} above the eave",
            "write a flatter --pitch, or a smaller --width or --depth",
        )
    if m.form == "cross-gable" and beside_wing(m) < DOOR_BAY:
        yield _problem(
            "width",
            f"{length_text(m.width, told)} leaves no wall for a door beside the gable",
            f"write --width '{length_text(7.5, told)}' or more, or --form gable",
        )
    yield from _porch(m)
    yield from _dormers(m)
    if m.chimney != "none" and m.form == "flat" and m.width < 3.5:
        yield _problem("chimney", "there is no room for it", "leave it out")


def _porch(m: FormMeasures) -> Iterator[Problem]:
    if not m.porch:
        return
    wall = m.width if m.form != "cross-gable" else beside_wing(m)
    if m.porch > wall + 1e-6:
        beside = " beside the gable" if m.form == "cross-gable" else ""
        yield _problem(
            "porch",
            f"{length_text(m.porch, m.units)} is wider than the wall{beside}, "
            f"{length_text(wall, m.units)}",
            "write a shorter --porch, or a larger --width",
        )
    if m.eave_m < 2.5:
        yield _problem(
            "porch",
            f"no porch fits under an eave of {length_text(m.eave_m, m.units)}",
            "write --porch none, or --eave 2.5 m or more",
        )


def _dormers(m: FormMeasures) -> Iterator[Problem]:
    if not m.dormers:
        return
    if not m.has_roof_plane:
        do = "write --facing eave, or --dormers 0" if m.form in TURNED else "write --dormers 0"
        yield _problem("dormers", "no slope of the roof looks at the street", do)
        return
    need = dormer_rise(m)
    if m.rise < need:
        yield _problem(
            "dormers",
            f"a dormer needs {length_text(need, m.units)} of roof above the eave; "
            f"this one has {length_text(m.rise, m.units)}",
            "write a steeper --pitch, a larger --depth, or --dormers 0",
        )
    left, right = dormer_span(m)
    fit = max(0, int((right - left + 0.5) / (DORMER + 2 * 0.25 + 0.5)))
    if m.dormers > fit:
        yield _problem(
            "dormers", f"{m.dormers} do not fit beside each other", f"write {fit} or fewer"
        )


def wing_width(m: FormMeasures) -> float:
    """Width [m] of the gable that a cross-gabled house turns to the street."""
    return min(6.5, max(2.6, 0.36 * m.width))


def beside_wing(m: FormMeasures) -> float:
    """The widest stretch [m] of front wall beside the gable and its overhang."""
    begin, end = wing_span(m)
    return max(begin, m.width - end) - m.overhang


def wing_span(m: FormMeasures) -> tuple[float, float]:
    """Where that gable stands, with the house's left corner at 0: away from the garage."""
    wide = wing_width(m)
    inset = min(1.4, 0.12 * m.width)
    if m.garage == "right":
        return inset, inset + wide
    return m.width - inset - wide, m.width - inset


def dormer_slope(m: FormMeasures) -> float:
    """Pitch of a dormer's own roof: the house's, where that is not too flat or steep for one."""
    return min(1.0, max(0.6, m.slope))


def dormer_rise(m: FormMeasures) -> float:
    """From the eave to the ridge of a dormer [m]."""
    return 0.45 + DORMER_WALL + dormer_slope(m) * DORMER / 2 + 0.12


def dormer_span(m: FormMeasures) -> tuple[float, float]:
    """The stretch of roof [m] that dormers can stand on, the house's left corner at 0."""
    left, right = 0.2, m.width - 0.2
    if m.form == "hip":
        # At the height where a dormer's wall ends, the hips have come in by this much.
        inset = (0.45 + DORMER_WALL) / m.slope - m.overhang
        return left + inset, right - inset
    if m.form == "cross-gable":
        begin, end = wing_span(m)
        out = m.overhang + 0.2
        return (end + out, right) if begin < m.width - end else (left, begin - out)
    return left, right
