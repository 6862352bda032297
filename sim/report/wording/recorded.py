"""Sentences about packets that were recorded or heard."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from layouts.finding import Finding
from sim.report.text import count


def _universes(found: Finding) -> str:
    named = ", ".join(found.elements)
    return f"universe {named}" if len(found.elements) == 1 else f"universes {named}"


def _capture_cut(found: Finding) -> str:
    told = found.detail
    return (
        f"{found.where} could be read up to octet {count(told['octets'])},"
        f" {count(int(found.value or 0))} packets: {told['why']}; record it anew if the end matters"
    )


def _capture_universe_missing(found: Finding) -> str:
    return (
        f"{found.where} holds nothing for {_universes(found)} of this house, whose pixels are taken"
        " to be dark; what the house draws with them on is not known"
    )


def _capture_packets_missed(found: Finding) -> str:
    return (
        f"{count(int(found.value or 0))} packets are missing between those in {found.where}, by"
        " their sequence numbers; what they held is not seen"
    )


def _sources_exceeded(found: Finding) -> str:
    return (
        f"{_universes(found)}: more sources of the same priority than are merged; those with the"
        " lowest identifiers count; give them different priorities, or stop some"
    )


def _sources_merged(found: Finding) -> str:
    return (
        f"{_universes(found)}: several sources of one priority; the highest level of each slot"
        " counts, real controllers may do otherwise"
    )


def _pixels_without_universe(found: Finding) -> str:
    return (
        f"{count(int(found.value or 0))} pixels have no universe and are taken to be dark; give"
        " every output a universe"
    )


WORDINGS: Mapping[str, Callable[[Finding], str]] = {
    "capture-cut": _capture_cut,
    "capture-universe-missing": _capture_universe_missing,
    "capture-packets-missed": _capture_packets_missed,
    "sources-exceeded": _sources_exceeded,
    "sources-merged": _sources_merged,
    "pixels-without-universe": _pixels_without_universe,
}
