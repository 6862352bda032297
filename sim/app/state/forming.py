"""Making a house from measurements in the window: what can be measured, and what was typed so far.

Pure: nothing here draws, reads a file or keeps a house. Every field is text as somebody types it,
with its unit, and is read by the same grammar as the flags of `evenfall new --form`; so a slider,
a stepper and the keyboard all end in the same text. The house on show is that of the last texts
that make one, with what is wrong now told beside its field.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Literal

from layouts.catalogue import kinds, materials
from layouts.errors import InputError
from layouts.forms import FORMS, FormMeasures, house_of_form
from layouts.forms.typed import measures_of
from layouts.forms.usual import RANGES, SIDES, TURNED
from layouts.units import length_m, length_text


@dataclass(frozen=True)
class FormField:
    """One measurement: how it is called, what it can be, and for which houses it is asked.

    `low`, `high` and `step` are in metres for a length, in rise over run for a pitch, whole numbers
    for a count. `shown` takes the measures of the house on show.
    """

    key: str
    label: str
    sort: Literal["length", "pitch", "count", "choice", "switch", "words"]
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0
    step_ft: float = 0.0  # the step [m] where the house is in feet or inches
    choices: tuple[str, ...] = ()
    none: str = ""  # what is typed where there is none of it
    shown: Callable[[FormMeasures], bool] = lambda _: True
    help: str = ""


def _length(key: str, label: str, help: str, step: float = 0.1, **more: Any) -> FormField:
    low, high = RANGES[key]
    foot = 0.3048
    coarse = foot / 2 if step >= 0.1 else foot / 12
    return FormField(key, label, "length", low, high, step, coarse, help=help, **more)


def _turned(measures: FormMeasures) -> bool:
    return measures.form in TURNED


def _sloped(measures: FormMeasures) -> bool:
    return measures.form != "flat"


def _has_garage(measures: FormMeasures) -> bool:
    return measures.garage != "none"


def _has_porch(measures: FormMeasures) -> bool:
    return bool(measures.porch)


def _covering(textures: frozenset[str]) -> tuple[str, ...]:
    return tuple(name for name, each in materials().items() if each.texture in textures)


_WALLS = frozenset({"brick", "siding", "render", "stone", "timber"})
_ROOFS = frozenset({"shingle", "slate", "tile", "metal"})

FIELDS: tuple[FormField, ...] = (
    FormField("form", "Roof", "choice", choices=tuple(FORMS), help="the trade's word for it"),
    FormField(
        "facing",
        "Street sees",
        "choice",
        choices=("gable", "eave"),
        shown=_turned,
        help="the gable end, or the eave with the slope over it",
    ),
    _length("width", "Width", "of the front from corner to corner, without the garage"),
    _length("eave", "Eave", "from the ground to the lower edge of the fascia", 0.05),
    FormField("pitch", "Pitch", "pitch", 1 / 12, 2.0, 1 / 24, shown=_sloped, help="rise over run"),
    FormField("storeys", "Storeys", "count", 1, 3, 1, help="the upper ones may lie in the roof"),
    _length("depth", "Depth", "from front to back, which says how high the ridge is"),
    _length("overhang", "Overhang", "from the wall to the fascia", 0.05),
    FormField("garage", "Garage", "choice", choices=SIDES),
    _length("garage_width", "Garage width", "one door, or two if it is wide", shown=_has_garage),
    _length("porch", "Porch", "how long it is", none="none"),
    _length("porch_depth", "Porch depth", "how far it stands forward", shown=_has_porch),
    FormField(
        "dormers",
        "Dormers",
        "count",
        0,
        6,
        1,
        shown=lambda m: m.has_roof_plane,
        help="on the slope that the street sees",
    ),
    FormField("chimney", "Chimney", "choice", choices=SIDES),
    FormField("wall", "Wall", "choice", choices=_covering(_WALLS)),
    FormField("roof", "Roof covering", "choice", choices=_covering(_ROOFS), shown=_sloped),
    FormField("lit", "Lit windows", "switch"),
    FormField("kind", "Pixels", "choice", choices=tuple(kinds())),
    FormField("name", "Name", "words"),
)
FIELD = MappingProxyType({field.key: field for field in FIELDS})


@dataclass(frozen=True)
class Forming:
    """What was typed so far, key by key; the last measures that make a house; what is wrong now."""

    units: str
    texts: tuple[tuple[str, str], ...]
    measures: FormMeasures
    lit: bool = True
    wrong: tuple[tuple[str, str], ...] = ()  # key and the sentence beside its field

    @property
    def complete(self) -> bool:
        """Whether the texts as they stand make the house on show."""
        return not self.wrong


def begun(units: str = "m") -> Forming:
    """The dialogue as it opens, in units of the house to come."""
    texts = (("form", "gable"), ("width", "30 ft" if units in ("ft", "in") else "9 m"))
    return Forming(units, texts, measures_of(dict(texts), units))


def typed(forming: Forming, key: str, text: str) -> Forming:
    """After `text` was typed into the field `key`; empty text leaves it to the rule again."""
    texts = {name: said for name, said in forming.texts if name != key}
    if key == "lit":
        return _read(replace(forming, lit=text == "on"))
    if text.strip():
        texts[key] = text
    if key == "form":
        texts = {name: said for name, said in texts.items() if _asked_of(name, text)}
    return _read(replace(forming, texts=tuple(texts.items())))


def _asked_of(key: str, form: str) -> bool:
    """Whether what was typed for one form is kept for another: what it cannot have is left out."""
    if key == "facing":
        return form in TURNED
    return not (form == "flat" and key in ("pitch", "dormers"))


def _read(forming: Forming) -> Forming:
    texts = dict(forming.texts)
    for key, needs in (("garage_width", "garage"), ("porch_depth", "porch")):
        if texts.get(needs, "none") == "none":
            texts.pop(key, None)  # it is kept in its field, which is not asked now
    try:
        made = measures_of(texts, forming.units, lit=forming.lit)
    except InputError as error:
        told = (
            (each.file.replace("-", "_"), f"{each.what}; {each.do}".replace("--", ""))
            for each in error.problems
        )
        return replace(forming, wrong=tuple(told))
    return replace(forming, measures=made, wrong=())


def shown_fields(forming: Forming) -> tuple[FormField, ...]:
    """The fields that are asked of the house on show, and those that something is wrong with."""
    wrong = {key for key, _ in forming.wrong}
    return tuple(f for f in FIELDS if f.key in wrong or f.shown(forming.measures))


def text_of(forming: Forming, key: str) -> str:
    """What stands in a field: what was typed, else what follows by rule."""
    typed_text = dict(forming.texts).get(key)
    if typed_text is not None:
        return typed_text
    if key == "lit":
        return "on" if forming.lit else "off"
    field, value = FIELD[key], getattr(forming.measures, key)
    if key in ("wall", "roof"):
        finish = forming.measures.look
        return finish.wall if key == "wall" else finish.roof
    if field.sort == "length":
        return length_text(value, forming.units) if value or not field.none else field.none
    return pitch_text(value) if field.sort == "pitch" else str(value)


def pitch_text(pitch: float) -> str:
    """Rise over run as the trade writes it: `6/12`, `7.5/12`."""
    return f"{round(pitch * 12, 2):g}/12"


def stepped(forming: Forming, key: str, steps: int) -> Forming:
    """After a field was moved by so many of its steps: a wheel, a stepper, an arrow key.

    Below its least, a field that may be none becomes that; a choice goes round.
    """
    field = FIELD[key]
    if field.sort == "switch":
        return typed(forming, key, "off" if forming.lit else "on")
    if field.sort == "choice":
        now = text_of(forming, key)
        at = field.choices.index(now) if now in field.choices else 0
        return typed(forming, key, field.choices[(at + steps) % len(field.choices)])
    if field.sort == "words":
        return forming
    step = field.step_ft if field.step_ft and forming.units in ("ft", "in") else field.step
    value = _number(forming, field) or 0.0
    moved = round(value / step + steps) * step
    if field.none and moved < field.low:
        return typed(forming, key, field.none if steps < 0 else _text(forming, field, field.low))
    return typed(forming, key, _text(forming, field, min(max(moved, field.low), field.high)))


def _number(forming: Forming, field: FormField) -> float | None:
    """The value of a field as it was typed, where that is one, else of the house on show."""
    if field.sort == "length" and field.key in dict(forming.texts):
        try:
            return length_m(dict(forming.texts)[field.key], forming.units)
        except ValueError:
            pass
    value: float | None = getattr(forming.measures, field.key)
    return value


def _text(forming: Forming, field: FormField, value: float) -> str:
    if field.sort == "length":
        return length_text(value, forming.units)
    return pitch_text(value) if field.sort == "pitch" else str(round(value))


def formed_house(forming: Forming) -> dict[str, Any]:
    """The house on show, as `layouts.house_from` takes it."""
    return house_of_form(forming.measures)
