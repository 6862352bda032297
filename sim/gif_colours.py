"""The 255 colours of a GIF, and which of them stands at which place.

Colours are chosen once for the whole film, in CIELAB, so that the pale end of a dusk and a dark
brick get theirs too. A colour between two of them is shown by both, mixed by a pattern that stays
where it is: what stands still is then the same from frame to frame, does not crawl, and costs
nothing. The two are those whose mean is near and which are near each other, since far ones that
meet in the middle are seen as grain.

References
----------
R. Ulichney, "The void-and-cluster method for dither array generation", Proc. SPIE 1913 (1993) [from
memory]: the pattern, by its largest voids alone.
"""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import RGB_TO_XYZ, decoded, lab_of
from sim.gif_stream import UNTOUCHED

# All these figures are choices, without a source.
_SAMPLE_BITS = 6  # of a channel; what agrees in them is one colour with a weight
_ROUNDS = 10  # of moving the colours to the middle of what they stand for
#: A colour that many places have counts by less than their number: lamps are few and bright.
_CROWD = 0.6
#: Grain against error of the mean: share of the squared distance that mixing two colours costs.
_GRAIN = 0.4
_NEAR = 16  # neighbours of a colour that it is mixed with
_BITS = 7  # of a channel that tell colours of a frame apart
_BLOCK = 8192
_TILE = 64  # edge of the pattern [px]
_SPREAD_PX = 1.9  # how far a place keeps others off


def colours_for(samples: np.ndarray) -> np.ndarray:
    """At most 255 colours (K, 3) uint8 for a film of which `samples` (…, 3) uint8 are places."""
    rgb, places = _counted(samples.reshape(-1, 3))
    lab, weight = _lab(rgb), places**_CROWD
    if len(rgb) <= UNTOUCHED:
        return np.rint(rgb).astype(np.uint8)
    middles = lab[_far_apart(lab, weight)]
    for _ in range(_ROUNDS):
        own = _nearest(lab, middles)
        middles = _means(lab, weight, own, middles)
    own = _nearest(lab, middles)
    kept = np.unique(own)
    rgb = _means(rgb, weight, np.searchsorted(kept, own), np.zeros((len(kept), 3)))
    return np.rint(rgb).astype(np.uint8)


class Reduced:
    """Frames (H, W, 3) uint8 as numbers of `colours` (K, 3): `reduced(frame)`, (H, W) uint8.

    What a colour is mixed of is worked out when it is first met; a frame's numbers depend on
    nothing but the frame.
    """

    def __init__(self, colours: np.ndarray) -> None:
        self._lab = _lab(colours)
        apart = self._lab[None] - self._lab[:, None]  # (K, K, 3), from row to column
        squared = (apart**2).sum(axis=-1)
        self._near = np.argsort(squared, axis=1, kind="stable")[:, :_NEAR]
        self._ways = np.take_along_axis(apart, self._near[..., None], axis=1)
        self._squared = np.maximum(np.take_along_axis(squared, self._near, axis=1), 1e-9)
        #: Of every colour told apart: the nearest, the one it is mixed with, 256ths of that.
        self._mixed = np.full((1 << 3 * _BITS, 3), UNTOUCHED, dtype=np.uint8)
        self._pattern = pattern()

    def __call__(self, frame: np.ndarray) -> np.ndarray:
        """The numbers (H, W) of one frame."""
        height, width = frame.shape[:2]
        met = _number(frame, _BITS)
        mixed = self._mixed[met]
        if (new := met[mixed[..., 0] == UNTOUCHED]).size:
            self._mix(np.unique(new))
            mixed = self._mixed[met]
        tiles = -(-height // _TILE), -(-width // _TILE)
        threshold = np.tile(self._pattern, tiles)[:height, :width]
        return np.where(threshold < mixed[..., 2], mixed[..., 1], mixed[..., 0])

    def _mix(self, met: np.ndarray) -> None:
        """Which two colours show each of those numbers (U,), and how much of the second.

        With r from the nearest colour to the one wanted, w on to its partner and a share t of that,
        |r − t w|² + grain t (1 − t) |w|² is least.
        """
        step = 1 << 8 - _BITS
        for first in range(0, len(met), _BLOCK):
            block = met[first : first + _BLOCK]
            parts = np.stack([block >> 2 * _BITS, block >> _BITS, block], axis=1)
            wanted = _lab((parts & (1 << _BITS) - 1) * step + (step - 1) / 2)
            nearest = _nearest(wanted, self._lab)
            rest = wanted - self._lab[nearest]
            along = np.einsum("ua,una->un", rest, self._ways[nearest])
            squared = self._squared[nearest]
            share = (along - _GRAIN / 2 * squared) / ((1 - _GRAIN) * squared)
            share = np.clip(share, 0.0, 0.5)
            cost = share * (share * squared - 2 * along + _GRAIN * (1 - share) * squared)
            best = cost.argmin(axis=1)
            rows = np.arange(len(block))
            self._mixed[block, 0] = nearest
            self._mixed[block, 1] = self._near[nearest, best]
            self._mixed[block, 2] = np.rint(256 * share[rows, best])


def pattern() -> np.ndarray:
    """(64, 64) uint8, every number sixteen times: any number of the lowest lie evenly, no way on.

    Each place in turn is the one farthest from all before, around the edges too.
    """
    way = np.minimum(np.arange(_TILE), _TILE - np.arange(_TILE))
    near = np.exp(-(way[:, None] ** 2 + way**2) / (2 * _SPREAD_PX**2))
    near = np.tile(near, (2, 2))
    # something has to begin, and no two voids may be the same
    filled = 1e-4 * np.random.default_rng(1).random((_TILE, _TILE))
    rank = np.empty((_TILE, _TILE), dtype=np.int64)
    for number in range(_TILE * _TILE):
        y, x = divmod(int(filled.argmin()), _TILE)
        rank[y, x] = number
        filled += near[_TILE - y : 2 * _TILE - y, _TILE - x : 2 * _TILE - x]
        filled[y, x] = np.inf
    return (rank * 256 // rank.size).astype(np.uint8)


def _counted(places: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The colours (U, 3) that differ in their first bits, each the mean of its places, and how many
    places (U,) it has."""
    _, own, count = np.unique(
        _number(places, _SAMPLE_BITS), return_inverse=True, return_counts=True
    )
    total = [np.bincount(own, places[:, channel]) for channel in range(3)]
    return np.stack(total, axis=1) / count[:, None], count


def _number(rgb: np.ndarray, bits: int) -> np.ndarray:
    """(…) int32 of uint8 (…, 3): the first bits of each channel, one behind the other."""
    parts = (rgb >> 8 - bits).astype(np.int32)
    return parts[..., 0] << 2 * bits | parts[..., 1] << bits | parts[..., 2]


def _lab(rgb: np.ndarray) -> np.ndarray:
    """CIELAB (…, 3) of sRGB codes 0..255 (…, 3)."""
    return lab_of(decoded(np.asarray(rgb, float) / 255) @ RGB_TO_XYZ.T)


def _far_apart(lab: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Numbers (255,) of colours to begin with: each is what those before serve worst."""
    chosen = [int(weight.argmax())]
    away = ((lab - lab[chosen[0]]) ** 2).sum(axis=1)
    while len(chosen) < UNTOUCHED:
        chosen.append(int((away * weight).argmax()))
        away = np.minimum(away, ((lab - lab[chosen[-1]]) ** 2).sum(axis=1))
    return np.array(chosen)


def _nearest(lab: np.ndarray, middles: np.ndarray) -> np.ndarray:
    """(U,) numbers of the middles (K, 3) nearest to the colours (U, 3)."""
    return ((middles**2).sum(axis=1) - 2 * lab @ middles.T).argmin(axis=1)


def _means(
    values: np.ndarray, weight: np.ndarray, own: np.ndarray, otherwise: np.ndarray
) -> np.ndarray:
    """(K, 3) weighted means of the values (U, 3) of each number `own` (U,); `otherwise` of none."""
    total = np.bincount(own, weight, len(otherwise))
    sums = [np.bincount(own, weight * values[:, axis], len(otherwise)) for axis in range(3)]
    means = np.stack(sums, axis=1) / np.maximum(total, 1e-12)[:, None]
    return np.where(total[:, None] > 0, means, otherwise)
