"""From the colour asked of every pixel to the duty of its channels, and to 8-bit codes.

`raw` takes what is asked as the three codes of a plain controller: gamma, brightness, done;
equal codes on RGB are not white. `matched` solves for the kind's own primaries.

One number per kind fixes the scale of `matched`: its unit luminance, the most reference white
(D65) the kind can give under the white use chosen, so that white asked at level 1 just reaches
full duty. A colour that would need more is held: dimmed at constant chromaticity. A colour
outside the primaries is reduced: brought to their edge at constant OKLab hue and lightness.

White use, one rule for both: w replaces as much of r, g, b as its own light contains (`common`
and raw: one of each), up to what leaves none of them negative.
    off      w = 0
    most     the largest w
    0..1     that share of the largest
    common   w = min(r, g, b) of the duties, whatever colour the white die has
    economy  the w of least current

Of a kind with two whites the same words say how much of both; see `sim.colour.two_whites`. Arrays
of duties and codes have C channels, five where one of the kinds has a second white, else four.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects.colour_spaces import LMS_TO_XYZ, RGB_TO_LMS, RGB_TO_XYZ, WHITE_XYZ
from layouts.errors import EvenfallError, UnmixableKind
from layouts.records import House, Kind, channels_of
from sim.colour.emitters import emission_xyz_lm
from sim.colour.kernel import BALANCE, LEAST, MOST, MixLaw, fill_codes, fill_duty, room
from sim.colour.two_whites import halved, room_for, two_whites
from sim.colour.two_whites_kernel import TwoWhites, fill_codes_two, fill_duty_two
from sim.kernels import plainly

COLOUR_USES = ("matched", "raw")
WHITE_USES = ("off", "most", "economy", "common")
#: Twice the area in x, y below which three primaries mix nothing worth a name; that of sRGB is
#: 0.22 [common practice, no source].
LEAST_TRIANGLE = 1e-3


@dataclass(frozen=True, eq=False)
class Mixer:
    """How every pixel of a house turns the colour asked of it into duties. Q kinds, N pixels."""

    kinds: tuple[Kind, ...]
    colour: str
    white: str | float
    gamma: float
    unit_lm: tuple[float, ...]  # Q: flux asked of one pixel by white at level 1; `common` strays
    laws: tuple[MixLaw | TwoWhites, ...]  # Q
    kind: np.ndarray  # (N,) int32 index into `kinds`; -1: a spare, stays dark
    table: np.ndarray  # (256,) duty of a raw code


@dataclass(frozen=True)
class Gamut:
    """What became of the colours asked; shares 0..1 of all lit pixels in all frames."""

    lit: int
    held: float  # would need more than full duty: dimmed at constant chromaticity
    reduced: float  # outside the primaries: brought to their edge at constant hue


def mixer(
    house: House, *, colour: str = "matched", white: str | float = "most", gamma: float = 2.2
) -> Mixer:
    """The mixer of a house; `white` is a word of WHITE_USES or a share 0..1.

    Raises EvenfallError for an unknown word, a share or gamma outside its range, a kind that
    lacks r, g or b, a channel without spectrum, primaries that cannot mix the reference white.
    """
    _check(colour, white, gamma)
    kinds = tuple(dict.fromkeys(run.kind for run in house.runs))  # by value, not by name
    of_run = np.array([kinds.index(run.kind) for run in house.runs], np.int32)
    found = [_law(kind, colour, white) for kind in kinds]
    return Mixer(
        kinds=kinds,
        colour=colour,
        white=white,
        gamma=gamma,
        unit_lm=tuple(unit_lm for unit_lm, _ in found),
        laws=tuple(law for _, law in found),
        kind=np.where(house.pixels.spare, -1, of_run[house.pixels.run]).astype(np.int32),
        table=(np.arange(256) / 255.0) ** gamma,
    )


def duty(mixer: Mixer, asked: np.ndarray, brightness: float = 1.0) -> np.ndarray:
    """Duties (T, N, C) 0..1 before rounding, for asked (T, N, 3)."""
    return _mixed(mixer, asked, brightness)[0]


def gamut_report(mixer: Mixer, asked: np.ndarray, brightness: float = 1.0) -> Gamut:
    """The shares of lit pixels of asked (T, N, 3) that were held and reduced."""
    _, lit, held, reduced = _mixed(mixer, asked, brightness)
    return Gamut(lit, held / max(lit, 1), reduced / max(lit, 1))


def codes(
    mixer: Mixer,
    asked: np.ndarray,
    brightness: float = 1.0,
    frame_index: np.ndarray | int | None = None,
) -> np.ndarray:
    """8-bit codes (T, N, C), rounded to the nearest; duty is `codes / 255`.

    With `frame_index` (T,), the number of each frame, the rounding is dithered: the threshold of
    a pixel moves from frame to frame by the golden ratio from a place hashed from its number, so
    the mean over frames is the duty. The same pixel and frame always round the same way.
    """
    asked = np.ascontiguousarray(asked, dtype=np.float32)
    out = np.zeros((*asked.shape[:2], len(channels_of(mixer.kinds))), np.uint8)
    frame = np.zeros(0, np.int64)
    if frame_index is not None:
        frame = np.broadcast_to(np.asarray(frame_index, np.int64), asked.shape[:1]).copy()
    for which, law in enumerate(mixer.laws):
        fill = fill_codes if isinstance(law, MixLaw) else fill_codes_two
        fill(asked, float(brightness), mixer.kind, which, law, mixer.table, frame, out)
    return out


def _mixed(mixer: Mixer, asked: np.ndarray, brightness: float) -> tuple[np.ndarray, int, int, int]:
    """Duties (T, N, C), and how many of them are lit, held and reduced."""
    asked = np.ascontiguousarray(asked, dtype=np.float32)
    out = np.zeros((*asked.shape[:2], len(channels_of(mixer.kinds))))
    counts = np.zeros(3, int)
    for which, law in enumerate(mixer.laws):
        fill = fill_duty if isinstance(law, MixLaw) else fill_duty_two
        counts += fill(asked, float(brightness), mixer.kind, which, law, mixer.table, out)
    return out, *counts.tolist()


def _check(colour: str, white: str | float, gamma: float) -> None:
    if colour not in COLOUR_USES:
        raise EvenfallError(f"unknown colour handling {colour!r}; it is matched or raw")
    if isinstance(white, str) and white not in WHITE_USES:
        raise EvenfallError(
            f"unknown white use {white!r}; it is {', '.join(WHITE_USES)} or a share 0..1"
        )
    if not isinstance(white, str) and not 0.0 <= white <= 1.0:
        raise EvenfallError(f"a white share of {white:g} is outside 0..1")
    if not 0.1 <= gamma <= 10.0:
        raise EvenfallError(f"a gamma of {gamma:g} is outside 0.1..10; plain controllers use 2-3")


def _law(kind: Kind, colour: str, white: str | float) -> tuple[float, MixLaw | TwoWhites]:
    """The unit luminance [lm] and the law of one kind."""
    missing = [name for name in "rgb" if kind.channel(name) is None]
    if missing:
        raise UnmixableKind(kind.name, f"it has no {', '.join(missing)}", "colour needs r, g, b")
    light = emission_xyz_lm(kind).T  # (3, C): a column a channel
    two = light.shape[1] > 4
    if colour == "raw":
        unit_lm, raw = _raw_law(kind, light, white)
        return unit_lm, halved(raw) if two else raw
    _refuse_flat(kind, light[:, :3])
    to_duty = np.linalg.inv(light[:, :3])
    reference = to_duty @ WHITE_XYZ  # duty of r, g, b for 1 lm of D65
    if not (reference > 0.0).all():
        raise UnmixableKind(
            kind.name,
            "its r, g and b cannot mix the reference white (D65)",
            "check their dominant wavelengths",
        )
    content = np.ones(3) if white == "common" else to_duty @ light[:, 3]
    rule, share = _rule(kind, white, content)
    bounds = content > 0.0
    law = MixLaw(
        raw=False,
        matrix=_flat(to_duty @ RGB_TO_XYZ),
        to_lms=_flat(RGB_TO_LMS),
        from_lms=_flat(to_duty @ LMS_TO_XYZ),
        content=_flat(content),
        per_content=_flat(np.divide(1.0, content, where=bounds, out=np.zeros(3))),
        unbound=_flat(np.where(bounds, 0.0, np.inf)),
        rule=rule,
        share=share,
    )
    if not two:
        unit_lm = _room(reference, law)
        return unit_lm, _scaled(law, unit_lm)
    if white == "common":
        unit_lm = _room(reference, law)
        return unit_lm, halved(_scaled(law, unit_lm))
    both = two_whites(kind, law, white, to_duty @ light[:, 3:], light[1])
    unit_lm = room_for(reference, both)
    return unit_lm, both._replace(base=_scaled(law, unit_lm))


def _room(reference: np.ndarray, law: MixLaw) -> float:
    """How many times the colour `reference` (3,), as duties of r, g, b, there can be at most.

    Some twenty steps: to fetch compiled code for them would take longer.
    """
    red, green, blue = reference.tolist()
    with plainly():
        return float(room(red, green, blue, law))


def _scaled(law: MixLaw, unit_lm: float) -> MixLaw:
    """The law with white at level 1 coming to `unit_lm` [lm]."""
    return law._replace(
        matrix=tuple(unit_lm * value for value in law.matrix),
        from_lms=tuple(unit_lm * value for value in law.from_lms),
    )


def _raw_law(kind: Kind, light: np.ndarray, white: str | float) -> tuple[float, MixLaw]:
    """Codes as they come: whatever colour the dies have, one w replaces one of each."""
    ones, zeros = (1.0,) * 3, (0.0,) * 3
    rule, share = _rule(kind, white, np.ones(3))
    unused = (0.0,) * 9
    return float(light[1].sum()), MixLaw(
        True, unused, unused, unused, ones, ones, zeros, rule, share
    )


def _refuse_flat(kind: Kind, light: np.ndarray) -> None:
    """Raise UnmixableKind where r, g, b (columns of XYZ) do not span a triangle of colours."""
    dark = [name for name, flux_lm in zip("rgb", light[1], strict=True) if flux_lm <= 0.0]
    if dark:
        raise UnmixableKind(
            kind.name,
            f"no light of {' and '.join(dark)} (`lm: 0`), so colours cannot be matched",
            "give the flux of the data sheet, or write `colour: raw` in the scheme",
            dark[0],
        )
    xyz = light / light.sum(axis=0)
    # Twice the area of the triangle in x, y.
    if abs(np.linalg.det(xyz)) >= LEAST_TRIANGLE:
        return
    apart = {
        f"{a} and {b}": float(np.abs(xyz[:, "rgb".index(a)] - xyz[:, "rgb".index(b)]).max())
        for a, b in ("rg", "rb", "gb")
    }
    pair = min(apart, key=lambda names: apart[names])
    same = f"{pair} have the same colour" if apart[pair] < 0.01 else "r, g and b lie on one line"
    raise UnmixableKind(
        kind.name,
        f"{same}, so no colours can be mixed from them",
        "check their dominant wavelengths, or write `colour: raw` in the scheme",
    )


def _rule(kind: Kind, white: str | float, content: np.ndarray) -> tuple[int, float]:
    """The white channel's rule and share; `economy` is settled here, once for a kind.

    The current of a parallel kind is linear in w, so the least lies at an end: the most white
    where a full w draws less than what it replaces, else as little as full duty allows.
    """
    w = kind.channel("w")
    if w is None or white == "off":
        return MOST, 0.0
    if not isinstance(white, str):
        return MOST, float(white)
    if white != "economy":
        return MOST, 1.0
    if kind.law == "series":
        return BALANCE, 1.0
    replaced_ma = sum(
        part * channel.current_ma for part, channel in zip(content, kind.channels, strict=False)
    )
    return (MOST if w.current_ma < replaced_ma else LEAST), 1.0


def _flat(matrix: np.ndarray) -> tuple[float, ...]:
    return tuple(matrix.ravel().tolist())
