"""Between records and the window: what the files say, and the scheme as it stands with edits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from effects import Layer, Parameter, Scheme, Show, effects, palettes
from effects.course import frame_count, span_s
from layouts import EvenfallError, House, kinds
from layouts.file_names import SCHEMES
from layouts.files.document import read
from layouts.power_paths import feeders
from sim.app.state.layers import Value, numbered
from sim.app.state.record import Facts, LayerFacts, ParameterFacts, RunFacts, State

#: How the drawer names colours that a scheme lists itself instead of a palette.
OWN_COLOURS = "own colours"
NO_SCHEME = "no scheme"


def schemes_beside(house_file: str | Path, also: str | None = None) -> tuple[tuple[str, str], ...]:
    """(path, name) of every scheme file in the house's folder; `also` is one from elsewhere."""
    found = sorted(Path(house_file).parent.glob(SCHEMES))
    if also and not any(_same(Path(also), one) for one in found):
        found.append(Path(also))
    named = [(str(path), scheme_name(path)) for path in found]
    often = Counter(name for _, name in named)
    return tuple(
        (path, name if often[name] == 1 else f"{name} ({_stem(Path(path))})")
        for path, name in named
    )


def scheme_name(path: Path) -> str:
    """What a scheme file calls itself; the file's name where it does not say, or cannot be read."""
    try:
        held = path.stat()
    except OSError:
        return _stem(path)
    return _named(str(path), held.st_mtime_ns, held.st_size)


@lru_cache(maxsize=256)
def _named(path: str, _changed_ns: int, _bytes: int) -> str:
    """Read once for each content of a file."""
    try:
        data = read(path).data
    except (EvenfallError, OSError):
        return _stem(Path(path))
    name = data.get("name") if isinstance(data, dict) else None
    return name if isinstance(name, str) and name.strip() else _stem(Path(path))


def _stem(path: Path) -> str:
    return path.name.removesuffix(".yaml").removesuffix(".scheme")


def _same(a: Path, b: Path) -> bool:
    return a.resolve() == b.resolve()


def facts_of(
    house: House, scheme: Scheme | None, show: Show | None, scheme_digest: str = ""
) -> Facts:
    """What the window needs to know of a house and its scheme."""
    file = scheme.file if scheme else ""
    listed = schemes_beside(house.file, file or None)
    name = next(
        (name for path, name in listed if file and _same(Path(path), Path(file))), NO_SCHEME
    )
    return Facts(
        house=house.name,
        scheme=name,
        scheme_file=file,
        schemes=listed,
        kinds=tuple(kinds()),
        own_kinds=tuple(dict.fromkeys(run.kind.name for run in house.runs)),
        runs=tuple(RunFacts(run.name, run.first, run.count) for run in house.runs),
        layers=tuple(_layer_facts(layer) for layer in scheme.layers) if scheme else (),
        brightness=scheme.brightness if scheme else 0.0,
        colour=scheme.colour if scheme else "matched",
        white=scheme.white if scheme else "most",
        fps=scheme.fps if scheme else 40.0,
        span_s=span_s(show) if show else 1.0,
        frames=frame_count(span_s(show), show.fps) if show else 1,
        scheme_digest=scheme_digest,
        unfed=tuple(name for name, supplies in feeders(house).items() if not supplies),
    )


def _layer_facts(layer: Layer) -> LayerFacts:
    names = tuple(palettes())
    own = isinstance(layer.palette, tuple)
    palette = OWN_COLOURS if own else str(layer.palette)
    found = [
        ParameterFacts("palette", palette, choices=(OWN_COLOURS, *names) if own else names),
        ParameterFacts(
            "opacity", layer.opacity, "%", help="how much of what lies below it covers", usual=1.0
        ),
    ]
    for parameter in effects()[layer.effect].parameters:
        found.append(
            ParameterFacts(
                parameter.name,
                layer.settings[parameter.name],
                _unit(parameter),
                parameter.low,
                parameter.high,
                help=parameter.help,
                whole=parameter.whole,
                usual=parameter.default,
            )
        )
    # The seed is left out: where the file gives none it is the layer's number.
    others = (layer.direction, layer.blend, layer.from_s, layer.until_s, layer.ease_s)
    rest = tuple(zip(("direction", "blend", "from", "until", "ease"), map(str, others),
                     strict=True))  # fmt: skip
    colours = layer.palette if isinstance(layer.palette, tuple) else ()
    return LayerFacts(layer.effect, layer.zones, tuple(found), colours, rest)


def _unit(parameter: Parameter) -> str:
    """The unit on show: shares of a whole are told in percent, as brightness is."""
    share = parameter.high == 1 and parameter.low >= 0 and not parameter.whole
    return "%" if share and not parameter.unit else parameter.unit


def edited(scheme: Scheme, state: State) -> Scheme:
    """The scheme with the window's edits, without hidden layers, or with one layer alone.

    The brightness is left as it is: it goes its own way to every frame.
    """
    layers = []
    marks = numbered(_layer_facts(layer).mark for layer in scheme.layers)
    for mark, layer in zip(marks, scheme.layers, strict=True):
        alone = state.only is not None and mark != state.only
        if alone or (mark in state.hidden and mark != state.only):
            continue
        changes = {name: value for (at, name), value in state.edits.items() if at == mark}
        layers.append(_edited_layer(layer, changes))
    return replace(
        scheme,
        layers=tuple(layers),
        colour=state.colour or scheme.colour,  # type: ignore[arg-type]
        white=scheme.white if state.white is None else state.white,
    )


def _edited_layer(layer: Layer, changes: Mapping[str, Value]) -> Layer:
    of_layer: dict[str, Any] = {}
    settings = dict(layer.settings)
    for name, value in changes.items():
        if name == "palette":
            of_layer["palette"] = layer.palette if value == OWN_COLOURS else value
        elif name == "opacity":
            of_layer["opacity"] = value
        else:
            settings[name] = float(value)
    return replace(layer, settings=MappingProxyType(settings), **of_layer)
