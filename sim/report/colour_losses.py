"""What becomes of the colours a scheme asks for: out of reach, too bright, too dim for 8 bits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects import Scheme, Show, asked, bind
from effects.course import frame_count, span_s
from layouts.finding import Finding
from layouts.records import House
from sim.colour import Mixer, codes, gamut_report, mixer
from sim.report.coarse_codes import coarse_findings

#: Below this code one step of an 8-bit fade is more than 1 L* (CIE 1976), about what is just
#: visible [common practice, no source]: 1.03 from 14 to 15, 0.98 from 15 to 16 of 255.
STEPS_SHOW = 15
#: Frames looked at, spread evenly over the scheme, and how many at a time.
LOOKS, _BLOCK = 200, 25
#: Shares of the lit pixels that are worth a word.
WORTH_SAYING = 0.02
STEPS_WORTH_SAYING = 0.25


@dataclass(frozen=True)
class ColourLosses:
    """Shares 0..1 of all lit pixels in the frames looked at."""

    held: float  # would need more than full duty: dimmed at constant chromaticity
    reduced: float  # outside the primaries: brought to their edge at constant hue
    stepping: float  # so dim that a fade is seen to step: every code below STEPS_SHOW


def looks(show: Show, seconds: float | None = None) -> np.ndarray:
    """(T,) [s]: up to `LOOKS` frames of `seconds`, of one period, or of its course."""
    frames = frame_count(seconds or span_s(show), show.fps)
    return np.unique(np.linspace(0, frames - 1, LOOKS).round()) / show.fps


def colour_losses(mixer: Mixer, show: Show, times_s: np.ndarray) -> ColourLosses:
    """What the mixer makes of the colours asked at `times_s` (T,)."""
    level = show.scheme.brightness
    held = reduced = stepping = lit = 0.0
    for start in range(0, len(times_s), _BLOCK):
        wanted = asked(show, times_s[start : start + _BLOCK])
        gamut = gamut_report(mixer, wanted, level)
        held += gamut.held * gamut.lit
        reduced += gamut.reduced * gamut.lit
        lit += gamut.lit
        most = codes(mixer, wanted, level).max(axis=-1)
        stepping += float(((most > 0) & (most < STEPS_SHOW)).sum())
    lit = max(lit, 1.0)
    return ColourLosses(held / lit, reduced / lit, stepping / lit)


def shade_findings(house: House, scheme: Scheme) -> tuple[Finding, ...]:
    """What is lost of the colours of the scheme on this house.

    Notes `colour-held`, `colour-reduced`, `fade-steps`; `colour-coarse` as a warning or a note.
    """
    show = bind(house, scheme)
    made = mixer(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    times_s = looks(show)
    seen = colour_losses(made, show, times_s)
    kinds = ", ".join(kind.name for kind in made.kinds)
    found = []
    if seen.held > WORTH_SAYING:
        text = (
            f"{seen.held:.0%} of the lit pixels are asked for more light than {kinds} can give in "
            "that colour; they are dimmed until it fits. Lower the brightness to keep the contrast"
        )
        found.append(Finding("note", "colour-held", scheme.name, text))
    if seen.reduced > WORTH_SAYING:
        text = (
            f"{seen.reduced:.0%} of the lit pixels are asked for a colour more vivid than {kinds} "
            "can mix; the most vivid of the same hue is shown"
        )
        found.append(Finding("note", "colour-reduced", scheme.name, text))
    if seen.stepping > STEPS_WORTH_SAYING and len(times_s) > 1:
        found.append(Finding("note", "fade-steps", scheme.name, _stepping(scheme, seen.stepping)))
    return (*coarse_findings(house, scheme, times_s), *found)


def _stepping(scheme: Scheme, share: float) -> str:
    dim = f"{share:.0%} of the lit pixels are so dim (below code {STEPS_SHOW} of 255) that"
    if scheme.dither:
        return (
            f"{dim} dithering shows: between two codes they alternate, {scheme.fps / 2:g} times a "
            "second at most, and at the lowest codes that flickers. Raise the brightness or fps"
        )
    return f"{dim} a fade is seen to step. Raise the brightness, or try dither: on"
