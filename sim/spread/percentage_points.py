"""The percentage points of the Gaussian distribution.

Source: M. J. Wichura, "Algorithm AS 241: The Percentage Points of the Normal Distribution",
Applied Statistics 37 (1988) 477-484, routine PPND16, good to about one part in 10¹⁶. A library has
them too, and takes a fifth of a second to be imported, which every report of a scheme would wait.
"""

from __future__ import annotations

import numpy as np

#: Numerators and denominators, the constant first: near the middle, farther out, in the tails.
_MIDDLE = (
    (
        *(3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3),
        *(1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4),
        *(3.3430575583588128105e4, 2.5090809287301226727e3),
    ),
    (
        *(1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3),
        *(2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4),
        5.2264952788528545610e3,
    ),
)
_OUTER = (
    (
        *(1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0),
        *(3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1),
        *(2.27238449892691845833e-2, 7.74545014278341407640e-4),
    ),
    (
        *(1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1),
        *(1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4),
        1.05075007164441684324e-9,
    ),
)
_TAIL = (
    (
        *(6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0),
        *(2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3),
        *(2.71155556874348757815e-5, 2.01033439929228813265e-7),
    ),
    (
        *(1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2),
        *(7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7),
        2.04426310338993978564e-15,
    ),
)


def percentage_points(chance: np.ndarray) -> np.ndarray:
    """What a standard Gaussian stays below with these chances, inside 0..1; any shape of array."""
    given = np.atleast_1d(np.asarray(chance, dtype=np.float64))
    off = given - 0.5
    found = off * _ratio(_MIDDLE, 0.180625 - off * off)
    out = np.abs(off) > 0.425
    if out.any():
        far = off[out]
        near = np.where(far < 0, given[out], 1 - given[out])
        root = np.sqrt(-np.log(near))
        away = np.where(root <= 5.0, _ratio(_OUTER, root - 1.6), _ratio(_TAIL, root - 5.0))
        found[out] = np.copysign(away, far)
    return found.reshape(np.shape(chance))


def _ratio(both: tuple[tuple[float, ...], tuple[float, ...]], x: np.ndarray) -> np.ndarray:
    """One polynomial over another."""
    above, below = (np.full_like(x, each[-1]) for each in both)
    for a, b in zip(both[0][-2::-1], both[1][-2::-1], strict=True):
        above = above * x + a
        below = below * x + b
    return np.asarray(above / below)
