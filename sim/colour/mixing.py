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
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import House, Kind
from sim.colour.emitters import RGB_TO_XYZ, emission_xyz_lm
from sim.colour.kernel import BALANCE, LEAST, MOST, Laws, fill_codes, fill_duty

COLOUR_USES = ("matched", "raw")
WHITE_USES = ("off", "most", "economy", "common")

#: XYZ → cone-like response of OKLab (B. Ottosson, "A perceptual color space", 2020).
XYZ_TO_LMS = np.array(
    [
        [0.8189330101, 0.3618667424, -0.1288597137],
        [0.0329845436, 0.9293118715, 0.0361456387],
        [0.0482003018, 0.2643662691, 0.6338517070],
    ]
)


@dataclass(frozen=True, eq=False)
class Mixer:
    """How every pixel of a house turns the colour asked of it into duties. Q kinds, N pixels."""

    kinds: tuple[Kind, ...]
    colour: str
    white: str | float
    gamma: float
    unit_lm: np.ndarray  # (Q,) flux of one pixel asked for white at level 1
    laws: Laws


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
    kinds = tuple({run.kind.name: run.kind for run in house.runs}.values())
    place = {kind.name: index for index, kind in enumerate(kinds)}
    of_run = np.array([place[run.kind.name] for run in house.runs], np.int32)
    kind = np.where(house.pixels.spare, -1, of_run[house.pixels.run]).astype(np.int32)
    laws = [_laws(one, colour, white, gamma) for one in kinds]
    joined = {
        name: np.concatenate([getattr(law, name) for law in laws])
        for name in ("matrix", "from_lms", "content", "rule", "share")
    }
    units = np.array([_unit_lm(one, law) for one, law in zip(kinds, laws, strict=True)])
    if colour == "matched":
        joined["matrix"] *= units[:, None, None]
        joined["from_lms"] *= units[:, None, None]
    return Mixer(kinds, colour, white, gamma, units, laws[0]._replace(kind=kind, **joined))


def duty(mixer: Mixer, asked: np.ndarray, brightness: float = 1.0) -> np.ndarray:
    """Duties (T, N, 4) 0..1 before rounding, for asked (T, N, 3)."""
    return _mixed(mixer.laws, asked, brightness)[0]


def codes(
    mixer: Mixer,
    asked: np.ndarray,
    brightness: float = 1.0,
    frame_index: np.ndarray | int | None = None,
) -> np.ndarray:
    """8-bit codes (T, N, 4), rounded to the nearest; duty is `codes / 255`.

    With `frame_index` (T,), the number of each frame, the rounding is dithered: the threshold of
    a pixel moves from frame to frame by the golden ratio from a place hashed from its number, so
    the mean over frames is the duty. The same pixel and frame always round the same way.
    """
    asked = _frames(asked)
    out = np.empty((*asked.shape[:2], 4), np.uint8)
    frame = np.zeros(0, np.int64)
    if frame_index is not None:
        frame = np.broadcast_to(np.asarray(frame_index, np.int64), asked.shape[:1]).copy()
    fill_codes(asked, float(brightness), mixer.laws, frame, out)
    return out


def gamut_report(mixer: Mixer, asked: np.ndarray, brightness: float = 1.0) -> Gamut:
    """The shares of lit pixels of asked (T, N, 3) that were held and reduced."""
    _, lit, held, reduced = _mixed(mixer.laws, asked, brightness)
    return Gamut(lit, held / max(lit, 1), reduced / max(lit, 1))


def _mixed(laws: Laws, asked: np.ndarray, brightness: float) -> tuple[np.ndarray, int, int, int]:
    asked = _frames(asked)
    out = np.empty((*asked.shape[:2], 4))
    return out, *fill_duty(asked, float(brightness), laws, out)


def _frames(asked: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(asked, dtype=np.float32)


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


def _laws(kind: Kind, colour: str, white: str | float, gamma: float) -> Laws:
    """The laws of one kind and one pixel, per lumen of what is asked."""
    missing = [name for name in "rgb" if kind.channel(name) is None]
    if missing:
        raise EvenfallError(f"kind {kind.name} has no {', '.join(missing)}; colour needs r, g, b")
    light = emission_xyz_lm(kind).T  # (3, 4): a column a channel
    to_duty = np.linalg.inv(light[:, :3])
    same = colour == "raw" or white == "common"
    content = np.ones(3) if same else to_duty @ light[:, 3]
    rule, share = _rule(kind, white, content)
    return Laws(
        kind=np.zeros(1, np.int32),
        raw=colour == "raw",
        table=(np.arange(256) / 255.0) ** gamma,
        matrix=(to_duty @ RGB_TO_XYZ)[None],
        to_lms=XYZ_TO_LMS @ RGB_TO_XYZ,
        from_lms=(to_duty @ np.linalg.inv(XYZ_TO_LMS))[None],
        content=content[None],
        rule=np.array([rule]),
        share=np.array([share]),
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


def _unit_lm(kind: Kind, laws: Laws) -> float:
    """The most reference white [lm] one pixel can give: asked for far too much, it is held."""
    if laws.raw:
        return float(emission_xyz_lm(kind)[:, 1].sum())
    reference = laws.matrix[0].sum(axis=1)
    if not (reference > 0.0).all():
        raise EvenfallError(
            f"kind {kind.name}: its r, g and b cannot mix the reference white (D65); "
            "check their dominant wavelengths"
        )
    full = _mixed(laws, np.full((1, 1, 3), 1e6), 1.0)[0][0, 0]
    return float((full[:3] + full[3] * laws.content[0]).max() / reference.max())
