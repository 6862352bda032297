"""Sentences about a house file itself: power, fuses, data, placing, figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from layouts.ratings import amps_rated
from layouts.units import length_text
from sim.report.text import ratings_row


def _metres(found: Finding, value: float | None, form: str = "g") -> str:
    """A length in the house's units; in a house of metres as fine as `form`."""
    units = found.detail.get("units", "m")
    return f"{value:{form}} m" if units == "m" else length_text(value or 0.0, units)


def _centimetres(found: Finding, value: float | None, form: str) -> str:
    units = found.detail.get("units", "m")
    if units == "m":
        return f"{100 * (value or 0.0):{form}} cm"
    return length_text(value or 0.0, units)


def _no_supplies(_found: Finding) -> str:
    return "no supplies: every pixel is taken to get its nominal voltage; add supplies, wires"


def _supplies_joined(found: Finding) -> str:
    and_unequal = " and their voltages differ" if found.detail["unequal"] else ""
    return (
        f"the + of supplies {found.where} are joined{and_unequal}; cut the + between them and join"
        " only the −"
    )


def _supply_voltage(found: Finding) -> str:
    return (
        f"supply {found.detail['supply']} gives {found.value:g} V, {found.detail['kind']} pixels of"
        f" run {found.where} need {found.limit:g} V; change the supply or the pixels"
    )


def _supply_behind_diode(found: Finding) -> str:
    return (
        f"{found.where} gets {found.value:g} V of {found.detail['nominal_v']:g} V: read as spare"
        f" pixels whose + goes through a diode; {found.detail['supply']} is then the supply behind"
        " it, and no second one to buy"
    )


def _supply_unused(found: Finding) -> str:
    return f"no wire leads from supply {found.where}; add one, or remove the supply"


def _fuse_too_big(found: Finding) -> str:
    return (
        f"a fuse of {found.value:g} A does not protect a wire of {found.detail['size']}, which may"
        f" carry {found.limit:g} A; use a smaller fuse or a thicker wire"
    )


def _fuse_not_made(found: Finding) -> str:
    near_a = found.detail["nearest_a"]
    return f"blade fuses are not made for {found.value:g} A; the nearest is {near_a:g} A"


def _unfused_feed(found: Finding) -> str:
    return (
        f"no fuse where this wire of {found.detail['size']} leaves supply"
        f" {found.detail['supply']}, which gives {amps_rated(found.value or 0.0)} A; add a fuse of"
        f" at most {found.limit:g} A at the supply"
    )


def _wire_behind_big_fuse(found: Finding) -> str:
    carries, fuses = f"{found.detail['size']} may carry {found.limit:g} A", found.detail["fuses"]
    if len(fuses) == 1:
        ((fuse_a, label),) = fuses
        return (
            f"{carries} and stands behind the {fuse_a:g} A fuse of {label}; fuse it for its own"
            " size, or use a thicker wire"
        )
    row = ratings_row([fuse_a for fuse_a, _ in fuses])
    return (
        f"{carries} and stands behind {len(fuses)} fuses beside each other, {row}, which together"
        f" let {found.value:g} A through ({', '.join(label for _, label in fuses)}); fuse it for"
        " its own size, use a thicker wire, or part the + so that fewer fuses feed it"
    )


def _refresh_rate(found: Finding) -> str:
    return (
        f"{found.detail['pixels']} pixels on output {found.where} take"
        f" {found.detail['frame_ms']:.1f} ms a frame, at most {found.value:.1f} frames a second"
        f" where {found.limit:g} are asked; split the chain or ask for fewer"
    )


def _data_hop(found: Finding) -> str:
    run, kind = found.detail["run"], found.detail["kind"]
    if "after" in found.detail:
        return (
            f"data goes {_metres(found, found.value, '.1f')}"
            f" from the end of {run} to {found.detail['after']},"
            f" {kind} is stated for {_metres(found, found.limit)}; put the runs in another order,"
            " turn one round, or add a repeater"
        )
    return (
        f"the pixels of {run} are {_metres(found, found.value, '.1f')} apart, {kind} is stated for"
        f" {_metres(found, found.limit)} of data line; add pixels or repeaters"
    )


def _run_without_output(found: Finding) -> str:
    return f"run {found.where} is on no output and stays dark; add it to a chain"


def _addresses_overlap(found: Finding) -> str:
    return (
        f"output {found.where} fills slots that {found.detail['other']} has already, up to universe"
        f" {found.detail['last_universe']}; move one"
    )


def _strip_pitch(found: Finding) -> str:
    return (
        f"{found.detail['pixels']} pixels of {found.detail['kind']} are"
        f" {_metres(found, found.value, '.2f')} long, the path of run {found.where} is"
        f" {_metres(found, found.limit, '.2f')}; change the count or the kind's pitch"
    )


def _standoff_far(found: Finding) -> str:
    return (
        f"run {found.where} stands off {_metres(found, found.value)}"
        " from the wall; check the unit of its"
        " standoff"
    )


def _outside_drawing(found: Finding) -> str:
    return (
        f"{found.value:.0f} pixels of run {found.where} lie outside the drawing and are not seen;"
        " make the drawing larger or move the path"
    )


def _figures_borrowed(found: Finding) -> str:
    return (
        f"the light of {found.where} is that of another kind, its own sheet was not seen; measure"
        " yours and give its lumens under 'kinds'"
    )


def _run_on_edge(found: Finding) -> str:
    told = found.detail
    return (
        f"run {found.where} is drawn {_centimetres(found, found.value, '.1f')} above the lower edge"
        f" of {told['board']} and faces away from it; it is taken to hang under it,"
        f" {_metres(found, told['depth_m'], '.2f')} before the drawing's depth 0, so that"
        f" no light falls on {told['board']}; draw it below the edge to say so, or more than"
        f" {_centimetres(found, told['edge_m'], '.0f')} above it if it is fixed to its face"
    )


def _photo_fit(found: Finding) -> str:
    told = found.detail
    return (
        f"the photo's known points do not agree: point {told['point']} of {told['points']} lies"
        f" {_centimetres(found, found.value, '.1f')} from where the others put it, more than"
        f" {_centimetres(found, found.limit, '.0f')}; check each pixel and its place, that all lie"
        " on the wall itself, and the lens"
    )


def _photo_distance(found: Finding) -> str:
    return (
        f"the photograph was taken from about {_metres(found, found.value, '.1f')} away, the viewer"
        f" stands at {_metres(found, found.limit)}; its parts with depth are placed by the former"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "no-supplies": _no_supplies,
    "supplies-joined": _supplies_joined,
    "supply-voltage": _supply_voltage,
    "supply-behind-diode": _supply_behind_diode,
    "supply-unused": _supply_unused,
    "fuse-too-big": _fuse_too_big,
    "fuse-not-made": _fuse_not_made,
    "unfused-feed": _unfused_feed,
    "wire-behind-big-fuse": _wire_behind_big_fuse,
    "refresh-rate": _refresh_rate,
    "data-hop": _data_hop,
    "run-without-output": _run_without_output,
    "addresses-overlap": _addresses_overlap,
    "strip-pitch": _strip_pitch,
    "standoff-far": _standoff_far,
    "outside-drawing": _outside_drawing,
    "figures-borrowed": _figures_borrowed,
    "run-on-edge": _run_on_edge,
    "photo-fit": _photo_fit,
    "photo-distance": _photo_distance,
}
