"""Is a brightness too low for 8 bits? What rounding to codes does to the colours of a scheme."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects import Scheme, Show, asked, bind
from effects.colour_spaces import uv_1976
from layouts.finding import Finding, Remedy
from layouts.records import House, channels_of
from sim.colour import Mixer, cct_duv, codes, duty, emission_xyz_lm, mixer

#: Radius in u', v' of one step, and how many a white may be off: CIE TN 001:2014 replaces n-step
#: MacAdam ellipses by circles of 0.0011·n; lamps are sold within 7 steps (ANSI C78.377, IEC 62612)
#: [from memory].
STEP_UV, MOST_STEPS = 0.0011, 7
#: Share of the light of a scheme that may be further off before it is said.
WORTH_SAYING = 0.10
#: A level is tried in steps of this factor; nearer says more than 8 bits can know.
_LEVELS_APART = 1.25
#: Frames, and pixels of each, that are looked at: colours repeat themselves in place and time.
_FRAMES, _PIXELS = 50, 2000
_WHITE_DUV, _WHITE_CCT_K = 0.0054, (2200.0, 10000.0)


@dataclass(frozen=True)
class Coarseness:
    """What rounding does to the light of a scheme."""

    share: float  # of the light asked for, 0..1, whose colour is off by more than MOST_STEPS
    steps: float  # how far that light is off, on average; infinite where all of it is dark
    white_cct_k: tuple[float, float] | None  # of the most lit white among it: mixed, and shown


def coarseness(rig_mixer: Mixer, wanted: np.ndarray, brightness: float) -> Coarseness:
    """How the codes of the colours `wanted` (T, N, 3) compare with the duties they round."""
    wide = channels_of(rig_mixer.kinds)
    lumens = np.array([emission_xyz_lm(kind, wide) for kind in rig_mixer.kinds])[rig_mixer.kind]
    mixed = np.einsum("tnc,ncx->tnx", duty(rig_mixer, wanted, brightness), lumens)
    coded = codes(rig_mixer, wanted, brightness) / 255.0
    shown = np.einsum("tnc,ncx->tnx", coded, lumens)
    lit = mixed[..., 1] > 0.0
    mixed, shown = mixed[lit], shown[lit]
    light = mixed[:, 1]
    if not light.sum():
        return Coarseness(0.0, 0.0, None)
    steps = np.full(len(light), np.inf)  # what rounds to nothing is dark
    seen = shown[:, 1] > 0.0
    apart = uv_1976(shown[seen]) - uv_1976(mixed[seen])
    steps[seen] = np.linalg.norm(apart, axis=1) / STEP_UV
    off = steps > MOST_STEPS
    share = float(light[off].sum() / light.sum())
    told = off & seen
    if not told.any():
        return Coarseness(share, np.inf if off.any() else 0.0, None)
    mean = float((steps[told] * light[told]).sum() / light[told].sum())
    return Coarseness(share, mean, _white(mixed[told], shown[told]))


def _white(mixed: np.ndarray, shown: np.ndarray) -> tuple[float, float] | None:
    """CCT [K] of the brightest white of `mixed` (K, 3), and of what is shown instead."""
    brightest = np.argsort(mixed[:, 1])[::-1][:_PIXELS]
    cct_k, duv = cct_duv(mixed[brightest])
    is_white = (np.abs(duv) < _WHITE_DUV) & (cct_k > _WHITE_CCT_K[0]) & (cct_k < _WHITE_CCT_K[1])
    if not is_white.any():
        return None
    first = int(np.argmax(is_white))
    return float(cct_k[first]), float(cct_duv(shown[brightest[first]])[0])


def coarse_findings(house: House, scheme: Scheme, times_s: np.ndarray) -> tuple[Finding, ...]:
    """`colour-coarse`, of schemes that move or stand still; nothing where they dither.

    A warning where a white is off, which anybody sees; a note of other colours.
    """
    if scheme.dither or scheme.brightness == 0.0:
        return ()
    show = bind(house, scheme)
    made = mixer(house, colour=scheme.colour, white=scheme.white, gamma=scheme.gamma)
    wanted = _sample(show, times_s, made)
    few = Mixer(**vars(made) | {"kind": made.kind[:: _every(show.pixels)]})
    found = coarseness(few, wanted, scheme.brightness)
    if found.share <= WORTH_SAYING:
        return ()
    enough = _level_enough(few, wanted, scheme.brightness)
    remedies = _remedies(house, scheme, enough)
    return (
        Finding(
            "warning" if found.white_cct_k else "note",
            "colour-coarse",
            scheme.name,
            coarse_text(scheme, found, remedies),
            value=min(found.steps, 1e3),
            limit=float(MOST_STEPS),
            unit="steps",
            remedies=remedies,
        ),
    )


def _every(pixels: int) -> int:
    return max(1, pixels // _PIXELS)


def _sample(show: Show, times_s: np.ndarray, made: Mixer) -> np.ndarray:
    """Colours asked (T, M, 3) of every so many pixels at some of the times."""
    some = times_s[:: max(1, len(times_s) // _FRAMES)]
    every = _every(show.pixels)
    return np.concatenate([asked(show, some[t : t + 1])[:, ::every] for t in range(len(some))])


def _level_enough(made: Mixer, wanted: np.ndarray, brightness: float) -> float | None:
    """The least brightness from which on 8 bits do, as far as tried; None where full is too little.

    Searched from above: at a low level rounding may come out well by chance.
    """
    enough, level = None, 1.0
    while level > brightness and coarseness(made, wanted, level).share <= WORTH_SAYING:
        enough, level = level, level / _LEVELS_APART
    return enough


def _remedies(house: House, scheme: Scheme, enough: float | None) -> tuple[Remedy, ...]:
    """What would mend it, the cheapest first; a white channel helps whites alone.

    Finer codes are none of it: every kind here is sent 8 bits a channel.
    """
    found = [Remedy("dither", scheme.name)]
    if enough is not None:
        found.append(Remedy("raise-brightness", scheme.name, enough))
        if enough >= 1.5 * scheme.brightness:
            found.append(Remedy("fewer-pixels", scheme.name, scheme.brightness / enough))
    if any(run.kind.channel("w") is None for run in house.runs):
        found.append(Remedy("white-channel"))
    elif scheme.white == "off":
        found.append(Remedy("white-use", scheme.name))
    return tuple(found)


_WORDS = {
    "dither": "dither: on",
    "white-channel": "a kind with a white channel",
    "white-use": "white: most",
}


def coarse_text(scheme: Scheme, found: Coarseness, remedies: tuple[Remedy, ...]) -> str:
    """The sentence of `colour-coarse`."""
    share = f"{found.share:.0%} of the light"
    if np.isinf(found.steps):
        what = f"{share} rounds to nothing"
    else:
        what = (
            f"{share} is off its colour by {found.steps:.0f} steps on average "
            f"({MOST_STEPS} are usual for lamps)"
        )
    if found.white_cct_k:
        mixed, shown = (f"{round(cct_k, -1):.0f} K" for cct_k in found.white_cct_k)
        what += f"; white of {mixed} comes out as {shown}"
    mend = [_WORDS[each.action] for each in remedies if each.action in _WORDS]
    values = {each.action: each.value for each in remedies}
    if level := values.get("raise-brightness"):
        few = values.get("fewer-pixels")
        fewer = f" and one pixel in {1 / few:.0f}, for the same light" if few else ""
        mend.insert(0, f"brightness {_percent(level)}{fewer}")
    level_said = _percent(scheme.brightness)
    return f"at brightness {level_said} 8-bit codes are too coarse: {what}. Try " + ", or ".join(
        mend
    )


def _percent(share: float) -> str:
    return f"{100 * share:.3g}%"
