"""What is no number is stopped where it would enter a picture.

The compiled kernels take every number for finite, so that they may do many at once: one that is not
would come out as any colour.
"""

from __future__ import annotations

import numpy as np


def finite(what: str, numbers: np.ndarray) -> np.ndarray:
    """`numbers` as they are. Raises ValueError where one is infinite or none, saying `what` it is
    and where the first stands."""
    good = np.isfinite(numbers)
    if not good.all():
        at = tuple(int(k) for k in np.argwhere(~good)[0])
        raise ValueError(f"{what} is {numbers[at]} at {at}; pass finite numbers")
    return numbers
