"""Between records and the window: what the files say, and the scheme as it stands with edits."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from effects import Scheme, Show
from effects.course import frame_count, span_s
from layouts import EvenfallError, House, kinds
from layouts.file_names import SCHEMES
from layouts.files.document import read
from layouts.power_paths import unfed_pieces
from sim.app.state.layer_facts import layer_facts, layer_of, with_layer_values
from sim.app.state.layers import numbered
from sim.app.state.record import Facts, RunFacts, State

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
        layers=tuple(layer_facts(layer) for layer in scheme.layers) if scheme else (),
        brightness=scheme.brightness if scheme else 0.0,
        colour=scheme.colour if scheme else "matched",
        white=scheme.white if scheme else "most",
        fps=scheme.fps if scheme else 40.0,
        span_s=span_s(show) if show else 1.0,
        frames=frame_count(span_s(show), show.fps) if show else 1,
        scheme_digest=scheme_digest,
        zones=tuple(house.zones),
        unfed=tuple(dict.fromkeys(piece.run.name for piece in unfed_pieces(house))),
    )


def edited(scheme: Scheme, state: State) -> Scheme:
    """The scheme with the window's layers and values, without hidden ones, or with one alone.

    The brightness is left as it is: it goes its own way to every frame.
    """
    marks = numbered(layer_facts(layer).mark for layer in scheme.layers)
    held = dict(zip(marks, scheme.layers, strict=True))
    number = {mark: index for index, mark in enumerate(marks)}
    layers = []
    for index, mark in enumerate(marks if state.order is None else state.order):
        alone = state.only is not None and mark != state.only
        if alone or (mark in state.hidden and mark != state.only):
            continue
        layer = held.get(mark) or layer_of(mark)
        # A seed that no file gives is the number of the layer.
        seed = index if layer.seed == number.get(mark, 0) else layer.seed
        changes = {name: value for (at, name), value in state.edits.items() if at == mark}
        layers.append(with_layer_values(replace(layer, seed=seed), changes))
    return replace(
        scheme,
        layers=tuple(layers),
        colour=state.colour or scheme.colour,  # type: ignore[arg-type]
        white=scheme.white if state.white is None else state.white,
    )
