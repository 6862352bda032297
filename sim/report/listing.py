"""The catalogue on the screen: one table a list, and one row in full with its sources."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from effects import Effect, Palette
from layouts.provenance import Stated
from layouts.records import Kind, Material, Profile, WireSize

from .blocks import (
    Block,
    Span,
    Spans,
    Table,
    Title,
    Words,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from .figures import figures
from .jsonable import jsonable
from .text import count, number


@dataclass(frozen=True)
class Listing:
    """How one list is shown."""

    columns: tuple[str, ...]
    row: Callable[[Any], tuple[str | Spans, ...]]
    remark: str = ""


def _kind(kind: Kind) -> tuple[str | Spans, ...]:
    currents = [channel.current_ma for channel in kind.channels]
    return (
        kind.name,
        f"{kind.supply_v:g}",
        "".join(channel.name for channel in kind.channels).upper()
        + (f" {'/'.join(f'{cct_k:.0f}' for cct_k in kind.whites_k)} K" if kind.whites_k else ""),
        f"{min(currents):g}"
        if min(currents) == max(currents)
        else f"{min(currents):g}–{max(currents):g}",
        number(sum(channel.flux_lm for channel in kind.channels), 2),
        number(1 / kind.pitch_m, 2),
        kind.mount,
        count(round(kind.pwm_hz)),
        "yes" if kind.backup_data else "",
    )


def _effect(effect: Effect) -> tuple[str | Spans, ...]:
    return (effect.name, effect.help, ", ".join(p.name for p in effect.parameters))


def _palette(palette: Palette) -> tuple[str | Spans, ...]:
    return (palette.name, swatches(palette), palette.occasion)


def _material(material: Material) -> tuple[str | Spans, ...]:
    at = dict(zip(material.wavelength_nm, material.reflectance, strict=True))
    return (material.name, material.texture, *(f"{at[nm]:.2f}" for nm in (460, 530, 620)))


def _wire(wire: WireSize) -> tuple[str | Spans, ...]:
    from layouts.copper import ohm_per_m

    most = wire.max_ohm_per_km
    return (
        wire.name,
        f"{wire.area_mm2:.3f}",
        number(ohm_per_m(wire.area_mm2) * 1000),
        "" if most is None else number(most),
        f"{wire.ampacity_a:g} A",
    )


def _profile(profile: Profile) -> tuple[str | Spans, ...]:
    beam = profile.beam_half_deg
    return (
        profile.name,
        f"{profile.transmission * 100:.0f} %",
        "the pixel's own" if beam is None else f"{beam:g}°",
        f"{profile.spot_m * 1000:g} mm",
        profile.note,
    )


LISTINGS: Mapping[str, Listing] = {
    "kinds": Listing(
        ("||kind", ">V", "|channels", ">mA", ">lm", ">px/m", "|mount", ">Hz", "backup"),
        _kind,
        "mA a channel and lm of one pixel at full duty; Hz of its dimming; backup: data line",
    ),
    "effects": Listing(
        ("||effect", "what it does", "parameters"),
        _effect,
        "every effect also takes a direction (forward, backward, inward, outward) and a seed",
    ),
    "palettes": Listing(("||palette", "|colours", "occasion"), _palette),
    "materials": Listing(
        ("||material", "texture", ">460 nm", ">530 nm", ">620 nm"),
        _material,
        "share of the light reflected, where a blue, a green and a red pixel shine",
    ),
    "wires": Listing(
        ("||wire", ">mm²", ">Ω/km", ">at most", ">carries"),
        _wire,
        "Ω/km of one conductor at 20 °C: of pure copper, and what the standard lets a cable have",
    ),
    "profiles": Listing(("||profile", ">lets through", ">beam half", ">spot", ""), _profile),
}


def list_blocks(what: str, things: Mapping[str, Any]) -> Iterator[Block]:
    """The whole list as a table."""
    listing = LISTINGS[what]
    rows = tuple(row(*listing.row(thing)) for thing in things.values())
    yield Table(columns(*listing.columns), rows)
    if listing.remark:
        yield note(listing.remark)
    yield note(f"evenfall list {what} NAME shows one in full, with its sources")


def as_json(thing: Any) -> dict[str, Any]:
    """One row as plain data; where it has sources, every figure with its source and tag."""
    data: dict[str, Any] = jsonable(thing)
    if getattr(thing, "sources", None):
        data["figures"] = [jsonable(figure) for figure in figures(thing)]
        del data["sources"]
    return data


def row_blocks(thing: Any) -> Iterator[Block]:
    """One row of a list in full: every value, its source and tag, and the note."""
    yield Title(spans((thing.name, "strong")))
    if isinstance(thing, Effect):
        yield words(thing.help)
        yield _parameters(thing)
        return
    if isinstance(thing, Palette):
        yield Words(swatches(thing, cells=6))
        pairs = zip(thing.colours, _hex(thing), strict=True)
        yield Table(columns("colour", ""), tuple(row(*pair) for pair in pairs))
        yield words(f"{thing.occasion}; {thing.source}")
    else:
        rows = []
        for figure in figures(thing):
            tag = f" [{figure.tag}]" if figure.tag else ""
            source = spans(figure.source, (tag, "quiet"))
            rows.append(row(figure.field, _shown(figure), source))
        yield Table(columns("|figure", ">value", "source"), tuple(rows))
    if thing.note:
        yield section("Note", words(thing.note))


def _parameters(effect: Effect) -> Table:
    rows = []
    for parameter in effect.parameters:
        default = parameter.default
        shown = f"{default:g}" if isinstance(default, float | int) else default
        rows.append(row(parameter.name, shown, parameter.range, parameter.help))
    return Table(columns("|parameter", ">default", "range", ""), tuple(rows))


def _shown(figure: Stated) -> str:
    value = figure.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = f"{value:g}" if isinstance(value, float | int) else value
    return f"{text} {figure.unit}".strip() if text else ""


def _hex(palette: Palette) -> list[str]:
    """The colours as the screen can show them, #rrggbb."""
    return ["#{:02x}{:02x}{:02x}".format(*code) for code in palette.codes]


def swatches(palette: Palette, cells: int = 2) -> Spans:
    """The colours of a palette as coloured blocks."""
    return tuple(Span("█" * cells, colour) for colour in _hex(palette))
