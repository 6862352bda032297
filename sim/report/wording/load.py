"""Sentences about what a scheme asks of supplies, wires and pixels, and about far shorts."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.ratings import amps_rated
from sim.report.text import amps, apart, apart_percent, clock, number, percent

_NEARER = "add a feed near it, use thicker wire, or lower the brightness"


def _supply_overload(found: Finding) -> str:
    asked, rated = apart(found.value or 0.0, found.limit or 0.0, 1)
    return (
        f"supply {found.where} would have to give {asked} A and is rated"
        f" {rated} A; lower the brightness, take a larger supply, or feed some runs from"
        " another"
    )


def _supply_load(found: Finding) -> str:
    told = found.detail
    load, share = apart_percent(told["load"], told["share"])
    return (
        f"supply {found.where} gives {found.value:.1f} A, {load} of its"
        f" {amps_rated(told['rated_a'])} A; for hours on end stay below {share}: lower the"
        " brightness or take a larger one"
    )


def _supply_backfed(found: Finding) -> str:
    return (
        f"another supply pushes {amps(found.value or 0.0)} into supply {found.where};"
        " cut the + between them"
    )


def _supply_needed(found: Finding) -> str:
    told = found.detail
    return (
        f"nothing feeds this house: its {told['volts']:g} V pixels draw {amps(found.value or 0.0)}"
        f" at the peak, for which a supply of at least {amps(told['supply_a'])}"
        f" ({number(told['supply_w'])} W) is needed: it then gives {percent(told['share'])} of its"
        " rating; what wires lose comes on top"
    )


def _wire_overload(found: Finding) -> str:
    carried, most = apart(found.value or 0.0, found.limit or 0.0, 1)
    return (
        f"this wire of {found.detail['size']} carries {carried} A and may carry"
        f" {most} A; take a thicker wire or add a feed"
    )


def _fuse_overload(found: Finding) -> str:
    carried, rated = apart(found.value or 0.0, found.limit or 0.0, 1)
    return (
        f"{carried} A flow through a fuse of {rated} A, which will open; lower the"
        " brightness, add a feed, or use a thicker wire with a larger fuse"
    )


def _fuse_load(found: Finding) -> str:
    fuse_a = found.detail["fuse_a"]
    load, share = apart_percent((found.value or 0.0) / fuse_a, found.detail["share"])
    return (
        f"the fuse of {fuse_a:g} A carries {found.value:.1f} A,"
        f" {load} of its rating; above {share} it ages and may"
        " open: lower the brightness, add a feed, or use a larger fuse if the wire allows it"
    )


def _pixel_voltage(found: Finding) -> str:
    got, least = apart(found.value or 0.0, found.limit or 0.0, 2)
    return (
        f"pixel {found.detail['pixel']} of run {found.where} gets {got} V, below the"
        f" {least} V its logic needs, and may show wrong colours; {_NEARER}"
    )


def _voltage_collapse(found: Finding) -> str:
    got, least = apart(found.value or 0.0, found.limit or 0.0, 2)
    return (
        f"the voltage of run {found.where} collapses: pixel {found.detail['pixel']} gets"
        f" {got} V, and its regulator needs {least} V. Such pixels draw more"
        f" the less they get, and this wiring cannot carry that; {_NEARER}"
    )


def _colour_lost(found: Finding) -> str:
    kept, _ = apart_percent(found.value or 0.0, found.limit or 0.0)
    return (
        f"pixel {found.detail['pixel']} of run {found.where} gets {found.detail['volts']:.2f} V,"
        f" too little for full colour: its weakest channel keeps {kept}; {_NEARER}"
    )


def _voltage_drop(found: Finding) -> str:
    told = found.detail
    lost, most = apart_percent(found.value or 0.0, found.limit or 0.0, 1)
    return (
        f"{lost} of the supply's {told['feed_v']:g} V are lost on the way to pixel"
        f" {told['pixel']} of run {told['run']}, more than {most}; {_NEARER}"
    )


def _above_class_2(found: Finding) -> str:
    return (
        f"{found.where}: stronger than a Class 2 source (NEC table 11(B): 25 W at 5 V, 60 W at 12"
        " V), so its wires can start a fire; fuse every feed at the supply, or take several Class 2"
        " ones"
    )


def _far_short(found: Finding) -> str:
    told, fuses = found.detail, len(found.elements)
    how = "may never open" if told["holds"] else "may take minutes to open"
    count, they = (
        ("1 fuse does", "it protects") if fuses == 1 else (f"{fuses} fuses do", "they protect")
    )
    return (
        f"{count} not open on a short at the far end of what {they}. Worst: once the fuses"
        f" more loaded have opened, a short at {told['at']} draws {found.value:.1f} A through the"
        f" fuse of {told['fuse_a']:g} A in {told['wire']}, which {how} ({found.limit:g} A open it"
        " within seconds) while the strip heats up. Use smaller fuses or thicker wire, or cut the +"
        " between feeds so that each fuse protects less"
    )


def _supply_limits_short(found: Finding) -> str:
    told = found.detail
    never = ", so it may never open" if told["holds"] else ""
    smaller = "no fuse that is sold is small enough to open within seconds"
    if told["sold_a"] is not None:
        smaller = (
            f"of the fuses sold, one of at most {told['sold_a']:g} A would open within seconds;"
            f" then more feeds, of at most {told['feed_a']:.3g} A each"
        )
    return (
        f"a supply of {amps_rated(told['rated_a'])} A may limit itself at {told['gives']:.0%} of"
        f" that, too little to open the fuse of {told['fuse_a']:g} A in {told['wire']} within"
        f" seconds ({found.limit:g} A){never}. The fuse is there for the wire; a short is up to the"
        f" supply's own protection: {smaller}"
    )


def _scheme_not_seen(found: Finding) -> str:
    seen, end_s = clock(found.value or 0.0), found.limit or 0.0
    whole, unseen = clock(end_s), clock(end_s - (found.value or 0.0))
    layers = [f"layer {layer + 1} ({effect})" for layer, effect in found.detail["layers"]]
    shows = "has" if len(layers) == 1 else "have"
    return (
        f"only the first {seen} were watched, and {', '.join(layers)} {shows} not shown all before"
        f" {whole}: nothing is known of the {unseen} between, in which anything may be overloaded;"
        f" watch it with --seconds {whole}"
    )


def _wire_load(found: Finding) -> str:
    told = found.detail
    carried, most = apart(found.value or 0.0, found.limit or 0.0, 1)
    return (
        f"this wire of {told['size']} carries {carried} A; it may be fused for"
        f" {told['fused_a']:g} A, and for hours on end should carry at most"
        f" {told['share']:.0%} of that, {most} A: take a thicker wire or add a feed"
    )


def _unreached(found: Finding) -> str:
    pieces = found.detail["pieces"]
    if pieces == ((0, found.detail["count"] - 1),):
        return f"no supply reaches run {found.where}, which stays dark; lead a wire to it"
    named = ", ".join(str(a) if a == b else f"{a} to {b}" for a, b in pieces)
    return (
        f"no supply reaches the + and − of pixels {named} of run {found.where}, which stay dark;"
        " lead a wire to them"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "supply-overload": _supply_overload,
    "supply-load": _supply_load,
    "supply-backfed": _supply_backfed,
    "supply-needed": _supply_needed,
    "wire-overload": _wire_overload,
    "wire-load": _wire_load,
    "unreached": _unreached,
    "fuse-overload": _fuse_overload,
    "fuse-load": _fuse_load,
    "pixel-voltage": _pixel_voltage,
    "colour-lost": _colour_lost,
    "voltage-collapse": _voltage_collapse,
    "voltage-drop": _voltage_drop,
    "above-class-2": _above_class_2,
    "far-short": _far_short,
    "supply-limits-short": _supply_limits_short,
    "scheme-not-seen": _scheme_not_seen,
}
