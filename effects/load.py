"""Reading a scheme file: the model checks its shape, this file what its names and numbers mean."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from effects import colours
from effects.effect import Effect
from effects.palette import palettes
from effects.place import DIRECTIONS, zone_name
from effects.quantity import quantity
from effects.registry import effects, faulty
from effects.scheme import Layer, Scheme
from layouts.errors import InputError, Problem
from layouts.files.checking import check
from layouts.files.document import Document, parse, read
from layouts.files.names import did_you_mean
from layouts.files.typos import lost_in_lists
from layouts.records import House


def load_scheme(path: str | os.PathLike[str], house: House | None = None) -> Scheme:
    """The scheme in the file at `path`; given a house, its zones are checked too.

    Raises InputError with every problem of the file.
    """
    return _scheme(read(path), house)


def scheme_from_text(text: str, file: str, house: House | None = None) -> Scheme:
    """The scheme that a file called `file` holds with this text. Raises like `load_scheme`."""
    return _scheme(parse(text, file), house)


def _scheme(document: Document, house: House | None) -> Scheme:
    from effects.schema import SchemeFile

    problems = list(_problems(document, house))
    try:
        file = check(document, SchemeFile)
    except InputError as error:
        told = {(problem.line, problem.column) for problem in problems}
        others = [each for each in error.problems if (each.line, each.column) not in told]
        raise InputError([*others, *problems]) from None
    if problems:
        raise InputError(problems)
    return Scheme(
        name=file.name,
        file=document.file,
        layers=tuple(_layer(layer, number) for number, layer in enumerate(file.layers)),
        brightness=file.brightness,
        colour=file.colour,
        white=file.white,
        gamma=file.gamma,
        dither=file.dither == "on",
        fps=file.fps,
        seconds=file.seconds,
    )


def _layer(file: Any, number: int) -> Layer:
    effect = effects()[file.effect]
    given = dict(file.set)
    zones, palette = ((x,) if isinstance(x, str) else tuple(x) for x in (file.zones, file.palette))
    named = len(palette) == 1 and palette[0] in palettes()
    return Layer(
        effect=file.effect,
        zones=zones,
        palette=palette[0] if named else palette,
        direction=given.pop("direction", "forward"),
        # Two layers of one effect must not draw the same numbers.
        seed=given.pop("seed", number),
        settings=MappingProxyType(effect.settle(_in_units(effect, given))),
        blend=file.blend,
        opacity=file.opacity,
        from_s=file.from_,
        until_s=file.until,
        ease_s=file.ease,
    )


def _in_units(effect: Effect, given: Mapping[str, float | str]) -> dict[str, float]:
    return {p.name: quantity(given[p.name], p.unit) for p in effect.parameters if p.name in given}


def _problems(document: Document, house: House | None) -> Iterator[Problem]:
    """What is wrong with names and numbers; parts of a wrong shape are left to the model."""
    for typo in lost_in_lists(document.lines):
        yield Problem(document.file, typo.line, typo.column, typo.what, typo.do)
    layers = document.data.get("layers") if isinstance(document.data, dict) else None
    for number, layer in enumerate(layers if isinstance(layers, list) else ()):
        if isinstance(layer, dict):
            at = ("layers", number)
            yield from _zone_problems(document, at, layer, house)
            yield from _palette_problems(document, at, layer)
            yield from _effect_problems(document, at, layer)


At = tuple[str, int]
#: Entries of a list whose words are looked at; no list may be longer, which the model tells.
_LOOKED_AT = 2000


def _zone_problems(
    document: Document, at: At, layer: dict[str, Any], house: House | None
) -> Iterator[Problem]:
    if house is None:
        return
    for path, entry in _texts(layer, "zones"):
        name, _ = zone_name(entry, house.zones)
        if name not in house.zones:
            hint = did_you_mean(name, house.zones)
            if "[" in name:
                hint = "make a zone of it in the house file, and name that"
            yield document.problem((*at, *path), f"no zone '{name}' in {house.file}", hint)


def _palette_problems(document: Document, at: At, layer: dict[str, Any]) -> Iterator[Problem]:
    written = layer.get("palette")
    for number, value in enumerate(written if isinstance(written, list) else (written,)):
        if isinstance(value, int | float) and not isinstance(value, bool) and value >= 1000:
            do = f'a white is written "{value:g} K" in quotes'
            yield document.problem((*at, "palette", number), f"{value:g} is no colour", do)
    texts = list(_texts(layer, "palette"))
    for path, text in texts:
        if len(texts) == 1 and text in palettes():
            continue
        try:
            colours.linear_rgb(text)
        except ValueError as error:
            if text in palettes():
                what, do = f"'{text}' is a palette among colours", "name it alone"
            elif (code := named_colour(text)) is not None:
                what = f"'{text}' is {'no palette' if len(texts) == 1 else 'no colour here'}"
                do = f'a colour is written in quotes: "{code}", "oklch(L C h)" or a white "3000 K"'
            elif len(texts) == 1 and text[:1].isalpha() and "(" not in text:
                what, do = f"unknown palette '{text}'", did_you_mean(text, palettes())
            else:
                what, _, do = str(error).partition("; ")
            yield document.problem((*at, *path), what, do)


def named_colour(word: str) -> str | None:
    """The "#rrggbb" that CSS Color Module Level 4 gives a colour word, None where it is none."""
    from PIL import ImageColor  # carries the table of the named colours

    name = word.strip().lower().replace(" ", "")
    if name not in ImageColor.colormap:
        return None
    # Not the entry itself: once a name was drawn with, the table holds its numbers, not its text.
    return "#{:02x}{:02x}{:02x}".format(*ImageColor.getrgb(name)[:3])


def _effect_problems(document: Document, at: At, layer: dict[str, Any]) -> Iterator[Problem]:
    name, given = layer.get("effect"), layer.get("set", {})
    if not isinstance(name, str):
        return
    effect = effects().get(name)
    if effect is None:
        what, do = f"unknown effect '{name}'", did_you_mean(name, effects())
        if name in faulty():
            what, do = faulty()[name], "mend or remove that package, or name another effect"
        yield document.problem((*at, "effect"), what, do)
        return
    told = [*(p.name for p in effect.parameters), "direction", "seed"]
    for key, value in layer.items():
        if key in told and key not in _layer_keys() and isinstance(value, str | int | float):
            what = f"'{key}' is a parameter of {name}"
            yield document.problem((*at, key), what, f"write set: {{{key}: {value}}}", key=True)
    for key, value in given.items() if isinstance(given, dict) else ():
        path = (*at, "set", key)
        wrong = _wrong(effect, key, value)
        if wrong is None:
            hint = did_you_mean(key, told)
            yield document.problem(path, f"{name} has no parameter '{key}'", hint, key=True)
        elif wrong:
            what, _, do = wrong.partition("; ")
            yield document.problem(path, f"{key}: {what}", do)


def _layer_keys() -> set[str]:
    from effects.schema import LayerFile

    return {info.alias or name for name, info in LayerFile.model_fields.items()}


def _wrong(effect: Effect, key: str, value: Any) -> str | None:
    """What is wrong with one entry of `set`, "" where nothing is, None for an unknown key."""
    if key == "direction":
        return "" if value in DIRECTIONS else f"{value!r} is not one of {' | '.join(DIRECTIONS)}"
    if key == "seed":
        whole = isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 2**31
        return "" if whole else f"{value!r} is not a whole number 0..2147483647"
    parameter = effect.parameter(key)
    if parameter is None:
        return None
    try:
        return parameter.wrong(quantity(value, parameter.unit)) or ""
    except ValueError as error:
        return str(error)


def _texts(layer: dict[str, Any], key: str) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """The texts of an entry that is one text or a list of them, with where they stand."""
    value = layer.get(key)
    if isinstance(value, str):
        yield (key,), value
    elif isinstance(value, list):
        for number, text in enumerate(value[:_LOOKED_AT]):
            if isinstance(text, str):
                yield (key, number), text
