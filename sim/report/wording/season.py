"""Sentences about a planned year."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from layouts.finding import Finding

_DO = "write an earlier 'on' or a later 'off' where you want light"


def _dates(days: Sequence[date]) -> str:
    from sim.season.days import dates  # the year is loaded for a report of the year alone

    return dates(days)


def _never_lit(found: Finding) -> str:
    told = found.detail
    if told["what"] == "entry":
        entry = f"'{told['why']}' ({told['scheme']})"
        return f"{entry} is lit on none of its evenings of {told['year']}; {_DO}"
    none = f"no evening of {told['year']}"
    if told["what"] == "no scheme":
        return f"{none} has a scheme; write 'otherwise', or 'nights' that fall in it"
    return f"{none} is lit: {_order(found)}, or neither comes; {_DO}"


def _not_lit(found: Finding) -> str:
    return f"{_dates(found.detail['days'])}: not lit, {_order(found)}; {_DO}"


def _order(found: Finding) -> str:
    return f"'{found.detail['off']}' comes before '{found.detail['on']}'"


def _counts(found: Finding) -> str:
    told = found.detail
    return f"{_dates(told['days'])}: '{told['winner']}' (line {told['winner_line']}) counts"


def _clash(found: Finding) -> str:
    told = found.detail
    return (
        f"{_counts(found)} because it stands after '{told['other']}' (line {told['other_line']}),"
        " which claims the evening as strongly; put the one that shall count last"
    )


def _overlap(found: Finding) -> str:
    told = found.detail
    return (
        f"{_counts(found)} before '{told['other']}' (line {told['other_line']}), which is less"
        " particular"
    )


def _never(found: Finding) -> str:
    return f"'{found.detail['night']}' falls on no evening of {found.detail['year']}"


def _estimated(found: Finding) -> str:
    days = _dates(found.detail["days"])
    return f"'{found.detail['name']}' on {days} is computed; the moon may move it by a day"


#: What the sun leaves out, and what is done about it.
_GAPS: Mapping[str, str] = {
    "season-no-dusk": "no real night: dusk and dawn are taken at solar midnight",
    "season-midnight-sun": "the sun does not set: lights that wait for it stay off",
    "season-polar-night": "the sun does not rise: sunset and sunrise are noon",
    "season-no-daylight": "no daylight: dusk, dawn, sunset and sunrise are taken at noon",
}


def _gap(found: Finding) -> str:
    return f"{_dates(found.detail['days'])}: {_GAPS[found.code]}"


def _unfed(_found: Finding) -> str:
    return (
        "the house names no supply: what a supply loses and takes when idle is not known, and the"
        " energy is that of the pixels alone; add supplies"
    )


def _easter(found: Finding) -> str:
    told = found.detail
    return (
        f"'{told['name']}' is that of the churches of {told['country']}, {_dates(told['own'])};"
        f" write '{told['western']}' for {_dates(told['western_days'])}"
    )


def _long_span(found: Finding) -> str:
    first, _, last = found.detail["span"].partition("..")
    return (
        f"'{found.detail['span']}' runs over New Year and lasts {found.value:.0f} evenings; write"
        f" {last.strip()}..{first.strip()} if its ends are exchanged"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "season-never-lit": _never_lit,
    "season-not-lit": _not_lit,
    "season-clash": _clash,
    "season-overlap": _overlap,
    "season-never": _never,
    "season-estimated": _estimated,
    "season-unfed": _unfed,
    "season-easter": _easter,
    "season-long-span": _long_span,
    **dict.fromkeys(_GAPS, _gap),
}
