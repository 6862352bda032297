"""Light of every reel's channels, summed over its pixels; compiled."""

from __future__ import annotations

import numpy as np

from sim.circuit.kernel import LawTable
from sim.kernels import njit

Array = np.ndarray


@njit(cache=True, nogil=True, error_model="numpy")
def reel_duties(
    law: LawTable,
    run: Array,
    reel: Array,
    codes: Array,
    shown: Array,
    volts: Array,
    times: Array,
    vf_add: Array,
    each: Array,
    out: Array,
) -> None:
    """Add to `out` (D, reels, K), over all pixels and frames, duty · dim · current · own light.

    K channels; `run` (N,), `reel` (N,), `codes` (C, N, K), `shown` (D, F), `volts` (D, F, N),
    `times` (D, N), `vf_add` (D, R, K) [V] of the law's channels, `each` (D, N, K).
    """
    for d in range(volts.shape[0]):
        for f in range(volts.shape[1]):
            at = shown[d, f]
            for n in range(volts.shape[2]):
                q = law.kind[n]
                for c in range(codes.shape[2]):
                    code = codes[at, n, c]
                    if code == 0:
                        continue
                    above = volts[d, f, n] - law.vf_v[q, c] - vf_add[d, run[n], c]
                    dim = min(max(above / law.headroom_v[q, c], 0.0), law.most[q, c])
                    out[d, reel[n], c] += code / 255.0 * dim * times[d, n] * each[d, n, c]
